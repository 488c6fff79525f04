package calibrate

import (
	"cmp"
	"math"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

const (
	// dayAlarm is how often the days of a sled with nothing wrong may be accused. An assumption of our own.
	dayAlarm = 0.012
	// travelAlarm is the same for the travel. An assumption of our own.
	travelAlarm = 0.01
	// season is after how long a chart is called old.
	season = 400 * 24 * time.Hour
)

// Checks lists what somebody should look at in the notebook. None changes anything by itself.
func (c *Chart) Checks(now time.Time) []fleet.Check {
	var fitted []fleet.Check
	if c.shaped != nil {
		fitted = slices.Concat(c.days(), c.travelCheck(), c.gearChecks(), c.oneDayCheck())
	}
	return slices.Concat(c.suspectChecks(), fitted, c.unusedChecks(), c.carryChecks(), c.pastTopChecks(),
		c.ageCheck(now))
}

// about is a check of one reading of a gear that the sled has.
func (c *Chart) about(code fleet.CheckCode, r *fleet.Figure) fleet.Check {
	return fleet.Check{Code: code, Reading: r.ID, Gear: c.o.labels[c.notebook.Sled.GearPlace(r.GearID)],
		StartFt: r.StartFt, DistanceFt: r.DistanceFt}
}

// suspectChecks name the readings that the notebook contradicts, and those that count although it does.
func (c *Chart) suspectChecks() []fleet.Check {
	var out []fleet.Check
	for _, s := range c.suspects {
		r := s.obs.reading
		k := c.about(fleet.ReadingOutOfLine, r)
		k.Day, k.Mend = r.Day, s.mend
		if s.gap != 0 {
			way := r.DistanceFt - c.o.takeUp
			k.ExpectedFt = c.o.takeUp + way*math.Exp(-s.gap)
			k.DifferenceFt = r.DistanceFt - k.ExpectedFt
		}
		switch {
		case s.rival != nil:
			k.Code, k.OtherReading, k.OtherFt, k.Mend = fleet.ReadingsDisagree, s.rival.ID, s.rival.DistanceFt, nil
		case s.mend != nil && (s.mend.Kind == fleet.AnotherGear || s.mend.Kind == fleet.LabelsSwapped):
			k.Code, k.OtherGear = fleet.ReadingFitsAnotherGear, s.mend.Gear
		}
		out = append(out, k)
	}
	if c.shaped == nil {
		return out
	}
	r := c.shaped.residuals()
	for i, obs := range c.shaped.o.list {
		if obs.reading.Confirmed && c.shaped.off(r, i, c.shaped.d.n, falseAlarm) {
			out = append(out, c.confirmedCheck(obs))
		}
	}
	return out
}

// confirmedCheck is about a reading that counts although the others contradict it, and says what it does to its gear
// where it moves the gear's average out of the 95 % interval that the others leave.
func (c *Chart) confirmedCheck(obs observation) fleet.Check {
	k := c.about(fleet.ReadingConfirmed, obs.reading)
	k.Day = obs.reading.Day
	others, err := c.shaped.without(obs.reading)
	if err != nil {
		return k
	}
	before := *c
	before.shaped, before.o, before.night = shapedBy(others), others.o, unseen
	was, is := before.At(obs.gear, obs.start), c.At(obs.gear, obs.start)
	if was.Known() && is.Known() && (is.TopOutFt < was.LowFt || is.TopOutFt > was.HighFt) {
		k.ExpectedFt, k.LowFt, k.HighFt = was.TopOutFt, was.LowFt, was.HighFt
		k.DifferenceFt = is.TopOutFt - was.TopOutFt
	}
	return k
}

// oddDay is the day that lies furthest beyond what all but a share dayAlarm of steady sleds' days lie within from the
// sled's other days, −1 where none does. One reading is no day: it stands among the readings.
func (m *model) oddDay(r *residuals) int {
	worst, worstZ := -1, 0.0
	for j, z := range r.dayZ {
		first := slices.Index(m.d.day, j)
		alone := first+1 == m.d.n || m.d.day[first+1] != j
		if t, left := apart(z, m.v.DayDF); !alone && exceeds(t, dayAlarm/float64(len(r.dayZ)), left) &&
			math.Abs(z) > worstZ {
			worst, worstZ = j, math.Abs(z)
		}
	}
	return worst
}

func (m *model) dayName(day int) string { return m.o.list[slices.Index(m.d.day, day)].reading.Day }

// days compares each day with the sled's other days.
func (c *Chart) days() []fleet.Check {
	m := c.shaped.model
	r := m.residuals()
	worst := m.oddDay(r)
	if worst < 0 {
		return nil
	}
	k := fleet.Check{Code: fleet.DayStandsOff, Day: m.dayName(worst), DifferencePct: 100 * math.Expm1(r.dayGap[worst])}
	if len(r.dayZ) == 2 {
		k.OtherDay = m.dayName(1 - worst)
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
	if len(c.o.starts) > 0 {
		at = c.o.starts[0]
	}
	var ladder []Prediction
	for _, g := range c.o.gears {
		n := 0
		for _, obs := range c.o.list {
			if obs.gear == g {
				n++
			}
		}
		if n == 1 {
			out = append(out, fleet.Check{Code: fleet.GearReadOnce, Gear: c.o.labels[g]})
		}
		if p, ok := c.Predict(g, at); ok {
			ladder = append(ladder, p)
		}
	}
	slices.SortStableFunc(ladder, func(a, b Prediction) int { return cmp.Compare(b.Log, a.Log) })
	for i := 1; i < len(ladder); i++ {
		slow, fast := ladder[i-1], ladder[i]
		gap := slow.Spread.Plus(fast.Spread).Plus(c.Covariance(slow.Outlook, fast.Outlook).Times(-2))
		if slow.Log-fast.Log < c.v.HalfWidth(gap) {
			out = append(out, fleet.Check{
				Code: fleet.GearsAlike, Gear: c.o.labels[fast.point.gear], OtherGear: c.o.labels[slow.point.gear],
				DifferenceFt: math.Exp(slow.Log) - math.Exp(fast.Log),
			})
		}
	}
	return out
}

// oneDayCheck says that no second day has checked a chart.
func (c *Chart) oneDayCheck() []fleet.Check {
	m := c.shaped
	if m.d.day[m.d.n-1] > 0 {
		return nil
	}
	return []fleet.Check{{Code: fleet.OneDayOnly, Day: m.o.list[0].reading.Day, Readings: m.d.n}}
}

func (c *Chart) unusedChecks() []fleet.Check {
	var out []fleet.Check
	for _, r := range c.o.unused {
		code := fleet.ReadingUnused
		switch _, travel, _, _ := c.notebook.carry(r, c.notebook.Sled.GearPlace(r.GearID)); {
		case travel > 0 && travel-r.StartFt < fleet.MinBoxMoveFt:
			code = fleet.ReadingNearTop
		case travel > 0 && c.o.travel > 0 && travel != c.o.travel:
			code = fleet.ReadingOfAnotherTravel
		}
		k := c.about(code, r)
		k.On = r.MeasuredOn
		out = append(out, k)
	}
	return out
}

// pastTopChecks look for pulls noted as past the top that ended before the chart, and any day as it may be, says the
// box tops out.
func (c *Chart) pastTopChecks() []fleet.Check {
	var out []fleet.Check
	for _, r := range c.o.past {
		p, ok := c.Predict(c.notebook.Sled.GearPlace(r.GearID), r.StartFt)
		if !ok || p.Basis == fleet.StatedBasis {
			continue
		}
		s := p.Spread.Plus(Spread{Day: c.v.Day, Reading: c.v.Reading})
		lowest := p.Log - limit(len(c.o.past), c.v.df(s))*math.Sqrt(s.Total())
		if math.Log(r.DistanceFt-c.o.takeUp) < lowest {
			k := c.about(fleet.PastTopTooEarly, r)
			k.Day, k.On, k.ExpectedFt = r.Day, r.MeasuredOn, c.o.takeUp+math.Exp(p.Log)
			out = append(out, k)
		}
	}
	return out
}

func (c *Chart) ageCheck(now time.Time) []fleet.Check {
	last := ""
	for _, r := range c.notebook.Readings {
		if !r.SetAside && r.Ended != fleet.Stated && r.Ended != fleet.PastTop {
			last = max(last, r.MeasuredOn)
		}
	}
	on, err := time.Parse(time.DateOnly, last)
	if err != nil || now.Sub(on) < season {
		return nil
	}
	return []fleet.Check{{Code: fleet.NotMeasuredLately, On: last}}
}
