// Package words says in sentences, in feet or in meters, what the arithmetic says in codes and numbers. It does no I/O.
//
// A number stays on one line with its ± and its unit: the spaces between them do not break. Numbers are rounded as far
// as people read them, whole feet or tenths of a meter.
package words

import (
	"cmp"
	"math"
	"strconv"
	"strings"
	"time"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

const (
	// nbsp is a space that does not break.
	nbsp = "\u00a0"
	// fullBack is how people say a start position of 0.
	fullBack = "full back"
	// negligibleFt is a difference that nobody sets a sled by. An assumption of our own.
	negligibleFt = 0.5
	// maxDecimals is how finely a length is noted.
	maxDecimals = 2
)

// Position is a start position as people say it.
func Position(startFt float64, units fleet.Units) string {
	if startFt == 0 {
		return fullBack
	}
	return exactLength(startFt, units) + " forward"
}

// length is a distance on the ground, in whole feet or tenths of a meter.
func length(feet float64, units fleet.Units) string { return lengthWith(feet, units.Decimals(), units) }

// fineLength is a length with one decimal more.
func fineLength(feet float64, units fleet.Units) string {
	return lengthWith(feet, units.Decimals()+1, units)
}

// nonzeroLength is the size of a difference, with the decimals it takes not to read as zero.
func nonzeroLength(feet float64, units fleet.Units) string {
	size, decimals := math.Abs(feet), units.Decimals()
	for decimals < maxDecimals && isZero(figure(size, decimals, units)) {
		decimals++
	}
	return lengthWith(size, decimals, units)
}

// lengthRoundedUp is the size of a difference, rounded up.
func lengthRoundedUp(feet float64, units fleet.Units) string {
	steps := math.Pow10(units.Decimals())
	up := math.Ceil(units.From(clamped(math.Abs(feet)))*steps) / steps
	return fixed(max(up, 1/steps), units.Decimals()) + nbsp + string(units)
}

// exactLength is a length as it was noted, without zeros at its end.
func exactLength(feet float64, units fleet.Units) string {
	text := figure(feet, maxDecimals, units)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".") + nbsp + string(units)
}

func lengthWith(feet float64, decimals int, units fleet.Units) string {
	if !(feet <= fleet.MaxDistanceFt) {
		return "more than " + lengthWith(fleet.MaxDistanceFt, 0, units)
	}
	return figure(feet, decimals, units) + nbsp + string(units)
}

// figure is a length as a number alone.
func figure(feet float64, decimals int, units fleet.Units) string {
	return fixed(units.From(clamped(feet)), decimals)
}

// clamped keeps a length within what any reading may be: readings that contradict each other can imply one that is not.
func clamped(feet float64) float64 {
	if !(feet <= fleet.MaxDistanceFt) {
		return fleet.MaxDistanceFt
	}
	return max(feet, 0)
}

// rounded is a distance with half its 95 % interval, as text. In feet both are whole where that half is a foot or more,
// else in tenths; in meters whole where it is 10 m or more, in tenths from 0.1 m on, else in hundredths.
type rounded struct {
	value, plusMinus string // without the unit
	units            fleet.Units
}

func withPlusMinus(feet, plusMinusFt float64, units fleet.Units) rounded {
	pm := units.From(clamped(plusMinusFt))
	decimals := 1
	switch {
	case units == fleet.InMeters && pm < 0.1:
		decimals = 2
	case units == fleet.InMeters && pm >= 10, units != fleet.InMeters && pm >= 1:
		decimals = 0
	}
	pm = max(pm, math.Pow10(-decimals)) // a ± never reads as zero
	return rounded{figure(math.Abs(feet), decimals, units), fixed(pm, decimals), units}
}

// withInterval is withPlusMinus of a value and its interval.
func withInterval(feet, lowFt, highFt float64, units fleet.Units) rounded {
	return withPlusMinus(feet, (highFt-lowFt)/2, units)
}

// roundsToZero says whether the value is rounded away.
func (r rounded) roundsToZero() bool { return isZero(r.value) }

// String is "276 ± 4 ft".
func (r rounded) String() string { return r.value + nbsp + r.plusMinusText() }

// plusMinusText is "± 4 ft".
func (r rounded) plusMinusText() string { return "±" + nbsp + r.plusMinus + nbsp + string(r.units) }

// valueText is "276 ft".
func (r rounded) valueText() string { return r.value + nbsp + string(r.units) }

// percent is the size of a share given in percent.
func percent(pct float64) string {
	const most = 1000
	if size := math.Abs(pct); size <= most {
		return fixed(size, 1) + nbsp + "%"
	}
	return fixed(most, 0) + nbsp + "% and more"
}

// fixed is a number that is not negative with so many decimals. A tie is rounded up, as in the numbers that the pages
// write.
func fixed(v float64, decimals int) string {
	return strconv.FormatFloat(math.Nextafter(v, math.Inf(1)), 'f', decimals, 64)
}

func isZero(text string) bool { return strings.Trim(text, "0.") == "" }

// farther says which way something on the ground is off.
func farther(off float64) string { return either(off, "farther", "shorter") }

// later says which way a top-out is off.
func later(off float64) string { return either(off, "later", "earlier") }

// either is the word for what is above 0, else the other one.
func either(off float64, above, other string) string {
	if off > 0 {
		return above
	}
	return other
}

// date is an ISO 8601 date as people write it, and text that is none, such as the name of a test day, as it is.
func date(text string) string {
	on, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return text
	}
	return strings.ReplaceAll(on.Format("Jan 2, 2006"), " ", nbsp)
}

var bases = map[fleet.Basis]string{
	fleet.Interpolated: "between measured start positions",
	fleet.Extended:     "beyond what was measured",
	fleet.StatedBasis:  "only stated",
	fleet.Carried:      "from before the change",
	fleet.Geared:       "from the ratios",
	fleet.Given:        "as asked",
	fleet.Unknown:      "not known",
	"":                 "not known",
}

// Basis is what a number rests on, in words that begin with a letter whoever stated it.
func Basis(b fleet.Basis, statedBy string) string {
	if b == fleet.StatedBasis && statedBy != "" {
		return "stated by " + statedBy
	}
	return cmp.Or(bases[b], string(b))
}

// Part is the name of something that a prediction needs.
func Part(p driveline.Part) string { return strings.ReplaceAll(string(p), "-", " ") }
