package fleet

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// looked is an inspection of the item "chain" that found it well.
func looked(on, show string) Inspection {
	return Inspection{Item: "chain", Well: true, On: on, Show: show, By: "Ann"}
}

func chainEvery(shows, days int) []InspectionItem {
	return []InspectionItem{{ID: "chain", What: "Chains", EveryShows: shows, EveryDays: days}}
}

func TestDue_CountsDaysOnTheCalendar(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what        string
		days        int
		looked, day string
		dueOn       string
		due         bool
	}{
		{"the day before", 7, "2026-07-11", "2026-07-17", "2026-07-18", false},
		{"the day itself", 7, "2026-07-11", "2026-07-18", "2026-07-18", true},
		{"long after", 7, "2026-07-11", "2027-07-18", "2026-07-18", true},
		{"over the end of February", 7, "2026-02-25", "2026-03-03", "2026-03-04", false},
		{"over February 29", 7, "2028-02-25", "2028-03-03", "2028-03-03", true},
		{"from February 29, a year of 365 days", 365, "2028-02-29", "2029-02-27", "2029-02-28", false},
		{"into February 29", 1, "2028-02-28", "2028-02-29", "2028-02-29", true},
		{"a century that is no leap year", 1, "2100-02-28", "2100-03-01", "2100-03-01", true},
		{"over New Year", 30, "2026-12-15", "2027-01-13", "2027-01-14", false},
		{"over the change to summer time", 1, "2026-03-07", "2026-03-08", "2026-03-08", true},
		{"dated ahead of the day", 7, "2026-07-19", "2026-07-18", "2026-07-26", false},
	} {
		got := Due(chainEvery(0, c.days), []Inspection{looked(c.looked, "")}, nil, nil, c.day)[0]
		assert.Equal(t, c.dueOn, got.DueOn, c.what)
		assert.Equal(t, c.due, got.Due, c.what)
	}
	never := Due(chainEvery(0, 365), nil, nil, nil, "2026-07-18")[0]
	assert.True(t, never.Due, "nobody ever looked")
	assert.Empty(t, never.DueOn)
}

func TestDue_GoesByTheLatestDateAndNotByTheOrderOfWriting(t *testing.T) {
	t.Parallel()
	written := []Inspection{looked("2026-07-18", ""), looked("2026-07-11", "")} // the second waited on a phone
	got := Due(chainEvery(0, 7), written, nil, nil, "2026-07-20")[0]
	assert.Equal(t, "2026-07-18", got.Last.On)
	assert.False(t, got.Due)
}

func TestDue_KeepsShowsApart(t *testing.T) {
	t.Parallel()
	spring, noon, night := Show{ID: "spring", Date: "2026-05-02"}, Show{ID: "noon", Date: "2026-07-18"},
		Show{ID: "night", Date: "2026-07-18"}
	away := Show{ID: "away", Date: "2026-07-18"} // of another sled
	booked := []Show{spring, noon}
	twice := []Show{spring, noon, night}
	for _, c := range []struct {
		what   string
		shows  int
		booked []Show
		looked Inspection
		next   *Show
		day    string
		due    bool
	}{
		{"looked at for it", 1, booked, looked("2026-07-17", "noon"), &noon, "2026-07-18", false},
		{"looked at for the show before", 1, booked, looked("2026-05-02", "spring"), &noon, "2026-07-18", true},
		{"looked at on its date", 1, booked, looked("2026-07-18", ""), &noon, "2026-07-18", false},
		{"looked at on another date", 1, booked, looked("2026-07-17", ""), &noon, "2026-07-18", true},
		{"looked at for the other show of the day", 1, twice, looked("2026-07-18", "noon"), &night, "2026-07-18", true},
		{"looked at on the date of two shows", 1, twice, looked("2026-07-18", ""), &night, "2026-07-18", true},
		{"looked at for another sled's show", 1, booked, looked("2026-07-18", "away"), &noon, "2026-07-18", true},
		{"for another sled's show itself", 1, booked, looked("2026-07-18", "away"), &away, "2026-07-18", false},
		{"every second show, at the first", 2, booked, looked("2026-05-02", "spring"), &noon, "2026-07-18", false},
		{"every second show, after two", 2, twice, looked("2026-05-02", "spring"), &noon, "2026-07-18", true},
		{"every fifth show of fewer", 5, twice, looked("2026-05-02", "spring"), &noon, "2026-07-18", false},
		{"a day without a show", 1, booked, looked("2026-08-01", ""), nil, "2026-08-01", false},
		{"a day without a show, nobody looked", 1, booked, looked("2026-07-18", "noon"), nil, "2026-08-01", true},
	} {
		got := Due(chainEvery(c.shows, 0), []Inspection{c.looked}, c.booked, c.next, c.day)[0]
		assert.Equal(t, c.due, got.Due, c.what)
		assert.Empty(t, got.DueOn, c.what)
	}
}

func TestDue_HoldsWhatIsNotWellUntilSomebodyWritesWhatWasDone(t *testing.T) {
	t.Parallel()
	at := func(well bool, note, done string) Inspection {
		return Inspection{Item: "chain", Well: well, Note: note, Done: done, On: "2026-07-18", Show: "noon"}
	}
	show := Show{ID: "noon", Date: "2026-07-18"}
	open := func(written ...Inspection) (notes []string) {
		got := Due(chainEvery(1, 0), written, []Show{show}, &show, "2026-07-18")[0]
		assert.False(t, got.Due, "it was looked at, well or not")
		for _, one := range got.NotWell {
			notes = append(notes, one.Note)
		}
		return notes
	}
	cracked, loose := at(false, "a link is cracked", ""), at(false, "it hangs loose", "")
	assert.Equal(t, []string{"a link is cracked", "it hangs loose"}, open(cracked, loose))
	assert.Equal(t, []string{"a link is cracked"}, open(cracked, at(true, "", "")), "somebody else found it well")
	assert.Empty(t, open(cracked, loose, at(true, "", "a new link, tensioned")))
	assert.Empty(t, open(at(false, "it hangs loose", "tensioned")), "found and put right at once")
	assert.Equal(t, []string{"it hangs loose"}, open(cracked, at(true, "", "a new link"), loose))
	other := at(true, "", "tensioned")
	other.Item = "belt"
	got := Due(chainEvery(1, 0), []Inspection{cracked, other}, nil, nil, "2026-07-18")[0]
	assert.Len(t, got.NotWell, 1, "what was done about another item")
}

func TestInspectionList_NamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	l := InspectionList{Items: []InspectionItem{
		{What: "  Chains ", EveryShows: 1}, {What: "chains", EveryDays: 30}, {What: "", EveryShows: 1},
		{What: "Belts"}, {What: "Oil", EveryShows: 1, EveryDays: 7}, {What: "Tires", EveryShows: 51},
		{What: "Rails", EveryDays: -1}, {What: strings.Repeat("x", 201), EveryShows: 1}, {What: "a\nb", EveryShows: 1},
	}}
	l.Tidy()
	var at []string
	for _, f := range l.Check().List() {
		at = append(at, f.At)
	}
	assert.Equal(t, []string{"items[1].what", "items[2].what", "items[3].every_days", "items[4].every_days",
		"items[5].every_shows", "items[6].every_days", "items[7].what", "items[8].what"}, at)
	assert.Len(t, InspectionList{Items: make([]InspectionItem, 61)}.Check().List(), 1+61+61)
}

func TestOfferedInspectionItems_AreADozenThatKeepToTheRules(t *testing.T) {
	t.Parallel()
	offered := OfferedInspectionItems()
	assert.Len(t, offered, 12)
	assert.Empty(t, InspectionList{Items: offered}.Check().List())
}

func TestInspection_NamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 7, 18, 12, 0, 0, 0, time.UTC)
	assert.Empty(t, looked("2026-07-19", "").Check(now).List(), "tomorrow, for the sake of time zones")
	long := strings.Repeat("x", 501)
	var at []string
	for _, f := range (Inspection{Item: "chain", On: "soon", Note: long, Done: long}).Check(now).List() {
		at = append(at, f.At)
	}
	assert.Equal(t, []string{"on", "by", "note", "done"}, at)
	for on, fault := range map[string]string{"2026-07-20": "lies in the future", "2026-02-29": "must be a date"} {
		assert.Contains(t, looked(on, "").Check(now).Err().Error(), fault)
	}
	assert.Contains(t, Inspection{On: "2026-07-18", By: "Ann"}.Check(now).Err().Error(), "what is not well")
}
