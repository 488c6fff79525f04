package book

import (
	"context"
	"slices"
	"time"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
	"evenpull/internal/words"
)

// Chart is what is known of a sled by itself, at one revision of the fleet.
type Chart struct {
	Revision      int64
	Sled          fleet.Sled
	Shape         fleet.Shape
	TravelFt      *float64 // the one the chart goes by; nil when unknown
	Implied       *calibrate.ImpliedTravel
	Repeatability calibrate.Repeatability // the fleet's; of a guest its own crew's
	Gears         []ChartGear             // in the order of the lever
	Checks        []fleet.Check
	Night         *Night       // of the day asked about; nil where it has no readings
	Own           []OwnReading // of a guest, as it is today
}

// ChartGear is one gear's top-outs from each start position, in the order asked.
type ChartGear struct {
	Label string
	calibrate.Speed
	TopOuts []calibrate.Estimate
}

// Chart returns a sled's chart at the start positions given, in feet: without any, at every one that has readings, and
// at full back where none has. It is today's or, with asOf, that of the readings and parts up to the end of that day,
// with today's fleet variances. With a day, by its name, the top-outs of tonight are those of the night that the day's
// readings tell of. A sled that is not there is NotFound; a start position off any rails and a wrong date are Invalid.
func (b *Book) Chart(ctx context.Context, sled string, starts []float64, asOf, day string) (Chart, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return Chart{}, err
	}
	var faults fleet.Faults
	for _, s := range starts {
		fleet.CheckStart(&faults, "start_ft", s, "", nil)
	}
	end := b.now()
	if asOf != "" {
		state, end = state.asOf(&faults, asOf)
	}
	if err := faults.Err(); err != nil {
		return Chart{}, err
	}
	side, night := state.onDay(day)
	chart := side.Chart
	if len(starts) == 0 {
		starts = chart.Starts()
	}
	if len(starts) == 0 {
		starts = []float64{0}
	}
	c := Chart{
		Revision: snap.revision, Sled: state.Sled, Shape: chart.Shape(), TravelFt: chart.TravelFt(),
		Implied: chart.ImpliedTravel(), Repeatability: state.repeatability(snap), Checks: chart.Checks(end),
		Gears: make([]ChartGear, len(state.Sled.Gears)), Night: night,
	}
	if asOf == "" {
		c.Own = state.ownReadings()
	}
	for i, g := range state.Sled.Gears {
		of := ChartGear{Label: g.Label, Speed: chart.BoxSpeed(i), TopOuts: make([]calibrate.Estimate, len(starts))}
		for j, s := range starts {
			of.TopOuts[j] = chart.At(i, s)
		}
		c.Gears[i] = of
	}
	return c, nil
}

// asOf is a sled as it was at the end of a day, and when that was. A wrong date is a fault.
func (s sledState) asOf(f *fleet.Faults, day string) (then sledState, end time.Time) {
	date, err := time.Parse(time.DateOnly, day)
	if err != nil {
		f.Add("as_of", "must be a date like 2026-05-09, not %q", day)
		return s, time.Time{}
	}
	isLater := func(r fleet.Figure) bool { return r.MeasuredOn > day }
	readings := slices.DeleteFunc(slices.Clone(s.Readings), isLater)
	then = sledState{timeline: s.timeline.Until(day), charts: &chartCache{}, variances: s.variances}
	then.Notebook = notebookOf(then.timeline, readings)
	then.Sled.Readings = len(readings)
	return then, date.AddDate(0, 0, 1)
}

const (
	chartSteps = 30  // between the first and the last start position drawn
	chartReach = 0.9 // of a known travel: beyond it the box hardly moves and nobody starts there
	// The lines run together at the top: a drawing ends at this multiple of the last start position that has readings,
	// and shows at least so many feet.
	drawnBeyond = 1.5
	minDrawnFt  = 6
)

// DrawChart draws a sled's chart, today's or, with asOf, that of the end of an earlier day, and returns the revision it
// shows. With a day that has readings its lines are what is expected that night, else averages over days. A sled that
// is not there is NotFound, a wrong date Invalid.
func (b *Book) DrawChart(
	ctx context.Context, sled, asOf, day string, style plotting.Style,
) ([]byte, int64, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return nil, 0, err
	}
	if asOf != "" {
		var faults fleet.Faults
		state, _ = state.asOf(&faults, asOf)
		if err := faults.Err(); err != nil {
			return nil, 0, err
		}
	}
	return plotting.DrawChart(state.drawing(day, style.Units), about(style, state.Sled)), snap.revision, nil
}

// drawing is the chart as plain values, in feet except for its description.
func (s sledState) drawing(day string, units fleet.Units) plotting.Chart {
	side, night := s.onDay(day)
	sled, chart, starts := s.Sled, side.Chart, s.drawnStarts()
	leftOut := chart.LeftOut()
	drawing := plotting.Chart{Title: words.ChartTitle(sled.Name), Gears: make([]plotting.ChartGear, len(sled.Gears))}
	first := make([]calibrate.Estimate, len(sled.Gears)) // of each gear's line
	since := ""                                          // readings from before a change of parts are not on the lines
	if n := len(s.timeline.Changes); n > 0 {
		since = s.timeline.Changes[n-1].MadeOn
	}
	for i, g := range sled.Gears {
		of := plotting.ChartGear{Label: g.Label}
		for _, start := range starts {
			if e := chart.At(i, start); e.Known() {
				if night != nil {
					e.TopOutFt, e.LowFt, e.HighFt = e.TonightFt, e.TonightLowFt, e.TonightHighFt
				}
				if len(of.Line) == 0 {
					first[i] = e
				}
				point := plotting.ChartPoint{StartFt: start, TopOutFt: e.TopOutFt, LowFt: e.LowFt, HighFt: e.HighFt}
				of.Line = append(of.Line, point)
			}
		}
		for _, r := range s.Readings {
			if r.GearID == g.ID && r.Ended == fleet.ToppedOut && r.MeasuredOn >= since {
				of.Points = append(of.Points, plotting.ReadingPoint{
					StartFt: r.StartFt, DistanceFt: r.DistanceFt, SetAside: r.SetAside, Waits: leftOut[r.ID],
				})
			}
		}
		drawing.Gears[i] = of
	}
	drawing.Description = join(words.Chart(sled.Name, sled.Labels(), first, units), words.Guest(sled.Name, sled.Guest))
	if night != nil {
		said := words.Night(night.Pulls, night.LaterFt, len(night.Strays), units)
		drawing.Description = join(said, drawing.Description)
	}
	return drawing
}

// drawnStarts are the start positions a line is drawn through: evenly spaced ones, and every one that has readings.
func (s sledState) drawnStarts() []float64 {
	chart := s.chart()
	starts := append(chart.Starts(), 0)
	reach := slices.Max(starts)
	if travel := chart.TravelFt(); travel != nil {
		reach = min(max(drawnBeyond*reach, minDrawnFt), chartReach**travel)
	}
	for i := 1; i <= chartSteps; i++ {
		starts = append(starts, reach*float64(i)/chartSteps)
	}
	slices.Sort(starts)
	return slices.Compact(starts)
}
