// Package panload turns weighings of a sled into what lies on its pan, wherever the box stands and whatever is in it,
// and answers how much in the box makes one sled's pan carry what another's does. Pure arithmetic; no I/O.
//
// With x the box mark in feet from full back, w the blocks in the box and q the blocks on the pan in pounds, moments
// about the tandem give the pan load of a sled that stands level
//
//	N(x, w, q) = A + B x + C w + D x w + q    A = (W_f g + W_b p)/L + pan    B = W_b/L    C = p/L    D = 1/L
//
// where L is the way from the tandem to the pan pin, W_b the empty box, p its center ahead of the tandem at x = 0, W_f
// the frame and g its center ahead of the tandem. Where the box starts over or behind the tandem, C ≤ 0: blocks hardly
// change the load at the hook, or lighten it.
package panload

import (
	"cmp"

	"evenpull/internal/fleet"
)

// Normal95 is the 97.5 % quantile of the normal distribution.
const Normal95 = 1.959963984540054

// Sled is what is known of one sled's load.
type Sled struct {
	fleet.Loading
	Weighings []fleet.Weighing // that count
	TravelFt  float64          // box mark at the top
}

// total is the weight of the whole sled as it was read, or both its parts; false where neither is known.
func total(w fleet.Weighing) (float64, bool) {
	switch {
	case w.TotalLb != nil:
		return *w.TotalLb, true
	case w.TandemLb != nil:
		return w.PanLb + *w.TandemLb, true
	}
	return 0, false
}

// taped is a length or a weight with its standard uncertainty.
type taped struct{ value, sd float64 }

// tapedAs is nil where nothing is known. Its ± is half a 95 % interval of a normal distribution (JCGM 100:2008, 4.3.4).
func tapedAs(v, plusMinus *float64, usual float64) *taped {
	if v == nil {
		return nil
	}
	return &taped{*v, *cmp.Or(plusMinus, &usual) / Normal95}
}

// tape is what was taped or is known of a sled besides its weighings: L in ft, W_b in lb, and p in ft.
func (s Sled) tape() (length, box, center *taped) {
	return tapedAs(s.TandemToPanFt, s.TandemToPanPlusMinusFt, fleet.DefaultTapedPlusMinusFt),
		tapedAs(s.EmptyBoxLb, s.EmptyBoxPlusMinusLb, fleet.DefaultEmptyBoxPlusMinusLb),
		tapedAs(s.BoxAheadOfTandemFt, s.BoxAheadOfTandemPlusMinusFt, fleet.DefaultTapedPlusMinusFt)
}
