package spreadsheet

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// DateOrder is what comes first in a date like 9/5/2026; "" is not known.
type DateOrder string

// The orders there are.
const (
	DayFirst   DateOrder = "day-first"
	MonthFirst DateOrder = "month-first"
)

var (
	isoDate     = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[t ].*)?$`)
	numbersDate = regexp.MustCompile(`^(\d{1,2})[-/. ]+(\d{1,2})[-/. ]+(\d{4}|\d{2})$`)
	dayWord     = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?[-/. ]+([a-z]{3,9})\.?[-/., ]+(\d{4}|\d{2})$`)
	wordDay     = regexp.MustCompile(`^([a-z]{3,9})\.?[-/. ]+(\d{1,2})(?:st|nd|rd|th)?[-/., ]+(\d{4}|\d{2})$`)
	months      = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
)

// orderOf is the order that a date shows by itself. either says that it can be read in both.
func orderOf(cell string) (order DateOrder, either bool) {
	n := numbersDate.FindStringSubmatch(cell)
	if n == nil || n[1] == n[2] {
		return "", false
	}
	a, b := number(n[1]), number(n[2])
	switch {
	case a > 12:
		return DayFirst, false
	case b > 12:
		return MonthFirst, false
	}
	return "", a != b
}

// parseDate reads a date as people write it, as ISO 8601, or says what is wrong with it.
func parseDate(cell string, order DateOrder) (date, wrong string) {
	if _, err := time.Parse(time.DateOnly, cell); err == nil {
		return cell, ""
	}
	text := strings.ToLower(cell)
	var year, month, day string
	switch iso, numbers, dw, wd := isoDate.FindStringSubmatch(text), numbersDate.FindStringSubmatch(text),
		dayWord.FindStringSubmatch(text), wordDay.FindStringSubmatch(text); {
	case iso != nil:
		year, month, day = iso[1], iso[2], iso[3]
	case numbers != nil:
		own, either := orderOf(text)
		if either && order == "" {
			first, _ := parseDate(cell, DayFirst)
			second, _ := parseDate(cell, MonthFirst)
			return "", "can be read as " + first + " and as " + second +
				": say which comes first, with dates=day-first or dates=month-first"
		}
		year, month, day = numbers[3], numbers[1], numbers[2]
		if own == DayFirst || own == "" && order == DayFirst {
			month, day = day, month
		}
	case dw != nil:
		year, month, day = dw[3], monthNumber(dw[2]), dw[1]
	case wd != nil:
		year, month, day = wd[3], monthNumber(wd[1]), wd[2]
	default:
		return "", "must be a date like 2026-05-09 or May 9, 2026, not " + fleet.Quoted(cell)
	}
	if len(year) == 2 {
		year = "20" + year
	}
	on := time.Date(number(year), time.Month(number(month)), number(day), 0, 0, 0, 0, time.UTC)
	if int(on.Month()) != number(month) || on.Day() != number(day) {
		return "", "there is no day " + fleet.Quoted(cell)
	}
	return on.Format(time.DateOnly), ""
}

func monthNumber(word string) string { return strconv.Itoa(1 + slices.Index(months, word[:3])) }

// number is that of up to four digits.
func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

// endings are the kinds of reading by words that tell of one, the first that fits.
var endings = []struct {
	ended fleet.Ended
	says  *regexp.Regexp
}{
	{fleet.PastTop, regexp.MustCompile(`\bpast\b|\bbeyond\b|\bunmarked\b`)},
	{fleet.StoppedShort, regexp.MustCompile(`\bshort\b`)},
	{fleet.Stated, regexp.MustCompile(`\bstated\b|\bword\b|\bsaid\b|\bestimate`)},
	{fleet.ToppedOut, regexp.MustCompile(`\btop(ped)?\b|\bmarked\b`)},
}

// parseEnded reads how a pull ended, or says what is wrong.
func parseEnded(cell string) (ended fleet.Ended, wrong string) {
	text := strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(cell))
	for _, e := range endings {
		if e.says.MatchString(text) {
			return e.ended, ""
		}
	}
	return "", "must be topped out, stopped short, past the top or stated, not " + fleet.Quoted(cell)
}
