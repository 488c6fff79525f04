package book

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
	"evenpull/internal/words"
)

// Verdict is what a day's offset comes to, in a word.
type Verdict string

// The verdicts.
const (
	AsUsual   Verdict = "as-usual"
	StandsOff Verdict = "stands-off"
	Alone     Verdict = "alone" // no other day to compare it with
)

// Days is how a sled's test days lie among each other, at one revision of the fleet. Per cent are 100 times the
// logarithm.
type Days struct {
	Revision int64
	Weighed  bool // whether any sled of the fleet was
	Sled     fleet.Sled
	Gear     string // the gear that feet are for; "" where none is known
	Items    []Day
	Drift    *calibrate.Drift // nil where the days show no pattern
	// Limits from the sled's own day-to-day differences alone, a second opinion; nil with too few days.
	OwnLowPct, OwnHighPct *float64
	wayFt                 float64 // the gear's way to the top from full back; 0 where it is not known
}

// Day is one test day: how far it lies from what the sled's other days say, positive topping out later.
type Day struct {
	Day, MeasuredOn   string
	Readings          int
	OffsetPct         float64
	LimitPct          *float64 // beyond plus or minus this it stands off; nil without another day
	OffsetFt, LimitFt *float64 // of the gear's way to the top from full back
	Verdict           Verdict
}

// Days lists a sled's test days in order, in feet for a gear, "" for the middle one of the ladder. A sled that is not
// there is NotFound, an unknown gear Invalid.
func (b *Book) Days(ctx context.Context, sled, gear string) (Days, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return Days{}, err
	}
	s, chart := state.Sled, state.chart()
	place := state.middleGear()
	if gear != "" {
		var f fleet.Faults
		if s.CheckGear(&f, "gear", gear); f.Any() {
			return Days{}, f.Err()
		}
		_, place, _ = s.GearByLabel(gear)
	}
	d := Days{Revision: snap.revision, Weighed: snap.weighed(), Sled: s, Drift: chart.Drift()}
	if place >= 0 {
		d.Gear = s.Gears[place].Label
		if at, ok := chart.Predict(place, 0); ok {
			d.wayFt = math.Exp(at.Log)
		}
	}
	var offsets []float64
	for _, o := range chart.Days() {
		d.Items = append(d.Items, dayFrom(o, d.wayFt))
		offsets = append(offsets, 100*o.Offset)
	}
	if low, high, ok := calibrate.OwnLimits(offsets); ok {
		d.OwnLowPct, d.OwnHighPct = &low, &high
	}
	return d, nil
}

func dayFrom(o calibrate.DayOffset, way float64) Day {
	d := Day{Day: o.Day, MeasuredOn: o.On, Readings: o.Readings, OffsetPct: 100 * o.Offset, Verdict: Alone}
	if way > 0 {
		d.OffsetFt = new(way * o.Offset)
	}
	if o.Limit == 0 {
		return d
	}
	d.LimitPct, d.Verdict = new(100*o.Limit), AsUsual
	if o.Off {
		d.Verdict = StandsOff
	}
	if way > 0 {
		d.LimitFt = new(way * o.Limit)
	}
	return d
}

// middleGear is the middle one of the gears that the chart knows from full back, by where they top out; −1 without any.
func (s sledState) middleGear() int {
	var gears []int
	topFt := make([]float64, len(s.Sled.Gears))
	for i := range topFt {
		if e := s.chart().At(i, 0); e.Known() {
			gears, topFt[i] = append(gears, i), e.TopOutFt
		}
	}
	if len(gears) == 0 {
		return -1
	}
	slices.SortStableFunc(gears, func(a, b int) int { return cmp.Compare(topFt[b], topFt[a]) })
	return gears[len(gears)/2]
}

// DrawDays draws a sled's test days and returns the revision they are of. A sled that is not there is NotFound.
func (b *Book) DrawDays(ctx context.Context, sled string, style plotting.Style) ([]byte, int64, error) {
	d, err := b.Days(ctx, sled, "")
	if err != nil {
		return nil, 0, err
	}
	return plotting.DrawDays(d.drawing(), about(style, d.Sled)), d.Revision, nil
}

// drawing is the days as plain values.
func (d Days) drawing() plotting.Days {
	out := plotting.Days{Title: "The test days of " + d.Sled.Name, Gear: d.Gear, TopOutFt: d.wayFt}
	var off []string
	for i, day := range d.Items {
		point := plotting.DayPoint{
			Label: day.Day, OffsetPct: day.OffsetPct, LimitPct: valueOrZero(day.LimitPct), Readings: day.Readings,
			Off: day.Verdict == StandsOff,
		}
		if point.Off {
			off = append(off, day.Day)
		}
		out.Days = append(out.Days, point)
		if d.Drift != nil && d.Drift.From == day.Day {
			out.Drift = &plotting.DriftLine{Kind: d.Drift.Kind, From: i, Pct: 100 * d.Drift.Log}
		}
	}
	out.Description = fmt.Sprintf("How far each of %d test days lies from what the others say. %s stands off.",
		len(d.Items), cmp.Or(strings.Join(off, ", "), "None"))
	if len(d.Items) == 0 {
		out.Description = "No test day of " + d.Sled.Name + " is known yet."
	}
	if d.Drift != nil {
		out.Description = join(out.Description, words.Drift(d.Sled.Name, *d.Drift))
	}
	return out
}
