package calibrate

import (
	"math"

	"evenpull/internal/fleet"
)

// Prediction is ln(T − c) of one gear from one start position, T the top-out distance in ft and c the take-up: on
// average over days, and on the night asked about.
type Prediction struct {
	StartFt    float64
	Log        float64 // on average over days
	Spread     Spread  // its variance
	TonightLog float64
	Tonight    Spread // the variance of the next pull's about TonightLog
	Basis      fleet.Basis
	point      point
	tonight    point
}

// beyondAnyTrack is a logarithm of feet that no track reaches: readings that contradict each other can imply it.
const beyondAnyTrack = 25

// Predict is false where nothing can be said of the gear (its place in Sled.Gears) from there.
func (c *Chart) Predict(gear int, startFt float64) (Prediction, bool) {
	if gear < 0 || gear >= len(c.notebook.Sled.Gears) || !(startFt >= 0) {
		return Prediction{}, false
	}
	if r, ok := c.o.stated[gear]; ok {
		return c.stated(r, startFt)
	}
	if c.shaped == nil {
		return Prediction{}, false
	}
	if c.shaped.column[gear] < 0 {
		return c.geared(gear, startFt)
	}
	p, ok := c.shaped.at(gear, startFt)
	if !ok || !(math.Abs(p.eta) < beyondAnyTrack) {
		return Prediction{}, false
	}
	return c.predicted(Prediction{StartFt: startFt, Basis: c.basis(gear, startFt), point: p})
}

// predicted fills in a prediction that has its point; Spread holds what else is uncertain.
func (c *Chart) predicted(p Prediction) (Prediction, bool) {
	more := p.Spread
	p.Log, p.Spread = p.point.eta, more.Plus(c.covariance(p.point, p.point))
	p.tonight = c.night.of(p.point)
	p.TonightLog, p.Tonight = p.tonight.eta, more.Plus(c.tonightCovariance(p.tonight,
		p.tonight)).Plus(Spread{Reading: c.v.Reading})
	return p, c.saysAnything(p.Spread)
}

// TonightCovariance is Covariance on the night asked about: the day is the same for both.
func (c *Chart) TonightCovariance(a, b Prediction) Spread {
	return c.tonightCovariance(a.tonight, b.tonight)
}

// TonightMean is the variance of a prediction on the night asked about, without that of one pull.
func (c *Chart) TonightMean(p Prediction) Spread {
	return p.Tonight.Plus(Spread{Reading: -c.v.Reading})
}

// TonightWithAverage is the covariance of one prediction on the night asked about and of another on average over days.
func (c *Chart) TonightWithAverage(tonight, average Prediction) Spread {
	return c.covariance(tonight.tonight, average.point)
}

func (c *Chart) tonightCovariance(a, b point) Spread {
	return c.covariance(a, b).Plus(Spread{Day: c.v.Day * c.night.left})
}

// saysAnything is false where an interval reaches beyond any track both ways: readings that contradict each other can
// leave that little.
func (c *Chart) saysAnything(s Spread) bool { return c.v.HalfWidth(s) < beyondAnyTrack }

// Covariance of two predictions of this chart.
func (c *Chart) Covariance(a, b Prediction) Spread { return c.covariance(a.point, b.point) }

func (c *Chart) covariance(a, b point) Spread {
	if a.a == nil || b.a == nil {
		return Spread{} // a stated figure owes nothing to the readings
	}
	s := c.shaped.covariance(a, b)
	if a.gear == b.gear {
		s.Other += c.torn[a.gear]
	}
	return s
}

// covariance of two points of one model.
func (m *model) covariance(a, b point) Spread {
	s := Spread{Day: m.v.Day * bilinear(a.a, m.spread.day, b.a),
		Reading: m.v.Reading * bilinear(a.a, m.spread.reading, b.a)}
	for j, t := range m.tapes {
		s.Other += t.sd * t.sd * a.q[j] * b.q[j]
	}
	if a.start == b.start { // one mark for both
		k := len(m.tapes)
		s.Other += startMarkSD * startMarkSD * a.q[k] * b.q[k]
	}
	s.Other += a.bent * b.bent
	return s
}

func bilinear(a []float64, s interface{ At(i, j int) float64 }, b []float64) float64 {
	sum := 0.0
	for i, ai := range a {
		if ai == 0 {
			continue
		}
		for j, bj := range b {
			if bj != 0 {
				sum += ai * bj * s.At(i, j)
			}
		}
	}
	return sum
}

// basis of a gear with observations.
func (c *Chart) basis(gear int, start float64) fleet.Basis {
	o := c.o
	switch {
	case !o.recent[gear]:
		return fleet.Carried
	case o.topped[place{gear, start}]:
		return fleet.Measured
	case len(o.starts) == 0 || start < o.starts[0]:
		return fleet.Extended
	case start <= o.starts[len(o.starts)-1] || c.travel() > 0:
		return fleet.Interpolated
	}
	return fleet.Extended
}

// stated predicts from somebody's word, moved along the shape where there is one.
func (c *Chart) stated(r statement, start float64) (Prediction, bool) {
	y, travel := r.y, c.travel()
	switch {
	case travel > 0 && start >= travel:
		return Prediction{}, false
	case start == r.StartFt:
	case c.shaped != nil && c.shaped.curve != nil:
		ratio, ok := c.shaped.ratio(r.StartFt, start)
		if !ok {
			return Prediction{}, false
		}
		y += ratio
	case travel > max(start, r.StartFt):
		y += math.Log((travel - start) / (travel - r.StartFt))
	default:
		return Prediction{}, false
	}
	sd := r.Word.PlusMinusFt / t95(math.Inf(1)) / (r.DistanceFt - c.o.takeUp)
	p := point{gear: -1, eta: y, start: start}
	if c.shaped != nil {
		p.q = make([]float64, len(c.shaped.tapes)+1)
	}
	return c.predicted(Prediction{StartFt: start, Spread: Spread{Other: sd * sd}, Basis: fleet.StatedBasis, point: p})
}

// At estimates where gear (its place in Sled.Gears) tops out from startFt.
func (c *Chart) At(gear int, startFt float64) Estimate {
	p, ok := c.Predict(gear, startFt)
	if !ok {
		return Estimate{StartFt: startFt, Basis: fleet.Unknown, Readings: c.o.counts[place{gear, startFt}]}
	}
	return c.Estimated(gear, p)
}

// Estimated is At where the prediction has been made.
func (c *Chart) Estimated(gear int, p Prediction) Estimate {
	e := Estimate{StartFt: p.StartFt, Basis: fleet.Unknown, Readings: c.o.counts[place{gear, p.StartFt}]}
	way, half := math.Exp(p.Log), c.v.HalfWidth(p.Spread)
	e.TopOutFt, e.Basis = c.o.takeUp+way, p.Basis
	e.LowFt, e.HighFt = c.o.takeUp+way*math.Exp(-half), c.o.takeUp+way*math.Exp(half)
	tonight, halfTonight := math.Exp(p.TonightLog), c.v.HalfWidth(p.Tonight)
	e.TonightFt = c.o.takeUp + tonight
	e.TonightLowFt = c.o.takeUp + tonight*math.Exp(-halfTonight)
	e.TonightHighFt = c.o.takeUp + tonight*math.Exp(halfTonight)
	if r, ok := c.o.stated[gear]; ok {
		// A stated plus-or-minus is meant in feet and to both sides alike.
		share := r.Word.PlusMinusFt / (r.DistanceFt - c.o.takeUp) * way
		e.LowFt, e.HighFt = max(e.TopOutFt-share, 0), e.TopOutFt+share
		e.StatedBy = r.Word.By
	}
	if math.IsInf(e.TonightHighFt, 0) || math.IsInf(e.HighFt, 0) || math.IsNaN(e.TopOutFt) ||
		math.IsInf(e.TopOutFt, 0) {
		return Estimate{StartFt: p.StartFt, Basis: fleet.Unknown, Readings: e.Readings}
	}
	return e
}
