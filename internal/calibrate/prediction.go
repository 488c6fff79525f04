package calibrate

import (
	"math"

	"evenpull/internal/fleet"
)

// Prediction is where one gear tops out from one start position.
type Prediction struct {
	StartFt float64
	Basis   fleet.Basis
	Outlook         // on average over days
	Tonight Outlook // on the night asked about
}

// Outlook is ln(T − c), T the top-out distance in ft and c the take-up, on average over days or on the night asked
// about.
type Outlook struct {
	Log     float64
	Spread  Spread // variance about it: of the average, or of the night's next pull
	point   point
	onNight bool
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
	return c.predicted(startFt, c.basis(gear, startFt), p, 0)
}

// predicted makes a prediction of its point; more is a variance beside that of what the point depends on. It is false
// where the interval reaches beyond any track both ways: readings that contradict each other can leave that little.
func (c *Chart) predicted(startFt float64, basis fleet.Basis, at point, more float64) (Prediction, bool) {
	night := c.night.of(at)
	p := Prediction{StartFt: startFt, Basis: basis, Outlook: Outlook{Log: at.eta, point: at},
		Tonight: Outlook{Log: night.eta, point: night, onNight: true}}
	p.Spread = Spread{Other: more}.Plus(c.Covariance(p.Outlook, p.Outlook))
	p.Tonight.Spread = Spread{Other: more}.Plus(c.Covariance(p.Tonight, p.Tonight)).Plus(Spread{Reading: c.v.Reading})
	return p, c.v.HalfWidth(p.Spread) < beyondAnyTrack
}

// Mean is the variance of an outlook without that of one pull.
func (c *Chart) Mean(o Outlook) Spread {
	if o.onNight {
		return o.Spread.Plus(Spread{Reading: -c.v.Reading})
	}
	return o.Spread
}

// Covariance of two outlooks of this chart. On the night asked about the day is the same for both.
func (c *Chart) Covariance(a, b Outlook) Spread {
	s := c.covariance(a.point, b.point)
	if a.onNight && b.onNight {
		s.Day += c.v.Day * c.night.left
	}
	return s
}

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
	return c.predicted(start, fleet.StatedBasis, p, sd*sd)
}

// At estimates where gear (its place in Sled.Gears) tops out from startFt.
func (c *Chart) At(gear int, startFt float64) Estimate {
	p, ok := c.Predict(gear, startFt)
	if !ok {
		return Estimate{StartFt: startFt, Basis: fleet.Unknown, Readings: c.o.counts[place{gear, startFt}]}
	}
	return c.Estimated(gear, p)
}

// Feet is an outlook as a top-out distance with its 95 % interval, in ft.
func (c *Chart) Feet(o Outlook) (topOut, low, high float64) {
	way, half := math.Exp(o.Log), c.v.HalfWidth(o.Spread)
	return c.o.takeUp + way, c.o.takeUp + way*math.Exp(-half), c.o.takeUp + way*math.Exp(half)
}

// Estimated is At where the prediction has been made.
func (c *Chart) Estimated(gear int, p Prediction) Estimate {
	e := Estimate{StartFt: p.StartFt, Basis: p.Basis, Readings: c.o.counts[place{gear, p.StartFt}]}
	e.TopOutFt, e.LowFt, e.HighFt = c.Feet(p.Outlook)
	e.TonightFt, e.TonightLowFt, e.TonightHighFt = c.Feet(p.Tonight)
	if r, ok := c.o.stated[gear]; ok {
		// A stated plus-or-minus is meant in feet and to both sides alike.
		share := r.Word.PlusMinusFt / (r.DistanceFt - c.o.takeUp) * math.Exp(p.Log)
		e.LowFt, e.HighFt = max(e.TopOutFt-share, 0), e.TopOutFt+share
		e.StatedBy = r.Word.By
	}
	if math.IsInf(e.TonightHighFt, 0) || math.IsInf(e.HighFt, 0) || math.IsNaN(e.TopOutFt) ||
		math.IsInf(e.TopOutFt, 0) {
		return Estimate{StartFt: p.StartFt, Basis: fleet.Unknown, Readings: e.Readings}
	}
	return e
}
