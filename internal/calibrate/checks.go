package calibrate

import (
	"fmt"
	"math"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

// Codes of the checks.
const (
	readingOutOfLine       = "reading-out-of-line"
	readingFitsAnotherGear = "reading-fits-another-gear"
	readingUnused          = "reading-unused"
	pastTopTooEarly        = "past-top-too-early"
	dayStandsOff           = "day-stands-off"
	gearsAlike             = "gears-alike"
	gearReadOnce           = "gear-read-once"
	travelDisagrees        = "travel-disagrees"
	notMeasuredLately      = "not-measured-lately"
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
	var out []fleet.Check
	if c.shaped != nil {
		out = append(out, c.suspectChecks()...)
		out = append(out, c.days(c.shaped.model)...)
		out = append(out, c.travelCheck()...)
		out = append(out, c.gearChecks()...)
	}
	out = append(out, c.unusedChecks()...)
	out = append(out, c.carryChecks()...)
	out = append(out, c.pastTopChecks()...)
	return append(out, c.ageCheck(now)...)
}

// suspectChecks name the readings that the notebook contradicts.
func (c *Chart) suspectChecks() []fleet.Check {
	var out []fleet.Check
	for _, s := range c.suspects {
		k := fleet.Check{Code: readingOutOfLine, Reading: s.obs.reading.ID, Gear: c.label(s.obs.gear), Day: s.obs.reading.Day}
		if s.mend != nil {
			if s.mend.Kind == AnotherGear || s.mend.Kind == LabelsSwapped {
				k.Code = readingFitsAnotherGear
			}
			k.Detail = string(s.mend.Kind)
		}
		if s.rival != nil {
			k.Code = "readings-disagree"
		}
		out = append(out, k)
	}
	return out
}

// oddDay is the day that lies furthest beyond what all but a share dayAlarm of steady sleds' days lie within from the sled's other
// days, −1 where none does. One reading is no day: it stands among the readings.
func (m *model) oddDay(r *residuals) int {
	worst, worstZ := -1, 0.0
	for j, z := range r.dayZ {
		first := slices.Index(m.d.day, j)
		alone := first+1 == m.d.n || m.d.day[first+1] != j
		if t, left := apart(z, m.v.DayDF); !alone && exceeds(t, dayAlarm/float64(len(r.dayZ)), left) && math.Abs(z) > worstZ {
			worst, worstZ = j, math.Abs(z)
		}
	}
	return worst
}

// days compares each day with the sled's other days.
func (c *Chart) days(m *model) []fleet.Check {
	r := m.residuals()
	worst := m.oddDay(r)
	if worst < 0 {
		return nil
	}
	first := slices.Index(m.d.day, worst)
	on, gap := m.o.list[first].reading.Day, 100*math.Expm1(r.dayGap[worst])
	k := fleet.Check{
		Code: dayStandsOff, Day: on,
		Detail: fmt.Sprintf("On %s every reading was about %.1f %% %s than the sled's other days say.", on, math.Abs(gap), side(gap)),
		Action: "Look for tyre pressure, a soft surface, a wheel read from the wrong mark, or parts that were changed. If the day was not as other days are, set its readings aside.",
	}
	if len(r.dayZ) == 2 {
		other := m.o.list[slices.Index(m.d.day, 1-worst)].reading.Day
		k.Detail = fmt.Sprintf("The readings of %s and of %s are about %.1f %% apart; one of the two days is off.", on, other, math.Abs(gap))
	}
	return []fleet.Check{k}
}

// travelCheck holds the travel that the readings imply against the tape.
func (c *Chart) travelCheck() []fleet.Check {
	const look = "Look for take-up before the box moves, then for a cut-off set early, then for a tape read from the wrong mark; tape the travel again."
	taped := c.o.travel
	i := c.ImpliedTravel()
	switch {
	case taped == 0:
		return nil
	case c.shaped.curve != nil:
		return []fleet.Check{{
			Code:   travelDisagrees,
			Detail: fmt.Sprintf("The start positions do not fit a box that moves evenly over %s of travel, nor over any other travel; the chart goes by the measured positions.", feet1(taped)),
			Action: "Check the start positions of the readings and the take-up before the box moves; then tape the travel again.",
		}}
	case i == nil:
		return nil
	case i.Used:
		return []fleet.Check{{
			Code:   travelDisagrees,
			Detail: fmt.Sprintf("The readings fit a travel of %s (%.1f to %.1f), not the %s that were taped; the chart goes by the readings.", feet1(i.TravelFt), i.LowFt, i.HighFt, feet1(taped)),
			Action: look,
		}}
	}
	s := c.shaped.implied.travelSpread().Plus(Spread{Other: travelSD * travelSD})
	t, df := (i.TravelFt-taped)/math.Sqrt(s.Total()), c.v.df(s)
	if math.Abs(t) < quantile(1-travelAlarm/2, df) {
		return nil
	}
	return []fleet.Check{{
		Code:   travelDisagrees,
		Detail: fmt.Sprintf("The readings would rather fit a travel of %s (%.1f to %.1f) than the %s that were taped; the chart still goes by the tape.", feet1(i.TravelFt), i.LowFt, i.HighFt, feet1(taped)),
		Action: look,
	}}
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
			out = append(out, fleet.Check{
				Code: gearReadOnce, Gear: c.label(g),
				Detail: fmt.Sprintf("Gear %s rests on one reading only.", c.label(g)),
				Action: "Measure it once more, best on another day; a single misread tape would go unnoticed.",
			})
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
				Code: gearsAlike, Gear: c.label(fast.gear),
				Detail: fmt.Sprintf("Gears %s and %s cannot be told apart: they top out %.0f ft from each other, less than the readings can tell.", c.label(slow.gear), c.label(fast.gear), math.Exp(slow.Log)-math.Exp(fast.Log)),
				Action: "Measure both once more on one day, one after the other, and check that the labels on the lever are right.",
			})
		}
	}
	return out
}

func (c *Chart) unusedChecks() []fleet.Check {
	var out []fleet.Check
	for _, r := range c.o.unused {
		out = append(out, fleet.Check{
			Code: readingUnused, Reading: r.ID, Gear: r.Gear,
			Detail: fmt.Sprintf("The reading in gear %s that stopped short on %s is kept but not used: nobody knows what share of the way its box had moved.", r.Gear, r.MeasuredOn),
			Action: "Tape the travel of this sled; then the reading counts.",
		})
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
			top := c.o.takeUp + math.Exp(p.Log)
			out = append(out, fleet.Check{
				Code: pastTopTooEarly, Reading: r.ID, Gear: r.Gear, Day: r.Day,
				Detail: fmt.Sprintf("The pull of %s in gear %s from %s on %s is noted as past the top, but the chart says that gear tops out at %s.", feet(r.DistanceFt), r.Gear, position(r.StartFt), r.MeasuredOn, feet(top)),
				Action: "Look at the gear and at how the pull ended. If it stopped short, set this reading aside and add it again as that.",
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
	return []fleet.Check{{
		Code:   notMeasuredLately,
		Detail: fmt.Sprintf("Nothing was measured on this sled since %s.", last),
		Action: "Measure the slowest and the fastest gear once; if both fit the chart, the rest most likely does.",
	}}
}

func (c *Chart) label(gear int) string { return c.notebook.Sled.Gears[gear].Label }

func feet(ft float64) string  { return fmt.Sprintf("%.0f ft", ft) }
func feet1(ft float64) string { return fmt.Sprintf("%.1f ft", ft) }

func position(start float64) string {
	if start == 0 {
		return "full back"
	}
	return fmt.Sprintf("%g ft", start)
}

func side(off float64) string {
	if off > 0 {
		return "further"
	}
	return "shorter"
}
