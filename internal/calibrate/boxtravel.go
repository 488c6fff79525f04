package calibrate

import (
	"math"
	"slices"
)

// Speed is how fast a gear moves the box.
type Speed struct {
	BoxSpeed                  *float64 // box feet per 100 ft of ground
	BoxSpeedLow, BoxSpeedHigh float64  // its 95 % interval, where there is one
}

// BoxSpeed is over a pull from full back; the tape of the travel is part of its interval. Its BoxSpeed is nil where the
// travel or the gear is not known, or so little that its interval has no end.
func (c *Chart) BoxSpeed(gear int) Speed {
	travel := c.travel()
	p, ok := c.Predict(gear, 0)
	if travel == 0 || !ok {
		return Speed{}
	}
	speed := 100 * travel / math.Exp(p.Log)
	s := p.Spread
	if p.point.a == nil {
		s.Other += math.Pow(travelSD/travel, 2)
	} else {
		// ln(L/(T − c)) moves with the travel by 1/L more than ln(T − c) does.
		q := point{start: 0, a: slices.Clone(p.point.a), q: slices.Clone(p.point.q)}
		if c.shaped.fitted {
			q.a[len(q.a)-1] -= 1 / travel
		} else {
			q.q[0] -= 1 / travel
		}
		s = c.covariance(q, q)
	}
	half := c.v.HalfWidth(s)
	high := speed * math.Exp(half)
	if math.IsInf(high, 1) {
		return Speed{}
	}
	return Speed{&speed, speed * math.Exp(-half), high}
}

// StartFor is the start position from which gear tops out at topOutFt on the night asked about; false where no start
// position known to the chart does.
func (c *Chart) StartFor(gear int, topOutFt float64) (float64, bool) {
	low, high, ok := c.startRange(gear)
	if !ok || topOutFt <= c.o.takeUp {
		return 0, false
	}
	want := math.Log(topOutFt-c.o.takeUp) - c.night.offset
	first, ok := c.Predict(gear, low)
	if !ok || want > first.Log+1e-12 {
		return 0, false
	}
	if c.shaped == nil || c.shaped.curve == nil {
		// (L − s)/(L − low) = (T − c)/(T(low) − c)
		travel := c.travel()
		s := travel - (travel-low)*math.Exp(want-first.Log)
		return max(s, low), s < high
	}
	if last, ok := c.Predict(gear, high); ok && want < last.Log {
		return 0, false
	}
	_, s := bisect(low, high, func(start float64) bool { // φ does not increase
		log, ok := c.logWay(gear, start)
		return ok && log > want
	})
	return s, true
}

// bisect closes in on where before turns from true to false between two positions: the last that is before, and the
// first that is not.
func bisect(low, high float64, before func(float64) bool) (float64, float64) {
	for range 60 {
		if mid := (low + high) / 2; before(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low, high
}

// logWay is Prediction.Log alone of a gear on a measured shape that has a part of it or a figure that is stated.
func (c *Chart) logWay(gear int, start float64) (float64, bool) {
	if _, stated := c.o.stated[gear]; stated {
		p, ok := c.Predict(gear, start)
		return p.Log, ok
	}
	log := c.shaped.beta[c.shaped.column[gear]] + c.shaped.standing[c.shaped.curve.partOf[gear]].here.log(start)
	return log, !math.IsNaN(log)
}

// startRange is where the chart knows gear: from the first start position to before the last, or to it on a measured
// shape without travel.
func (c *Chart) startRange(gear int) (low, high float64, ok bool) {
	travel := c.travel()
	if c.shaped == nil || c.shaped.curve == nil {
		return 0, travel, travel > 0
	}
	part := 0
	if _, stated := c.o.stated[gear]; !stated {
		part = c.shaped.curve.partOf[gear]
	}
	if part < 0 {
		return 0, 0, false
	}
	starts := c.shaped.curve.parts[part].starts
	low, high = starts[0], starts[len(starts)-1]
	if travel > 0 {
		high = travel
	}
	return low, high, high > low
}

// BoxShare is how far the box has moved, as a share of the travel (0 full back, 1 at the top), after distanceFt of
// a pull in that gear from startFt on the night asked about; false where it cannot be known.
func (c *Chart) BoxShare(gear int, startFt, distanceFt float64) (float64, bool) {
	travel := c.travel()
	p, ok := c.Predict(gear, startFt)
	if travel == 0 || !ok {
		return 0, false
	}
	gone := (distanceFt - c.o.takeUp) / math.Exp(p.Tonight.Log) // of the way from the start to the top
	switch {
	case gone <= 0:
		return startFt / travel, true
	case gone >= 1:
		return 1, true
	}
	if c.shaped == nil || c.shaped.curve == nil {
		return (startFt + gone*(travel-startFt)) / travel, true
	}
	// A measured shape: find x with φ(x) = (1 − gone) φ(s); φ does not increase.
	at, _ := bisect(startFt, travel, func(x float64) bool {
		ratio, ok := c.shaped.ratio(startFt, x)
		return ok && math.Exp(ratio) > 1-gone
	})
	return at / travel, true
}

// Knot is a place of the box along a pull, as shares: of its way along the ground from the take-up to the top-out, and
// of its rise from the start position to the top.
type Knot struct{ Way, Rise float64 }

// knotSteps is how many pieces a measured shape is told in: the straight line across one is off by less than the
// readings are. Our own choice.
const knotSteps = 32

// Knots is how the box moves up the rails from a start position on a measured shape, φ(x) = (1 − way) φ(s), from {0, 0}
// to {1, 1}, growing in both. It is nil where the box moves evenly, or nobody knows.
func (c *Chart) Knots(startFt float64) []Knot {
	travel := c.travel()
	if c.shaped == nil || c.shaped.curve == nil || !(startFt < travel) {
		return nil
	}
	out := []Knot{{0, 0}}
	for step := 1; step < knotSteps; step++ {
		rise := float64(step) / knotSteps
		ratio, ok := c.shaped.ratio(startFt, startFt+rise*(travel-startFt))
		if !ok {
			return nil
		}
		// Where φ stands still the box would leap: it moves over the next piece instead.
		if way := 1 - math.Exp(ratio); way > out[len(out)-1].Way && way < 1 {
			out = append(out, Knot{way, rise})
		}
	}
	return append(out, Knot{1, 1})
}
