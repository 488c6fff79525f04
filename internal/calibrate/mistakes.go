package calibrate

import (
	"math"

	"evenpull/internal/fleet"
)

// fitsWithin is how near, in standard uncertainties, a mended reading must lie to what the others say. An assumption of
// our own.
const fitsWithin = 2.5

// mendOf looks for the usual mistake that brings an observation nearest to what the others say: m is the fit without
// it. Nil where none brings it near.
func (m *model) mendOf(obs observation) *fleet.Mend {
	if !obs.top {
		return nil
	}
	r := obs.reading
	var best *fleet.Mend
	bestZ := fitsWithin
	try := func(kind fleet.MendKind, gear int, start, ft, y float64) {
		if z, ok := m.misfit(gear, start, y, obs); ok && z < bestZ {
			best, bestZ = &fleet.Mend{Kind: kind, Gear: m.o.labels[gear], DistanceFt: ft, StartFt: start}, z
		}
	}
	for gear := range m.column {
		if gear != obs.gear {
			try(fleet.AnotherGear, gear, obs.start, r.DistanceFt, obs.y)
		}
	}
	otherDistances(r.DistanceFt, func(kind fleet.MendKind, ft float64) {
		if ft > m.o.takeUp {
			y := obs.y + math.Log(ft-m.o.takeUp) - math.Log(r.DistanceFt-m.o.takeUp)
			try(kind, obs.gear, obs.start, ft, y)
		}
	})
	if m.travel > 0 && obs.start > 0 {
		try(fleet.OtherEnd, obs.gear, m.travel-obs.start, r.DistanceFt, obs.y)
	}
	return best
}

// misfit is how far, in standard uncertainties, an observation with other values would lie from what m says of its day.
func (m *model) misfit(gear int, start, y float64, obs observation) (float64, bool) {
	p, ok := m.at(gear, start)
	if !ok {
		return 0, false
	}
	n := m.night(obs.reading.Day)
	p = n.of(p)
	total := m.v.Day*(n.left+bilinear(p.a, m.spread.day, p.a)) + m.v.Reading*(1+bilinear(p.a, m.spread.reading, p.a))
	return math.Abs(y-p.eta) / math.Sqrt(total), true
}

// otherDistances tries what a noted distance may have been meant to be: two neighboring digits of its whole feet the
// other way round, meters, feet, ten times as much or as little.
func otherDistances(ft float64, try func(kind fleet.MendKind, ft float64)) {
	try(fleet.MetersAsFeet, fleet.Feet(ft))
	try(fleet.FeetAsMeters, fleet.InMeters.From(ft))
	try(fleet.DecimalPoint, ft*10)
	try(fleet.DecimalPoint, ft/10)
	whole, _ := math.Modf(ft)
	n := int64(whole)
	for place := int64(1); n >= 10*place; place *= 10 {
		right, left := n/place%10, n/(10*place)%10
		leads := n < 100*place
		if right != left && !(leads && right == 0) {
			try(fleet.SwappedDigits, ft+float64((right-left)*9*place))
		}
	}
}
