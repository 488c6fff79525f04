package fleet

import (
	"regexp"
	"strconv"
	"strings"
)

// perFoot is how many of a unit make a foot: NIST Special Publication 811, Appendix B.
var perFoot = map[string]float64{
	"'": 1, "ft": 1, "foot": 1, "feet": 1, `"`: InchesPerFoot, "in": InchesPerFoot, "inch": InchesPerFoot,
	"inches": InchesPerFoot,
	"m":      metersPerFoot, "meter": metersPerFoot, "meters": metersPerFoot, "metre": metersPerFoot,
	"metres": metersPerFoot,
	"cm":     100 * metersPerFoot,
	"mm":     1000 * metersPerFoot,
}

// oneMark folds the marks that keyboards and word processors put for feet, inches and fractions.
var oneMark = strings.NewReplacer("’", "'", "‘", "'", "′", "'", "´", "'", "`", "'", "ʹ", "'",
	"”", `"`, "“", `"`, "″", `"`, "ʺ", `"`, "''", `"`, "¼", " 1/4", "½", " 1/2", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8",
	"⅝", " 5/8", "⅞", " 7/8")

const quantity = `(?:(\d+\.?\d*|\.\d+)|(?:(\d+)[- ]+)?(\d+)/(\d+))` // 6.5, 6 1/2, 1/2

var (
	betweenDigits = regexp.MustCompile(`(\d),(\d)`)
	twoWays       = regexp.MustCompile(`^([1-9]\d{0,2}),(\d{3})(?:[^\d,.]|$)`)
	oneLength     = regexp.MustCompile(`^` + quantity + ` ?([a-z]+|['"])?\.?$`)
	feetAndInches = regexp.MustCompile(`^(\d+) ?(?:'|ft\.?|feet|foot),? ?` + quantity + ` ?(?:"|in\.?|inch|inches)?$`)
)

// ReadInTwoWays says what is wrong with a number that has a decimal comma or one between thousands, nobody can tell
// which; nothing where it is no such number.
func ReadInTwoWays(text string) (wrong string) {
	if !strings.Contains(text, ",") {
		return ""
	}
	if n := twoWays.FindStringSubmatch(strings.TrimSpace(text)); n != nil {
		return "can be read in two ways; write " + n[1] + n[2] + " or " + n[1] + "." + n[2] + ", not " + Quoted(text)
	}
	return ""
}

// ParseLength reads a length as people write it, in feet: 12.5, 9,90 m, 32 1/2, 280' 2", 32 ft 6 in, 6½", 381 cm. A
// number without a unit is in units. Or it says what is wrong with it. The pages read lengths in the same way
// (lengths.js).
func ParseLength(text string, units Units) (feet float64, wrong string) {
	if wrong := ReadInTwoWays(text); wrong != "" {
		return 0, wrong
	}
	plain := strings.Join(strings.Fields(oneMark.Replace(strings.ToLower(text))), " ")
	plain = betweenDigits.ReplaceAllString(plain, "$1.$2")
	if n := oneLength.FindStringSubmatch(plain); n != nil {
		value, ok := quantityOf(n[1:])
		per, known := perFoot[n[5]]
		if n[5] == "" {
			per, known = perFoot[string(units)]
		}
		if ok && known {
			return value / per, ""
		}
	} else if n := feetAndInches.FindStringSubmatch(plain); n != nil {
		inches, ok := quantityOf(n[2:])
		feet, err := strconv.ParseFloat(n[1], 64)
		if ok && err == nil && inches < InchesPerFoot {
			return feet + inches/InchesPerFoot, ""
		}
	}
	return 0, `must be a length like 12.5, 12' 6" or 3.81 m, not ` + Quoted(text)
}

// quantityOf is what the groups of quantity say: a number alone, or a whole number, which may be missing, and a
// fraction.
func quantityOf(groups []string) (value float64, ok bool) {
	var n [4]float64
	for i := range n {
		if groups[i] == "" {
			continue
		}
		var err error
		if n[i], err = strconv.ParseFloat(groups[i], 64); err != nil {
			return 0, false
		}
	}
	if groups[3] == "" {
		return n[0], true
	}
	return n[1] + n[2]/n[3], n[3] > 0
}
