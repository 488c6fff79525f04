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

// extent is the range of what was added to it.
type extent struct {
	low, high float64
	any       bool
}

func (e *extent) add(v float64) {
	if !e.any {
		e.low, e.high, e.any = v, v, true
		return
	}
	e.low, e.high = min(e.low, v), max(e.high, v)
}

// padded widens the range by a share of itself on each side, and to at least the span given. It does not start
// below zero unless the values do.
func (e extent) padded(share, least float64) (low, high float64) {
	span := e.high - e.low
	pad := max(span*share, (least-span)/2)
	low, high = e.low-pad, e.high+pad
	if low < 0 && e.low >= 0 {
		high, low = max(high, least), 0
	}
	return low, high
}

// ticks are round numbers (1, 2 or 5 times a power of ten apart) between low and high, no more than most of them
// and one.
func ticks(low, high float64, most int) plot.ConstantTicks {
	least := (high - low) / float64(most)
	power := math.Pow(10, math.Floor(math.Log10(least)))
	step := 10 * power
	for _, m := range []float64{1, 2, 5} {
		if m*power >= least {
			step = m * power
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var out plot.ConstantTicks
	for i := math.Ceil(low/step - 1e-9); i <= math.Floor(high/step+1e-9); i++ {
		v := i*step + 0 // no negative zero
		out = append(out, plot.Tick{Value: v, Label: number(v, decimals)})
	}
	return out
}

// number writes v with a comma between thousands.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, rest, found := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if found {
		whole += "." + rest
	}
	if v < 0 && strings.ContainsAny(s, "123456789") {
		whole = "−" + whole
	}
	return whole
}

// unitWord is how the unit is written on an axis. Anything but meters is feet.
func unitWord(u fleet.Units) string {
	if u == fleet.InMeters {
		return "meters"
	}
	return "feet"
}

// decimalsFor is how far a distance is rounded: to the foot or to the tenth of a meter.
func decimalsFor(u fleet.Units) int {
	if u == fleet.InMeters {
		return 1
	}
	return 0
}
