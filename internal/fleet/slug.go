package fleet

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Slug makes an id that reads well in a link: lower-case letters and digits with single hyphens between. Accents on
// Latin letters are dropped; letters of other scripts stay as they are. It is empty when name holds no letter or digit.
func Slug(name string) string {
	var b strings.Builder
	gap, latin := false, false
	for _, r := range norm.NFD.String(name) {
		switch {
		case unicode.Is(unicode.Mn, r):
			if !latin && b.Len() > 0 && !gap {
				b.WriteRune(r) // part of the letter before
			}
			continue
		case r == '\'' || r == '’':
			continue
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap, latin = false, unicode.Is(unicode.Latin, r)
			b.WriteRune(unicode.ToLower(r))
		default:
			gap = true
		}
	}
	return norm.NFC.String(b.String())
}
