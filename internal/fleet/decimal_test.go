package fleet

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

func TestParseDecimal_ReadsNumbersAsPeopleWriteThem(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{"0": 0, "297.0": 297, "+1": 1, "-2.5": -2.5, ".5": 0.5, "5.": 5,
		"2.97E+02": 297} {
		got, wrong := ParseDecimal(text)
		assert.Empty(t, wrong, text)
		assert.Equal(t, want, got, text)
	}
	for text, want := range map[string]string{
		"":        "must be a number, not empty",
		"NaN":     `must be a number, not "NaN"`,
		"inf":     `must be a number, not "inf"`,
		"0x10":    `must be a number, not "0x10"`,
		"1_000":   `must be a number, not "1_000"`,
		"1e":      `must be a number, not "1e"`,
		"12 ft":   `must be a number, not "12 ft"`,
		"12,5":    `must be written with a decimal point, such as 12.5, not "12,5"`,
		"1,234.5": `must be a number, not "1,234.5"`,
		"1e999":   "is too large a number",
	} {
		_, wrong := ParseDecimal(text)
		assert.Equal(t, want, wrong, text)
	}
}

func FuzzDecimal(f *testing.F) {
	for _, seed := range []string{"", "0", "-0", "+.5", "1.", "1,5", "1,234.5", "1e999", "1e-999", "0x10", "1_0", "NaN",
		"Inf", "٣", "1e", " 1", "179769313486231570000000000000000000000e271"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, wrong := ParseDecimal(text)
		if wrong != "" {
			if !utf8.ValidString(wrong) {
				t.Fatalf("%q is refused with %q", text, wrong)
			}
			if want, err := strconv.ParseFloat(text, 64); err == nil && !math.IsInf(want, 0) &&
				strings.Trim(text, "0123456789.-") == "" {
				t.Fatalf("%q is %g, and was refused: %s", text, want, wrong)
			}
			return
		}
		if math.IsNaN(n) || math.IsInf(n, 0) || strings.ContainsAny(text, "xX_nN") {
			t.Fatalf("%q was taken for %g", text, n)
		}
		if again, wrong := ParseDecimal(strconv.FormatFloat(n, 'g', -1, 64)); again != n || wrong != "" {
			t.Fatalf("%q is %g, and that is %g: %s", text, n, again, wrong)
		}
	})
}
