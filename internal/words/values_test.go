package words

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

// plain writes spaces that do not break as spaces, so that a table reads as sentences.
func plain(text string) string { return strings.ReplaceAll(text, nbsp, " ") }

// 1 ft is 0.3048 m exactly: NIST Special Publication 811, Appendix B.
func TestPosition_ReadsAloud(t *testing.T) {
	t.Parallel()
	for start, want := range map[float64][2]string{
		0:    {"full back", "full back"},
		4:    {"4 ft forward", "1.22 m forward"},
		0.5:  {"0.5 ft forward", "0.15 m forward"},
		0.43: {"0.43 ft forward", "0.13 m forward"},
		10:   {"10 ft forward", "3.05 m forward"},
	} {
		assert.Equal(t, want[0], plain(Position(start, fleet.InFeet)))
		assert.Equal(t, want[1], plain(Position(start, fleet.InMeters)))
	}
}

func TestLength_IsInWholeFeetOrTenthsOfAMeter(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "254 ft", plain(length(253.6, fleet.InFeet)))
	assert.Equal(t, "77.3 m", plain(length(253.6, fleet.InMeters)))
	assert.Equal(t, "255 ft", plain(length(254.5, fleet.InFeet)), "a tie goes up, as in the numbers of the pages")
	assert.Equal(t, "34.5 ft", plain(fineLength(34.5, fleet.InFeet)))
	assert.Equal(t, "10.52 m", plain(fineLength(34.5, fleet.InMeters)))
	for _, beyond := range []float64{1e9, math.Inf(1), math.NaN()} {
		assert.Equal(t, "more than 20000 ft", plain(length(beyond, fleet.InFeet)))
		assert.Equal(t, "more than 6096 m", plain(length(beyond, fleet.InMeters)))
	}
}

func TestNonzeroLength_NeverReadsAsZero(t *testing.T) {
	t.Parallel()
	for feet, want := range map[float64][2]string{
		9.2:   {"9 ft", "2.8 m"},
		-9.2:  {"9 ft", "2.8 m"},
		0.4:   {"0.4 ft", "0.1 m"},
		0.04:  {"0.04 ft", "0.01 m"},
		1e300: {"more than 20000 ft", "more than 6096 m"},
	} {
		assert.Equal(t, want[0], plain(nonzeroLength(feet, fleet.InFeet)))
		assert.Equal(t, want[1], plain(nonzeroLength(feet, fleet.InMeters)))
	}
	assert.Equal(t, "1 ft", plain(lengthRoundedUp(0.2, fleet.InFeet)), "rounded up: it promises")
	assert.Equal(t, "2 ft", plain(lengthRoundedUp(-1.2, fleet.InFeet)))
	assert.Equal(t, "0.1 m", plain(lengthRoundedUp(0, fleet.InMeters)))
}

func TestPlusMinus_DecidesHowFinelyANumberReads(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		feet, plusMinus float64
		inFeet, inM     string
	}{
		{276.4, 3.7, "276 ± 4 ft", "84.2 ± 1.1 m"},
		{276.4, 0.4, "276.4 ± 0.4 ft", "84.2 ± 0.1 m"},
		{276.4, 0.2, "276.4 ± 0.2 ft", "84.25 ± 0.06 m"},
		{276.4, 0, "276.4 ± 0.1 ft", "84.25 ± 0.01 m"},
		{276.4, 40, "276 ± 40 ft", "84 ± 12 m"},
		{math.Inf(1), math.NaN(), "20000 ± 20000 ft", "6096 ± 6096 m"},
	} {
		assert.Equal(t, c.inFeet, plain(withPlusMinus(c.feet, c.plusMinus, fleet.InFeet).String()))
		assert.Equal(t, c.inM, plain(withPlusMinus(c.feet, c.plusMinus, fleet.InMeters).String()))
	}
	assert.NotContains(t, withPlusMinus(276.4, 3.7, fleet.InFeet).String(), " ",
		"a number stays with its ± and its unit")
}

func TestDate_IsWrittenOutAndANameIsNot(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "May 9, 2026", plain(date("2026-05-09")))
	assert.Equal(t, "Harvest Pull", date("Harvest Pull"))
	assert.Equal(t, "2026-02-30", date("2026-02-30"))
	assert.Empty(t, date(""))
}
