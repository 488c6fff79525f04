// Package words says in sentences, in feet or in meters, what the arithmetic says in codes and numbers. It does no I/O.
//
// A number stays on one line with its ± and its unit: the spaces between them do not break. Numbers are rounded as far
// as people read them, whole feet or tenths of a meter.
package words

import (
	"math"
	"strconv"
	"strings"

	"evenpull/internal/fleet"
)

const (
	// nbsp is a space that does not break.
	nbsp = "\u00a0"
	// atStop is how people say a start position of 0.
	atStop = "full back"
	// noDifferenceFt is a difference that nobody sets a sled by. An assumption of our own.
	noDifferenceFt = 0.5
	// mostDecimals is how finely a length is noted.
	mostDecimals = 2
)

// Position is a start position as people say it.
func Position(startFt float64, units fleet.Units) string {
	if startFt == 0 {
		return atStop
	}
	return noted(startFt, units) + " forward"
}

// Length is a distance on the ground, in whole feet or tenths of a meter.
func Length(feet float64, units fleet.Units) string { return length(feet, coarse(units), units) }

// finely is a length with one decimal more.
func finely(feet float64, units fleet.Units) string { return length(feet, coarse(units)+1, units) }

// gap is the size of a difference: never nothing, where there is one.
func gap(feet float64, units fleet.Units) string {
	size := math.Abs(feet)
	for decimals := coarse(units); decimals < mostDecimals; decimals++ {
		if !isZero(figure(size, decimals, units)) {
			return length(size, decimals, units)
		}
	}
	return length(size, mostDecimals, units)
}

// within is the size of a difference, rounded up.
func within(feet float64, units fleet.Units) string {
	steps := math.Pow10(coarse(units))
	up := math.Ceil(units.From(capped(math.Abs(feet)))*steps) / steps
	return fixed(max(up, 1/steps), coarse(units)) + nbsp + string(units)
}

// noted is a length that somebody noted, as it was noted: without zeros at its end.
func noted(feet float64, units fleet.Units) string {
	text := figure(feet, mostDecimals, units)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".") + nbsp + string(units)
}

// coarse is how many decimals a distance has: a tenth of a meter is a third of a foot.
func coarse(units fleet.Units) int {
	if units == fleet.InMeters {
		return 1
	}
	return 0
}

func length(feet float64, decimals int, units fleet.Units) string {
	if !(feet <= fleet.MaxDistanceFt) {
		return "more than " + length(fleet.MaxDistanceFt, 0, units)
	}
	return figure(feet, decimals, units) + nbsp + string(units)
}

// figure is a length as a number alone.
func figure(feet float64, decimals int, units fleet.Units) string {
	return fixed(units.From(capped(feet)), decimals)
}

// capped keeps a length within what any reading may be: readings that contradict each other can imply one that is not.
func capped(feet float64) float64 {
	if !(feet <= fleet.MaxDistanceFt) {
		return fleet.MaxDistanceFt
	}
	return max(feet, 0)
}

// measured is a distance with half its 95 % interval, both rounded as the latter deserves: whole feet where it is known
// to a foot or worse, else tenths.
type measured struct {
	value, plusMinus string // as text, without the unit
	units            fleet.Units
}

func withPlusMinus(feet, plusMinusFt float64, units fleet.Units) measured {
	pm := units.From(capped(plusMinusFt))
	decimals := 1
	switch {
	case units == fleet.InMeters && pm < 0.1:
		decimals = 2
	case units == fleet.InMeters && pm >= 10, units != fleet.InMeters && pm >= 1:
		decimals = 0
	}
	pm = max(pm, math.Pow10(-decimals)) // a ± never reads as nothing
	return measured{figure(math.Abs(feet), decimals, units), fixed(pm, decimals), units}
}

// between is withPlusMinus of a value and its interval.
func between(feet, lowFt, highFt float64, units fleet.Units) measured {
	return withPlusMinus(feet, (highFt-lowFt)/2, units)
}

// isNothing says whether the value is rounded away.
func (m measured) isNothing() bool { return isZero(m.value) }

// String is "276 ± 4 ft".
func (m measured) String() string {
	return m.value + nbsp + m.give()
}

// give is the plus-or-minus alone: "± 4 ft".
func (m measured) give() string { return "±" + nbsp + m.plusMinus + nbsp + string(m.units) }

// alone is the value alone: "276 ft".
func (m measured) alone() string { return m.value + nbsp + string(m.units) }

// percent is the size of a share given in percent.
func percent(pct float64) string {
	const most = 1000
	if size := math.Abs(pct); size <= most {
		return fixed(size, 1) + nbsp + "%"
	}
	return fixed(most, 0) + nbsp + "% and more"
}

// farther says which way something on the ground is off.
func farther(off float64) string {
	if off > 0 {
		return "farther"
	}
	return "shorter"
}

// later says which way a top-out is off.
func later(off float64) string {
	if off > 0 {
		return "later"
	}
	return "earlier"
}

// fixed is a number that is not negative with so many decimals. A tie is rounded up, as in the numbers that the pages
// write.
func fixed(v float64, decimals int) string {
	return strconv.FormatFloat(math.Nextafter(v, math.Inf(1)), 'f', decimals, 64)
}

func isZero(text string) bool { return strings.Trim(text, "0.") == "" }
