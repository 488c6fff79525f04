package spreadsheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestDates_AreReadAsPeopleWriteThem(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"2026-05-09": "2026-05-09", "2026/5/9": "2026-05-09", "2026.05.09": "2026-05-09",
		"2026-05-09T18:30:00Z": "2026-05-09",
		"2026-05-09 18:30":     "2026-05-09", "9 May 2026": "2026-05-09", "9. May 2026": "2026-05-09",
		"9th May 2026": "2026-05-09",
		"9-may-26":     "2026-05-09", "May 9, 2026": "2026-05-09", "MAY 9 2026": "2026-05-09",
		"Sept. 2nd, 2026":  "2026-09-02",
		"September 3 2026": "2026-09-03", "25/5/2026": "2026-05-25", "25.5.2026": "2026-05-25",
		"5/25/2026": "2026-05-25",
		"5-25-26":   "2026-05-25", "5/5/2026": "2026-05-05", "29 Feb 2024": "2024-02-29",
		"2026-02-30": "there is no day", "31/4/2026": "there is no day", "9 Mai 2026": "there is no day",
		"29 Feb 2026": "there is no day",
		"2026-13-01":  "there is no day", "32/13/2026": "there is no day", "2026": "must be a date like",
		"someday": "must be a date like",
		"5/2026":  "must be a date like", "46151": "must be a date like",
		"9/5/2026": "can be read as 2026-05-09 and as 2026-09-05: say which comes first, with dates=day-first or " +
			"dates=month-first",
	} {
		date, wrong := parseDate(text, "")
		if got := date + wrong; strings.HasPrefix(want, "2") {
			assert.Equal(t, want, got, text)
		} else {
			assert.Contains(t, got, want, text)
		}
	}
	for order, want := range map[DateOrder]string{DayFirst: "2026-05-09", MonthFirst: "2026-09-05"} {
		for _, text := range []string{"9/5/2026", "9.5.26", "09-05-2026"} {
			date, wrong := parseDate(text, order)
			assert.Equal(t, want, date+wrong, text)
		}
		date, wrong := parseDate("25/5/2026", order)
		assert.Equal(t, "2026-05-25", date+wrong, "no other way")
	}
}

func TestDates_AreReadInTheOrderThatTheUploadShows(t *testing.T) {
	t.Parallel()
	const heading = "sled\tgear\tdistance_ft\tmeasured_on\n"
	row := func(date string) string { return "bluestem\tC\t255\t" + date + "\n" }
	for _, c := range []struct {
		says, text string
		asked      DateOrder
		want       []string // what is wrong has no date
		by         DateOrder
		unclear    string
	}{
		{"one row shows that the day comes first", row("9/5/2026") + row("25/5/2026"), "",
			[]string{"2026-05-09", "2026-05-25"}, DayFirst, ""},
		{"one row shows that the month comes first", row("5/9/2026") + row("5/25/2026"), "",
			[]string{"2026-05-09", "2026-05-25"}, MonthFirst, ""},
		{"words need no order", row("9 May 2026") + row("May 10, 2026"), "", []string{"2026-05-09", "2026-05-10"}, "",
			""},
		{"nor does the standard", row("2026-05-09"), "", []string{"2026-05-09"}, "", ""},
		{"nor the same number twice", row("5/5/2026"), "", []string{"2026-05-05"}, "", ""},
		{"nothing shows it", row("5/5/2026") + row("9/5/2026") + row("8/5/2026"), "", []string{"2026-05-05", "", ""},
			"", "9/5/2026"},
		{"rows that do not agree show nothing", row("9/5/2026") + row("25/5/2026") + row("5/25/2026"), "",
			[]string{"", "2026-05-25", "2026-05-25"}, "", "9/5/2026"},
		{"the sender says it", row("9/5/2026") + row("25/5/2026"), MonthFirst, []string{"2026-09-05", "2026-05-25"},
			MonthFirst, ""},
	} {
		u := opened(t, heading+c.text, options{Dates: c.asked})
		var got []string
		for row := range u.Rows() {
			got = append(got, row.Record.MeasuredOn)
			assert.Equal(t, row.Record.MeasuredOn == "", row.Faults.Any(), c.says)
		}
		assert.Equal(t, c.want, got, c.says)
		assert.Equal(t, c.by, u.Dates, c.says)
		assert.Equal(t, c.unclear, u.Unclear, c.says)
	}
}

func TestEnded_IsReadInWords(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]fleet.Ended{
		"topped-out": fleet.ToppedOut, "Topped out": fleet.ToppedOut, "top": fleet.ToppedOut, "marked": fleet.ToppedOut,
		"stopped-short": fleet.StoppedShort,
		"short":         fleet.StoppedShort, "past-top": fleet.PastTop, "past the top": fleet.PastTop,
		"went beyond": fleet.PastTop, "unmarked": fleet.PastTop,
		"stated": fleet.Stated, "owner's word": fleet.Stated, "he said so": fleet.Stated, "Estimated": fleet.Stated,
		"exploded": "", "stopgap": "",
	} {
		got, wrong := parseEnded(text)
		assert.Equal(t, want, got, text)
		assert.Equal(t, want == "", wrong != "", text)
	}
}
