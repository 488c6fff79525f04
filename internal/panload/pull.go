package panload

import (
	"math"
	"slices"
)

// Pull is where the box of one sled is along a pull: at the start position until the slack is out, then up the rails,
// evenly or on a measured shape, and at the top from there on. Feet.
type Pull struct {
	StartFt  float64 // box mark
	TopFt    float64 // box mark at the top
	TakeUpFt float64 // slack before the box moves
	TopOutFt float64 // distance at which the box tops out
	TopOutSD float64 // its standard uncertainty
	Shape    []Knot  // from {0, 0} to {1, 1}, growing in both; nil where the box moves evenly
}

// Knot is a place of the box along a pull, as shares: of the way from the take-up to the top-out, and of the rise from
// the start position to the top. Between two knots the box moves evenly.
type Knot struct{ Way, Rise float64 }

var evenly = []Knot{{0, 0}, {1, 1}}

func (p Pull) knots() []Knot {
	if p.Shape == nil {
		return evenly
	}
	return p.Shape
}

// rise is the share of the rise at a share of the way, f(u), and its slope there.
func (p Pull) rise(way float64) (share, slope float64) {
	knots, i := p.knots(), 1
	for i < len(knots)-1 && knots[i].Way < way {
		i++
	}
	a, b := knots[i-1], knots[i]
	slope = (b.Rise - a.Rise) / (b.Way - a.Way)
	return a.Rise + slope*(way-a.Way), slope
}

// distance is where a share of the way is gone.
func (p Pull) distance(way float64) float64 { return p.TakeUpFt + (p.TopOutFt-p.TakeUpFt)*way }

// DistanceAt is the distance at which the box is at a mark between the start position and the top.
func (p Pull) DistanceAt(boxFt float64) float64 {
	rise := (boxFt - p.StartFt) / (p.TopFt - p.StartFt)
	knots, i := p.knots(), 1
	for i < len(knots)-1 && knots[i].Rise < rise {
		i++
	}
	a, b := knots[i-1], knots[i]
	return p.distance(a.Way + (rise-a.Rise)/(b.Rise-a.Rise)*(b.Way-a.Way))
}

// BoxAt is the box mark at a distance: x(d) = s + (L − s) f(u), u = (d − c)/(T − c), between the take-up and the
// top-out.
func (p Pull) BoxAt(distanceFt float64) float64 {
	switch {
	case distanceFt <= p.TakeUpFt:
		return p.StartFt
	case distanceFt >= p.TopOutFt:
		return p.TopFt
	}
	share, _ := p.rise((distanceFt - p.TakeUpFt) / (p.TopOutFt - p.TakeUpFt))
	return p.StartFt + (p.TopFt-p.StartFt)*share
}

// boxSD is the standard uncertainty of the box mark at a distance, by ∂x/∂T = −(L − s) f′(u) u/(T − c): nothing at the
// start and past the top.
func (p Pull) boxSD(distanceFt float64) float64 {
	if distanceFt <= p.TakeUpFt || distanceFt >= p.TopOutFt {
		return 0
	}
	way := (distanceFt - p.TakeUpFt) / (p.TopOutFt - p.TakeUpFt)
	_, slope := p.rise(way)
	return (p.TopFt - p.StartFt) * slope * way / (p.TopOutFt - p.TakeUpFt) * p.TopOutSD
}

// breaks are the distances from 0 to end between which the boxes of all pulls move evenly.
func breaks(end float64, pulls ...Pull) []float64 {
	out := []float64{0, end}
	for _, p := range pulls {
		for _, k := range p.knots() {
			if d := p.distance(k.Way); d > 0 && d < end {
				out = append(out, d)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// mean averages over 0 … end a product of two functions that are linear between the breaks, exactly (Simpson's rule is
// exact for polynomials of the second degree).
func (p pair) mean(of func(d float64) float64) float64 {
	breaks, sum := p.breaks, 0.0
	for i := 1; i < len(breaks); i++ {
		// The functions may jump at a break (a box that starts at its top): each piece is asked inside.
		a, b := math.Nextafter(breaks[i-1], math.Inf(1)), math.Nextafter(breaks[i], math.Inf(-1))
		sum += (breaks[i] - breaks[i-1]) * (of(a) + 4*of((a+b)/2) + of(b)) / 6
	}
	return sum / breaks[len(breaks)-1]
}

// LoadAt is what lies on the pan at a distance along the pull, with what the weighings and the top-out leave open of
// it. False where the weighings do not tell.
func (s Side) LoadAt(distanceFt float64) (Load, bool) {
	r := row(s.Pull.BoxAt(distanceFt), s.InBoxLb)
	if !s.Fit.known(r) {
		return Load{}, false
	}
	return s.Fit.load(s.Fit.sum(r)+s.OnPanLb, s.Fit.covariance(r, r)+s.pullVariance(distanceFt)), true
}

// pullVariance is what the top-out leaves open of the load at a distance, in lb²: a foot of the box's way adds B + D w.
func (s Side) pullVariance(distanceFt float64) float64 {
	return math.Pow(s.Fit.sum([terms]float64{0, 1, 0, s.InBoxLb})*s.Pull.boxSD(distanceFt), 2)
}
