package words

import (
	"slices"

	"golang.org/x/text/unicode/bidi"

	"evenpull/internal/match"
)

// isolated is what somebody typed, for use within a sentence: where it has letters that are written from right to left,
// it stands between isolates (Unicode Standard Annex 9), so that the numbers around it stay in their order.
func isolated(text string) string {
	for _, r := range text {
		switch p, _ := bidi.LookupRune(r); p.Class() {
		case bidi.R, bidi.AL, bidi.AN:
			return "\u2068" + text + "\u2069"
		}
	}
	return text
}

// withIsolated is an answer with the labels of its gears isolated.
func withIsolated(a match.Answer) match.Answer {
	if a.Nearest != nil {
		a.Nearest = new(*a.Nearest)
		a.Nearest.Gear = isolated(a.Nearest.Gear)
	}
	if a.RunnerUp != nil {
		a.RunnerUp = new(*a.RunnerUp)
		a.RunnerUp.Gear = isolated(a.RunnerUp.Gear)
	}
	if a.MovedStart != nil {
		a.MovedStart = new(*a.MovedStart)
		a.MovedStart.Gear = isolated(a.MovedStart.Gear)
	}
	a.Gears = slices.Clone(a.Gears)
	for i := range a.Gears {
		a.Gears[i].Gear = isolated(a.Gears[i].Gear)
	}
	a.UsualGear = isolated(a.UsualGear)
	return a
}
