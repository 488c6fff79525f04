package calibrate

import (
	"maps"
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// Notebook is what a sled's chart is made from. Readings that are set aside do not count.
type Notebook struct {
	Sled     fleet.Sled
	Readings []fleet.Reading
	Changes  []Change // of parts, by date
	// of each gear of Sled.Gears: logarithm of the way to the top but for a constant, from its ratio; NaN unknown
	Slowness []float64
}

// Variances are the lattice point a chart is fitted at. Comparable: equal points and notebooks give equal charts.
type Variances struct {
	Day, Reading     float64 // variances of logarithms
	DayDF, ReadingDF float64 // degrees of freedom they are known to
	AssumedReading   float64 // the assumed variance of a reading, which readings that stopped short are weighed against
}

// Chart is a sled's top-out distance for every gear and start position. It does not change once fitted and may be
// used by many goroutines.
type Chart struct {
	notebook Notebook
	v        Variances
	o        *observations
	shaped   *shaped // nil without usable readings
	suspects []suspect
	torn     map[int]float64 // gears of which two readings contradict each other: variance of the logarithm for that
	asked    string          // the day asked about; empty for one not yet seen
	night    night           // what is known of it
	strays   []observation   // its readings that move nothing
	why      error           // why there is no fit though there are readings
}

// Fit makes the chart. A notebook without usable readings gives a chart that knows nothing but what is stated. Readings
// that the others contradict do not enter it.
func Fit(n Notebook, v Variances) *Chart {
	o := observe(n, v.AssumedReading)
	c := fitted(n, v, o)
	for agreeing := c.agreeing(); len(agreeing) > 0; {
		with := fitted(n, v, o.restored(agreeing))
		accused := with.accusedOf(c)
		if len(accused) == 0 {
			return with
		}
		before := len(agreeing)
		maps.DeleteFunc(agreeing, func(gear int, _ bool) bool { return accused[gear] })
		if len(agreeing) == before {
			return c
		}
	}
	return c
}

// accusedOf are the gears of readings that count in other and are accused in c: what was carried over a change of parts
// accuses nothing that was measured since.
func (c *Chart) accusedOf(other *Chart) map[int]bool {
	out := map[int]bool{}
	for _, s := range c.suspects {
		if slices.ContainsFunc(other.o.list, func(obs observation) bool { return obs.reading == s.obs.reading }) {
			out[s.obs.gear] = true
		}
	}
	return out
}

func fitted(n Notebook, v Variances, o *observations) *Chart {
	c := &Chart{notebook: n, v: v, torn: map[int]float64{}, night: unseen}
	var m *model
	m, c.suspects, c.why = o.sift(n, v)
	if m == nil {
		c.o = o.without(c.suspects)
	} else {
		c.shaped, c.o = shapedBy(m), m.o
	}
	for _, s := range c.suspects {
		if s.rival != nil {
			c.torn[s.obs.gear] = s.gap * s.gap / 4
		}
	}
	return c
}

// Starts lists the start positions that have readings which are not set aside, ascending.
func (c *Chart) Starts() []float64 { return slices.Clone(c.o.all) }

// LeftOut are the ids of the readings that count nowhere until somebody answers what a check says of them.
func (c *Chart) LeftOut() map[string]bool {
	out := map[string]bool{}
	for _, s := range c.suspects {
		if s.rival == nil {
			out[s.obs.reading.ID] = true
		}
	}
	return out
}

// Shape says how top-outs fall with the start position.
func (c *Chart) Shape() fleet.Shape {
	switch {
	case c.shaped != nil:
		return c.shaped.shape
	case c.o.travel > 0:
		return fleet.Straight
	}
	return fleet.FullBackOnly
}

// travel is the one the chart goes by, 0 when unknown.
func (c *Chart) travel() float64 {
	if c.shaped != nil {
		return c.shaped.travel
	}
	return c.o.travel
}

// TravelFt is the travel the chart goes by, nil when unknown.
func (c *Chart) TravelFt() *float64 {
	if t := c.travel(); t > 0 {
		return &t
	}
	return nil
}

// ImpliedTravel is the travel the readings imply, nil where they say nothing of it. Its interval takes the marks as
// taped and the shape as straight.
func (c *Chart) ImpliedTravel() *ImpliedTravel {
	if c.shaped == nil || c.shaped.implied == nil {
		return nil
	}
	m := c.shaped.implied
	half := c.v.HalfWidth(m.travelSpread())
	return &ImpliedTravel{
		TravelFt: m.travel, LowFt: max(m.travel-half, 0), HighFt: m.travel + half,
		Used: c.shaped.model == m,
	}
}

// travelSpread is the variance in ft² of a fitted travel.
func (m *model) travelSpread() Spread {
	last := m.d.p - 1
	s := Spread{Day: m.v.Day * m.spread.day.At(last, last), Reading: m.v.Reading * m.spread.reading.At(last, last)}
	if m.slip != nil {
		for j, t := range m.tapes {
			s.Other += math.Pow(t.sd*m.slip.At(last, j), 2)
		}
	}
	return s
}

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
	m := c.shaped
	s := Spread{Day: c.v.Day * bilinear(a.a, m.spread.day, b.a),
		Reading: c.v.Reading * bilinear(a.a, m.spread.reading, b.a)}
	for j, t := range m.tapes {
		s.Other += t.sd * t.sd * a.q[j] * b.q[j]
	}
	if a.start == b.start { // one mark for both
		k := len(m.tapes)
		s.Other += startMarkSD * startMarkSD * a.q[k] * b.q[k]
	}
	s.Other += a.bent * b.bent
	if a.gear == b.gear {
		s.Other += c.torn[a.gear]
	}
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
	sd := *r.PlusMinusFt / t95(math.Inf(1)) / (r.DistanceFt - c.o.takeUp)
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
	e.TonightLowFt, e.TonightHighFt = c.o.takeUp+tonight*math.Exp(-halfTonight), c.o.takeUp+tonight*math.Exp(halfTonight)
	if r, ok := c.o.stated[gear]; ok {
		// A stated plus-or-minus is meant in feet and to both sides alike.
		share := *r.PlusMinusFt / (r.DistanceFt - c.o.takeUp) * way
		e.LowFt, e.HighFt = max(e.TopOutFt-share, 0), e.TopOutFt+share
		e.StatedBy = r.By
	}
	if math.IsInf(e.TonightHighFt, 0) || math.IsInf(e.HighFt, 0) || math.IsNaN(e.TopOutFt) ||
		math.IsInf(e.TopOutFt, 0) {
		return Estimate{StartFt: p.StartFt, Basis: fleet.Unknown, Readings: e.Readings}
	}
	return e
}

// TakeUpFt is the slack before the box moves.
func (c *Chart) TakeUpFt() float64 { return c.o.takeUp }

// Variances are the ones the chart is fitted at.
func (c *Chart) Variances() Variances { return c.v }

// BoxSpeed is box feet per 100 ft of ground, over a pull from full back, with its 95 % interval, which the tape of the
// travel is part of. It is nil where the travel or the gear is not known, or so little that its interval has no end.
func (c *Chart) BoxSpeed(gear int) (speed *float64, low, high float64) {
	is, low, high, ok := c.boxSpeed(gear)
	if !ok {
		return nil, 0, 0
	}
	return &is, low, high
}

func (c *Chart) boxSpeed(gear int) (speed, low, high float64, ok bool) {
	travel := c.travel()
	if travel == 0 {
		return 0, 0, 0, false
	}
	p, ok := c.Predict(gear, 0)
	if !ok {
		return 0, 0, 0, false
	}
	speed = 100 * travel / math.Exp(p.Log)
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
	high = speed * math.Exp(half)
	return speed, speed * math.Exp(-half), high, !math.IsInf(high, 1)
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
	for range 60 { // φ does not increase
		mid := (low + high) / 2
		if log, ok := c.logWay(gear, mid); ok && log > want {
			low = mid
		} else {
			high = mid
		}
	}
	return high, true
}

// logWay is Prediction.Log alone.
func (c *Chart) logWay(gear int, start float64) (float64, bool) {
	if _, stated := c.o.stated[gear]; stated || c.shaped == nil || c.shaped.column[gear] < 0 {
		p, ok := c.Predict(gear, start)
		return p.Log, ok
	}
	return c.shaped.logWay(gear, start)
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
	gone := (distanceFt - c.o.takeUp) / math.Exp(p.TonightLog) // of the way from the start to the top
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
	low, high := startFt, travel
	for range 60 {
		mid := (low + high) / 2
		ratio, ok := c.shaped.ratio(startFt, mid)
		if ok && math.Exp(ratio) > 1-gone {
			low = mid
		} else {
			high = mid
		}
	}
	return low / travel, true
}
