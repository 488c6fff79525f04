package calibrate

import (
	"math"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

const (
	// falseAlarm is how often the readings, and again the days, of a sled with nothing wrong may be accused. An
	// assumption of our own.
	falseAlarm = 0.005
	// travelAlarm is the same for the travel. More, because what it counts as possible of tapes and marks is much, and
	// taping a travel again costs a minute. An assumption of our own.
	travelAlarm = 0.03
	// fitsWithin is how near, in standard uncertainties, a reading must lie to another gear to be taken for one of its.
	fitsWithin = 2.5
	// season is after how long a chart is called old.
	season = 400 * 24 * time.Hour
)

// Checks lists what somebody should look at in the notebook. None changes anything by itself.
func (c *Chart) Checks(now time.Time) []fleet.Check {
	var out []fleet.Check
	if c.shaped != nil {
		clean, readings := c.outliers()
		out = append(out, readings...)
		out = append(out, c.days(clean)...)
		out = append(out, c.travelCheck()...)
		out = append(out, c.gearChecks()...)
	}
	out = append(out, c.unusedChecks()...)
	out = append(out, c.carryChecks()...)
	out = append(out, c.pastTopChecks()...)
	return append(out, c.ageCheck(now)...)
}

// limit is what a residual with that many degrees of freedom must exceed, among that many looked at.
func limit(looks int, df float64) float64 {
	return quantile(1-falseAlarm/float64(looks)/2, df)
}

// exceeds says whether t lies beyond the limit. Most do not reach the normal distribution's, which is the least of all and
// costs little to know.
func exceeds(t float64, looks int, df float64) bool {
	t = math.Abs(t)
	return t > limit(looks, math.Inf(1)) && t > limit(looks, df)
}

// outliers takes the reading that stands furthest out of line, fits again without it, and repeats, so that one wrong
// reading does not hide another or accuse its neighbors. The model left is without them.
func (c *Chart) outliers() (*model, []fleet.Check) {
	m := c.shaped.model
	looks := m.d.n
	var out []fleet.Check
	for range looks / 3 {
		r := m.residuals()
		worst, worstZ := -1, 0.0
		for i, z := range r.z {
			// Ranked by z, which t rises with but runs into infinity where the residual is most of what is known.
			if t, left := apart(z, c.readingDF(m, i)); exceeds(t, looks, left) && math.Abs(z) > worstZ {
				worst, worstZ = i, math.Abs(z)
			}
		}
		if worst < 0 {
			break
		}
		obs, gap := m.o.list[worst], r.gap[worst]
		dayOff := r.dayOff[obs.day]
		next, err := m.without(obs.reading.ID)
		if err != nil {
			break
		}
		out = append(out, c.outlier(next, obs, gap, dayOff))
		m = next
	}
	return m, out
}

// readingDF is how well the variance of one reading against the others is known: alone on its day, it is the day's.
func (c *Chart) readingDF(m *model, i int) float64 {
	d := m.d
	if (i > 0 && d.day[i-1] == d.day[i]) || (i+1 < d.n && d.day[i+1] == d.day[i]) {
		return c.v.ReadingDF
	}
	return c.v.DayDF
}

// without fits the same shape without one reading.
func (m *model) without(id string) (*model, error) {
	o := m.o.filter(func(obs observation) bool { return obs.reading.ID != id })
	switch {
	case m.curve != nil:
		return o.measured(m.v, len(m.column))
	case m.fitted:
		return o.implied(m.v, len(m.column), m.travel)
	}
	return o.straight(m.v, len(m.column), m.travel)
}

func (c *Chart) outlier(m *model, obs observation, gap, dayOff float64) fleet.Check {
	way := obs.reading.DistanceFt - c.o.takeUp
	k := fleet.Check{
		Code: fleet.ReadingOutOfLine, Reading: obs.reading.ID, Gear: c.label(obs.gear), Day: obs.reading.Day,
		StartFt: obs.start, DistanceFt: obs.reading.DistanceFt, DifferenceFt: way - way*math.Exp(-gap),
	}
	best, bestZ := -1, fitsWithin
	for g := range m.column {
		if g == obs.gear {
			continue
		}
		p, ok := m.at(g, obs.start)
		if !ok || !obs.top {
			continue
		}
		sd := math.Sqrt(c.v.Reading + c.v.Reading*bilinear(p.a, m.spread.reading, p.a))
		if z := math.Abs(obs.y-p.eta-dayOff) / sd; z < bestZ {
			best, bestZ = g, z
		}
	}
	if best >= 0 {
		k.Code, k.OtherGear = fleet.ReadingFitsAnotherGear, c.label(best)
	}
	return k
}

// days compares each day with the sled's other days.
func (c *Chart) days(m *model) []fleet.Check {
	r := m.residuals()
	worst, worstZ := -1, 0.0
	for j, z := range r.dayZ {
		if t, left := apart(z, c.v.DayDF); exceeds(t, len(r.dayZ), left) && math.Abs(z) > worstZ {
			worst, worstZ = j, math.Abs(z)
		}
	}
	if worst < 0 {
		return nil
	}
	first := slices.Index(m.d.day, worst)
	if first+1 == m.d.n || m.d.day[first+1] != worst {
		return nil // one reading is no day: it stands among the readings
	}
	k := fleet.Check{
		Code: fleet.DayStandsOff, Day: m.o.list[first].reading.Day, DifferencePct: 100 * math.Expm1(r.dayGap[worst]),
	}
	if len(r.dayZ) == 2 {
		k.OtherDay = m.o.list[slices.Index(m.d.day, 1-worst)].reading.Day
	}
	return []fleet.Check{k}
}

// travelCheck holds the travel that the readings imply against the tape.
func (c *Chart) travelCheck() []fleet.Check {
	taped := c.o.travel
	found := fleet.Check{Code: fleet.TravelDisagrees, DistanceFt: taped}
	i := c.ImpliedTravel()
	switch {
	case taped == 0:
		return nil
	case c.shaped.curve != nil: // they fit no travel
		return []fleet.Check{found}
	case i == nil:
		return nil
	case !i.Used:
		s := c.shaped.implied.travelSpread().Plus(Spread{Other: travelSD * travelSD})
		t, df := (i.TravelFt-taped)/math.Sqrt(s.Total()), c.v.df(s)
		if math.Abs(t) < quantile(1-travelAlarm/2, df) {
			return nil
		}
	}
	found.ExpectedFt, found.LowFt, found.HighFt, found.Used = i.TravelFt, i.LowFt, i.HighFt, i.Used
	return []fleet.Check{found}
}

// gearChecks are about gears read once and about gears that cannot be told apart, at full back or at the first start
// position that has readings.
func (c *Chart) gearChecks() []fleet.Check {
	var out []fleet.Check
	at := 0.0
	if len(c.o.starts) > 0 && c.o.starts[0] > 0 {
		at = c.o.starts[0]
	}
	type rung struct {
		gear int
		Prediction
	}
	var ladder []rung
	for _, g := range c.o.gears {
		n := 0
		for _, obs := range c.o.list {
			if obs.gear == g {
				n++
			}
		}
		if n == 1 {
			out = append(out, fleet.Check{Code: fleet.GearReadOnce, Gear: c.label(g)})
		}
		if p, ok := c.Predict(g, at); ok {
			ladder = append(ladder, rung{g, p})
		}
	}
	slices.SortStableFunc(ladder, func(a, b rung) int {
		if a.Log > b.Log {
			return -1
		}
		return 1
	})
	for i := 1; i < len(ladder); i++ {
		slow, fast := ladder[i-1], ladder[i]
		gap := slow.Spread.Plus(fast.Spread).Plus(c.Covariance(slow.Prediction, fast.Prediction).Times(-2))
		if slow.Log-fast.Log < c.v.HalfWidth(gap) {
			out = append(out, fleet.Check{
				Code: fleet.GearsAlike, Gear: c.label(fast.gear), OtherGear: c.label(slow.gear),
				DifferenceFt: math.Exp(slow.Log) - math.Exp(fast.Log),
			})
		}
	}
	return out
}

func (c *Chart) unusedChecks() []fleet.Check {
	var out []fleet.Check
	for _, r := range c.o.unused {
		out = append(out, fleet.Check{Code: fleet.ReadingUnused, Reading: r.ID, Gear: r.Gear, On: r.MeasuredOn})
	}
	return out
}

// pastTopChecks look for pulls noted as past the top that ended before the chart, and any day as it may be, says the box
// tops out.
func (c *Chart) pastTopChecks() []fleet.Check {
	var out []fleet.Check
	g := make(map[string]int)
	for i, gear := range c.notebook.Sled.Gears {
		g[gear.ID] = i
	}
	for _, r := range c.o.past {
		p, ok := c.Predict(g[r.GearID], r.StartFt)
		if !ok || p.Basis == fleet.StatedBasis {
			continue
		}
		s := p.Spread.Plus(Spread{Day: c.v.Day, Reading: c.v.Reading})
		lowest := p.Log - limit(len(c.o.past), c.v.df(s))*math.Sqrt(s.Total())
		if math.Log(r.DistanceFt-c.o.takeUp) < lowest {
			out = append(out, fleet.Check{
				Code: fleet.PastTopTooEarly, Reading: r.ID, Gear: r.Gear, Day: r.Day, On: r.MeasuredOn,
				StartFt: r.StartFt, DistanceFt: r.DistanceFt, ExpectedFt: c.o.takeUp + math.Exp(p.Log),
			})
		}
	}
	return out
}

func (c *Chart) ageCheck(now time.Time) []fleet.Check {
	last := ""
	for _, r := range c.notebook.Readings {
		if r.SetAside == nil && r.Ended != fleet.Stated && r.Ended != fleet.PastTop {
			last = max(last, r.MeasuredOn)
		}
	}
	on, err := time.Parse(time.DateOnly, last)
	if err != nil || now.Sub(on) < season {
		return nil
	}
	return []fleet.Check{{Code: fleet.NotMeasuredLately, On: last}}
}

func (c *Chart) label(gear int) string { return c.notebook.Sled.Gears[gear].Label }
