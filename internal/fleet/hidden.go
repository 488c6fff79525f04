package fleet

import (
	"fmt"
	"unicode"
)

// hidden finds the first character of a line that nobody sees and that makes it look like another one, and says which
// it is: those that change the direction of text (Unicode Standard Annex 9), that have no width, that break lines, and
// whatever else is ignored where it cannot be shown (Default_Ignorable_Code_Point of Annex 44). The variation selector
// that makes a color picture of a sign is let pass behind a sign.
func hidden(s string) (which string, found bool) {
	place, before := 0, rune(0)
	for _, r := range s {
		place++
		what := ""
		switch {
		case unicode.Is(unicode.Bidi_Control, r):
			what = "changes the direction of the text"
		case r == '\u2028' || r == '\u2029':
			what = "breaks the line"
		case r == '\ufe0f' && unicode.Is(unicode.So, before):
		case unicode.In(r, unicode.Cf, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point):
			what = "cannot be seen"
		}
		if what != "" {
			return fmt.Sprintf("U+%04X, which %s, as character %d", r, what, place), true
		}
		before = r
	}
	return "", false
}
