package panload

import (
	"math"
	"slices"
)

// Pull is where the box of one sled is along a pull: at the start position until the slack is out, then evenly up the
// rails, and at the top from there on. Feet.
type Pull struct {
	StartFt  float64 // box mark
	TopFt    float64 // box mark at the top
	TakeUpFt float64 // slack before the box moves
	TopOutFt float64 // distance at which the box tops out
	TopOutSD float64 // its standard uncertainty
}

// BoxAt is the box mark at a distance: x(d) = s + (L − s)(d − c)/(T − c) between the take-up and the top-out.
func (p Pull) BoxAt(distanceFt float64) float64 {
	switch {
	case distanceFt <= p.TakeUpFt:
		return p.StartFt
	case distanceFt >= p.TopOutFt:
		return p.TopFt
	}
	return p.StartFt + (p.TopFt-p.StartFt)*(distanceFt-p.TakeUpFt)/(p.TopOutFt-p.TakeUpFt)
}

// boxSD is the standard uncertainty of the box mark at a distance: nothing at the start and past the top.
func (p Pull) boxSD(distanceFt float64) float64 {
	if distanceFt <= p.TakeUpFt || distanceFt >= p.TopOutFt {
		return 0
	}
	return (p.BoxAt(distanceFt) - p.StartFt) / (p.TopOutFt - p.TakeUpFt) * p.TopOutSD
}

// breaks are the distances from 0 to end between which the boxes of all pulls move evenly.
func breaks(end float64, pulls ...Pull) []float64 {
	out := []float64{0, end}
	for _, p := range pulls {
		for _, d := range []float64{p.TakeUpFt, p.TopOutFt} {
			if d > 0 && d < end {
				out = append(out, d)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// mean averages over 0 … end a product of two functions that are linear between the breaks, exactly (Simpson's rule is
// exact for polynomials of the second degree).
func mean(breaks []float64, of func(d float64) float64) float64 {
	sum, end := 0.0, breaks[len(breaks)-1]
	for i := 1; i < len(breaks); i++ {
		// The functions may jump at a break (a box that starts at its top): each piece is asked inside.
		a, b := math.Nextafter(breaks[i-1], math.Inf(1)), math.Nextafter(breaks[i], math.Inf(-1))
		sum += (breaks[i] - breaks[i-1]) * (of(a) + 4*of((a+b)/2) + of(b)) / 6
	}
	return sum / end
}

// LoadAt is what lies on the pan at a distance along the pull, with what the weighings and the top-out leave open of
// it. False where the weighings do not tell.
func (s Side) LoadAt(distanceFt float64) (Load, bool) {
	r := row(s.Pull.BoxAt(distanceFt), s.InBoxLb)
	if !s.Fit.known(r) {
		return Load{}, false
	}
	variance := s.Fit.covariance(r, r)
	if sd := s.Pull.boxSD(distanceFt); sd > 0 {
		variance += math.Pow(s.Fit.perFt(s.InBoxLb)*sd, 2)
	}
	return s.Fit.load(s.Fit.sum(r)+s.OnPanLb, variance), true
}
