package calibrate

import (
	"maps"
	"slices"

	"evenpull/internal/fleet"
)

// Notebook is what a sled's chart is made from. Readings that are set aside do not count.
type Notebook struct {
	Sled     fleet.Sled
	Readings []fleet.Figure
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
	strays   []suspect       // its readings that move nothing
}

// Fit makes the chart. A notebook without usable readings gives a chart that knows nothing but what is stated. Readings
// that the others contradict do not enter it.
func Fit(n Notebook, v Variances) *Chart { return fit(n, v, (*model).clear) }

// fit makes the chart without the readings that clear leaves out.
func fit(n Notebook, v Variances, clear cleared) *Chart {
	o := observe(n, v.AssumedReading)
	c := fitted(n, v, o, clear)
	for agreeing, _ := c.carried(); len(agreeing) > 0; {
		with := fitted(n, v, o.restored(agreeing), clear)
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
		if other.o.find(s.obs.reading) >= 0 {
			out[s.obs.gear] = true
		}
	}
	return out
}

func fitted(n Notebook, v Variances, o *observations, clear cleared) *Chart {
	c := &Chart{notebook: n, v: v, torn: map[int]float64{}, night: unseen}
	var m *model
	m, c.suspects = o.sift(n, v, clear)
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
	travel := m.coefficient(m.d.p - 1)
	return m.covariance(travel, travel)
}

// TakeUpFt is the slack before the box moves.
func (c *Chart) TakeUpFt() float64 { return c.o.takeUp }

// Variances are the ones the chart is fitted at.
func (c *Chart) Variances() Variances { return c.v }
