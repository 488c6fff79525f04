package book

import (
	"context"
	"fmt"
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
	Repeatability calibrate.Repeatability // the fleet's
	Gears         []ChartGear             // in the order of the lever
	Checks        []fleet.Check
	Night         *Night // of the day asked about; nil where it has no readings
}

// ChartGear is one gear's top-outs from each start position, in the order asked.
type ChartGear struct {
	Label                     string
	BoxSpeed                  *float64 // box feet per 100 ft of ground
	BoxSpeedLow, BoxSpeedHigh float64  // its 95 % interval, where there is one
	TopOuts                   []calibrate.Estimate
}

// Chart returns a sled's chart at the start positions given, in feet: without any, at every one that has readings,
// and at full back where none has. It is the one of today or, with asOf, the one from the readings and parts up to the end of that
// day, with today's fleet variances. With a day, by its name, tonight's top-outs are those of the night that this day's readings know
// of. A sled that is not there is NotFound; a start position off any rails and what is no date are
// Invalid.
func (b *Book) Chart(ctx context.Context, sled string, starts []float64, asOf, day string) (Chart, error) {
	now, err := b.current(ctx)
	if err != nil {
		return Chart{}, err
	}
	p, err := now.sled(sled)
	if err != nil {
		return Chart{}, err
	}
	var faults fleet.Faults
	for _, s := range starts {
		fleet.CheckStart(&faults, "start_ft", s, "", nil)
	}
	end := b.now()
	if asOf != "" {
		p, end = p.asOf(&faults, asOf, now.variances)
	}
	if err := faults.Err(); err != nil {
		return Chart{}, err
	}
	side, night := p.onDay(day)
	chart := side.Chart
	if len(starts) == 0 {
		starts = chart.Starts()
	}
	if len(starts) == 0 {
		starts = []float64{0}
	}
	c := Chart{
		Revision: now.revision, Sled: p.notebook.Sled, Shape: chart.Shape(), TravelFt: chart.TravelFt(),
		Implied: chart.ImpliedTravel(), Repeatability: now.repeatability, Checks: chart.Checks(end),
		Gears: make([]ChartGear, len(p.notebook.Sled.Gears)), Night: night,
	}
	for i, g := range p.notebook.Sled.Gears {
		of := ChartGear{Label: g.Label, TopOuts: make([]calibrate.Estimate, len(starts))}
		of.BoxSpeed, of.BoxSpeedLow, of.BoxSpeedHigh = chart.BoxSpeed(i)
		for j, s := range starts {
			of.TopOuts[j] = chart.At(i, s)
		}
		c.Gears[i] = of
	}
	return c, nil
}

// asOf is a sled's page as it was at the end of a day, and when that was. A day that is no date is noted as a fault.
func (p page) asOf(f *fleet.Faults, day string, v calibrate.Variances) (then page, end time.Time) {
	date, err := time.Parse(time.DateOnly, day)
	if err != nil {
		f.Add("as_of", "must be a date like 2026-05-09, not %q", day)
		return p, time.Time{}
	}
	return p.until(day, v), date.AddDate(0, 0, 1)
}

// until is a sled's page as it was at the end of a day, an ISO 8601 date, charted with the variances given.
func (p page) until(day string, v calibrate.Variances) page {
	var readings []fleet.Reading
	for _, r := range p.notebook.Readings {
		if r.MeasuredOn <= day {
			readings = append(readings, r)
		}
	}
	then := page{timeline: p.timeline.Until(day), fits: &fits{}, v: v}
	then.notebook = notebookOf(then.timeline, readings)
	then.notebook.Sled.Readings = len(readings)
	return then
}

const (
	chartSteps = 30  // between the first and the last start position drawn
	chartReach = 0.9 // of a known travel: beyond it the box hardly moves and nobody starts there
	// Where the lines run together at the top nobody reads anything: a drawing ends a little beyond the last start position
	// that has readings, and shows at least the first few feet.
	drawnBeyond  = 1.5
	leastDrawnFt = 6
)

// DrawChart draws a sled's chart, that of today or, with asOf, that of the end of an earlier day, and returns the revision it
// shows. A sled that is not there is NotFound, what is no date Invalid.
func (b *Book) DrawChart(ctx context.Context, sled, asOf string, style plotting.Style) (svg []byte, revision int64, err error) {
	now, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	p, err := now.sled(sled)
	if err != nil {
		return nil, 0, err
	}
	if asOf != "" {
		var faults fleet.Faults
		p, _ = p.asOf(&faults, asOf, now.variances)
		if err := faults.Err(); err != nil {
			return nil, 0, err
		}
	}
	svg, err = plotting.DrawChart(p.drawing(style.Units), style)
	if err != nil {
		return nil, 0, fmt.Errorf("drawing the chart of %s: %w", sled, err)
	}
	return svg, now.revision, nil
}

// drawing is the chart as plain values. Every distance in it is in feet, but for those in words.
func (p page) drawing(units fleet.Units) plotting.Chart {
	sled, chart := p.notebook.Sled, p.chart()
	leftOut := chart.LeftOut()
	starts := p.drawnStarts()
	drawing := plotting.Chart{Title: words.ChartTitle(sled.Name), Gears: make([]plotting.ChartGear, len(sled.Gears))}
	first := make([]calibrate.Estimate, len(sled.Gears)) // that each gear is drawn from
	// What was measured before a change of parts does not lie on the lines.
	since := ""
	if n := len(p.timeline.Changes); n > 0 {
		since = p.timeline.Changes[n-1].MadeOn
	}
	for i, g := range sled.Gears {
		of := plotting.ChartGear{Label: g.Label}
		for _, s := range starts {
			if e := chart.At(i, s); e.Known() {
				if len(of.Line) == 0 {
					first[i] = e
				}
				of.Line = append(of.Line, plotting.ChartPoint{StartFt: s, TopOutFt: e.TopOutFt, LowFt: e.LowFt, HighFt: e.HighFt})
			}
		}
		for _, r := range p.notebook.Readings {
			if r.GearID == g.ID && r.Ended == fleet.ToppedOut && r.MeasuredOn >= since {
				of.Points = append(of.Points, plotting.ReadingPoint{StartFt: r.StartFt, DistanceFt: r.DistanceFt, SetAside: r.SetAside != nil || leftOut[r.ID]})
			}
		}
		drawing.Gears[i] = of
	}
	drawing.Description = words.Chart(sled.Name, sled.Labels(), first, units)
	return drawing
}

// drawnStarts are the start positions a line is drawn through: evenly from full back to where the chart reaches, and
// every one that has readings.
func (p page) drawnStarts() []float64 {
	chart := p.chart()
	starts := append(chart.Starts(), 0)
	reach := slices.Max(starts)
	if travel := chart.TravelFt(); travel != nil {
		reach = min(max(drawnBeyond*reach, leastDrawnFt), chartReach**travel)
	}
	for i := 1; i <= chartSteps; i++ {
		starts = append(starts, reach*float64(i)/chartSteps)
	}
	slices.Sort(starts)
	return slices.Compact(starts)
}
