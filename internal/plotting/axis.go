package plotting

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"

	"evenpull/internal/fleet"
)

// maxFt is the largest distance that is drawn: 500 times what the program accepts as a reading.
const maxFt = 1e7

func drawable(feet ...float64) bool {
	for _, v := range feet {
		if !(math.Abs(v) <= maxFt) { // also false for NaN
			return false
		}
	}
	return true
}

// point is a point in the units of the axes. The interval is there where it can be drawn.
type point struct {
	x, y, low, high float64
	interval        bool
}

// newPoint is a point at x whose height and interval are converted by in. An interval that cannot be drawn or does not
// hold the point is left out.
func newPoint(x, y, low, high float64, in func(float64) float64) point {
	p := point{x: x, y: in(y)}
	if drawable(low, high) && low <= y && y <= high {
		p.low, p.high, p.interval = in(low), in(high), true
	}
	return p
}

// extent is the range of the values added to it.
type extent struct {
	low, high float64
	any       bool
}

func (e *extent) add(v float64) {
	if !e.any {
		*e = extent{v, v, true}
	}
	e.low, e.high = min(e.low, v), max(e.high, v)
}

// padded widens the range by a share of itself on each side, and to at least a span. It does not start below zero
// unless the values do.
func (e extent) padded(share, least float64) (low, high float64) {
	span := e.high - e.low
	pad := max(span*share, (least-span)/2)
	low, high = e.low-pad, e.high+pad
	if low < 0 && e.low >= 0 {
		high, low = max(high, least), 0
	}
	return low, high
}

// minSpanFt keeps the ticks of an axis of equal values apart and round.
const minSpanFt = 10

// yExtent is the range of y. Intervals and readings set aside widen it by no more than its own span on each side, so
// that an extreme one does not flatten the rest.
func yExtent(counted, setAside []point, least float64) extent {
	var e extent
	for _, p := range counted {
		e.add(p.y)
	}
	span := max(e.high-e.low, least)
	floor, ceiling := e.low-span, e.high+span
	if e.low >= 0 {
		floor = max(floor, 0)
	}
	for _, p := range counted {
		if p.interval {
			e.add(max(p.low, floor))
			e.add(min(p.high, ceiling))
		}
	}
	for _, p := range setAside {
		if floor <= p.y && p.y <= ceiling {
			e.add(p.y)
		}
	}
	return e
}

// ticks are numbers 1, 2 or 5 times a power of ten apart between low and high, at most one more than most.
func ticks(low, high float64, most int) plot.ConstantTicks {
	least := (high - low) / float64(most)
	power := math.Pow(10, math.Floor(math.Log10(least)))
	step := 10 * power
	for _, m := range []float64{5, 2, 1} {
		if m*power >= least {
			step = m * power
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var out plot.ConstantTicks
	for i := math.Ceil(low/step - 1e-9); i <= math.Floor(high/step+1e-9); i++ {
		v := i*step + 0 // no negative zero
		out = append(out, plot.Tick{Value: v, Label: formatNumber(v, decimals)})
	}
	return out
}

// formatNumber writes v with a comma between thousands.
func formatNumber(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, rest, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if v < 0 && strings.ContainsAny(s, "123456789") {
		whole = "−" + whole
	}
	return strings.TrimSuffix(whole+"."+rest, ".")
}

// formatDistance writes a distance that is in these units: to the foot or to the tenth of a meter.
func formatDistance(v float64, u fleet.Units) string { return formatNumber(v, u.Decimals()) }

// unitName is the name of the units on an axis. Anything but meters is feet.
func unitName(u fleet.Units) string {
	if u == fleet.InMeters {
		return "meters"
	}
	return "feet"
}

func unitSymbol(u fleet.Units) string {
	if u == fleet.InMeters {
		return string(u)
	}
	return string(fleet.InFeet)
}
