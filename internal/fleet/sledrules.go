package fleet

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Tidy drops space around names and labels, folds Unicode to one form and fills in defaults.
func (s *Sled) Tidy() {
	s.Name, s.Owner, s.Notes = tidy(s.Name), tidy(s.Owner), tidy(s.Notes)
	s.Driveline = s.Driveline.tidy()
	s.Loading.tidy()
	s.TakeUpFt += positiveZero
	s.RailMarkFt = cmp.Or(s.RailMarkFt, DefaultRailMarkFt)
	tidyGears(s.Gears)
}

func tidyGears(gears []Gear) {
	for i := range gears {
		gears[i].Label, gears[i].Range = tidy(gears[i].Label), tidy(gears[i].Range)
	}
}

// Check reports everything wrong with a tidied sled by itself.
func (s Sled) Check() *Faults {
	f := CheckName(s.Name)
	checkLine(f, "owner", s.Owner, 0, MaxNameLength)
	checkText(f, "notes", s.Notes, MaxNotesLength)
	checkTravel(f, s.TravelFt)
	checkBetween(f, "take_up_ft", "the take-up", s.TakeUpFt, 0, MaxTakeUpFt)
	if !within(s.RailMarkFt, 0.01, 10) {
		f.Add("rail_mark_ft", "the rail marks must be %s apart, not %s",
			BetweenFeet(0.01, 10), FeetAndMeters(s.RailMarkFt))
	}
	if len(s.Gears) == 0 {
		f.Add("gears", "a sled needs at least one gear")
	}
	if len(s.Gears) > MaxGears {
		f.Add("gears", "a sled can have up to %d gears, not %d", MaxGears, len(s.Gears))
	}
	s.Driveline.Check(f, "driveline")
	s.Loading.Check(f, "loading")
	checkRanges(f, s.Driveline, s.Gears)
	first := map[string]int{}
	for i, g := range s.Gears {
		at := fmt.Sprintf("gears[%d].label", i)
		checkLine(f, at, g.Label, 1, MaxLabelLength)
		folded := strings.ToLower(g.Label)
		if j, taken := first[folded]; taken && g.Label != "" {
			f.Add(at, "%q is also the label of gear %d; two gears need two labels", g.Label, j+1)
		} else {
			first[folded] = i
		}
		if g.Ratio != nil {
			checkRatio(f, fmt.Sprintf("gears[%d].ratio", i), *g.Ratio)
		}
	}
	return f
}

func checkTravel(f *Faults, travelFt *float64) {
	if travelFt != nil {
		checkBetween(f, "travel_ft", "the travel", *travelFt, MinTravelFt, MaxTravelFt)
	}
}

// positiveZero clears the sign of a zero that it is added to: PostgreSQL stores -0, SQLite does not.
const positiveZero = 0.0

// tidy also folds the ways to end a line to the one that comes back from a spreadsheet as it went in.
func tidy(s string) string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	return strings.TrimSpace(norm.NFC.String(s))
}

// within is false for NaN and infinities.
func within(v, low, high float64) bool { return v >= low && v <= high && !math.IsInf(v, 0) }

// checkAbove notes a number that is there but not above 0 and at most so much. The sentence begins with what it is, and
// text writes numbers.
func checkAbove(f *Faults, at, what string, v *float64, most float64, text func(float64) string) {
	if v != nil && !(within(*v, 0, most) && *v > 0) {
		f.Add(at, "%smust be above 0 and at most %s, not %s", what, text(most), text(*v))
	}
}

// checkBetween says whether a length is within its limits, and notes one that is not. The sentence begins with what it
// is.
func checkBetween(f *Faults, at, what string, ft, low, high float64) bool {
	if !within(ft, low, high) {
		f.Add(at, "%s must be %s, not %s", what, BetweenFeet(low, high), FeetAndMeters(ft))
		return false
	}
	return true
}

// CheckName reports everything wrong with a tidied name that an id is made from.
func CheckName(name string) *Faults {
	f := new(Faults)
	checkLine(f, "name", name, 1, MaxNameLength)
	if name != "" && Slug(name) == "" {
		f.Add("name", "needs at least one letter or digit")
	}
	return f
}

// CheckLine reports everything wrong with text on one line, least to most characters long, of which no field is known.
func CheckLine(s string, least, most int) *Faults {
	f := new(Faults)
	checkLine(f, "", s, least, most)
	return f
}

// checkLine checks text that stands on one line.
func checkLine(f *Faults, at, s string, least, most int) {
	isText := checkText(f, at, s, most)
	if utf8.RuneCountInString(s) < least {
		f.Add(at, "must not be empty")
	}
	if !isText {
		return
	}
	if strings.ContainsFunc(s, unicode.IsControl) {
		f.Add(at, "must stand on one line, without control characters")
	} else if which, found := hidden(s); found {
		f.Add(at, "holds %s; leave it out", which)
	}
}

// checkText says whether it is text at all.
func checkText(f *Faults, at, s string, most int) bool {
	if n := utf8.RuneCountInString(s); n > most {
		f.Add(at, "can be up to %d characters long, not %d", most, n)
	}
	if !utf8.ValidString(s) || strings.ContainsRune(s, 0) {
		f.Add(at, "holds bytes that are not text (UTF-8)")
		return false
	}
	return true
}
