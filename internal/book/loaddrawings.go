package book

import (
	"context"
	"fmt"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
	"evenpull/internal/plotting"
	"evenpull/internal/words"
)

// loadSteps is how many points a line of loads is drawn through.
const loadSteps = 60

// DrawPanLoad draws the load on a sled's pan along the box's travel, empty and with the blocks asked for, beside the
// weighings; with a gear along the pull in it. It returns the revision it shows. Errors are those of PanLoad.
func (b *Book) DrawPanLoad(ctx context.Context, q PanQuestion, style plotting.Style) ([]byte, int64, error) {
	snap, state, err := b.currentSled(ctx, q.Sled)
	if err != nil {
		return nil, 0, err
	}
	if err := state.checkPan(q).Err(); err != nil {
		return nil, 0, err
	}
	var drawing plotting.Loads
	var cannot panload.Cannot
	if q.Gear == "" {
		drawing = state.travelLoads(q, style.Units)
	} else {
		_, gear, _ := state.Sled.GearByLabel(q.Gear)
		side := weightSide{
			state: state, gear: gear, startFt: q.StartFt, inBoxLb: q.InBoxLb, onPanLb: q.OnPanLb,
			topOut: pullOutOf(state.chart().At(gear, q.StartFt)),
		}
		drawing.AlongPull = true
		drawing.Lines, cannot = side.lines(0, style.Units)
	}
	drawing.Nothing = words.NoLoads(cannot)
	drawing.Title = fmt.Sprintf("The load on the pan of %s", state.Sled.Name)
	drawing.Description = join(words.Loads(labelsOf(drawing.Lines), endsOf(drawing.Lines), cannot, style.Units),
		words.Guest(state.Sled.Name, state.Sled.Guest))
	svg, err := plotting.DrawLoads(drawing, about(style, state.Sled))
	if err != nil {
		return nil, 0, fmt.Errorf("drawing the pan load of %s: %w", q.Sled, err)
	}
	return svg, snap.revision, nil
}

// travelLoads are the loads along the travel: with nothing in the box, and with what was asked.
func (s sledState) travelLoads(q PanQuestion, units fleet.Units) (d plotting.Loads) {
	fit, travel := s.pan(), s.panSled().TravelFt
	loadings := []float64{0}
	if q.InBoxLb > 0 {
		loadings = append(loadings, q.InBoxLb)
	}
	for i, lb := range loadings {
		line := plotting.LoadLine{Label: words.Loading("", lb, units)}
		if fit != nil && travel > 0 {
			for step := range loadSteps + 1 {
				at := travel * float64(step) / loadSteps
				if load, ok := fit.Pan(at, lb, q.OnPanLb); ok {
					line.Line = append(line.Line, plotting.LoadPoint{AtFt: at, Lb: load.Lb, LowLb: load.LowLb,
						HighLb: load.HighLb})
				}
			}
		}
		from := s.timeline.WeighingsFrom()
		for _, g := range s.weighings { // each with its own loading
			if placeOf(loadings, g.InBoxLb) == i && g.WeighedOn >= from {
				line.Weighed = append(line.Weighed, plotting.WeighedPoint{
					AtFt: g.BoxAtFt, Lb: g.PanLb - g.OnPanLb + q.OnPanLb, SetAside: g.SetAside != nil,
				})
			}
		}
		d.Lines = append(d.Lines, line)
	}
	return d
}

// placeOf is the place of a loading, -1 where it is none of them.
func placeOf(values []float64, v float64) int {
	const near = 1 // lb
	for i, of := range values {
		if of-near <= v && v <= of+near {
			return i
		}
	}
	return -1
}

// DrawWeights draws the load on both pans along the pull, with the weight in the box that Weights answers, and returns
// the revision it shows. Errors are those of Weights.
func (b *Book) DrawWeights(ctx context.Context, q WeightQuestion, style plotting.Style) ([]byte, int64, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	p, err := snap.weightPair(q)
	if err != nil {
		return nil, 0, err
	}
	answer := p.solve()
	p.on.inBoxLb, p.on.onPanLb = answer.On.InBoxLb, answer.On.OnPanLb
	lines, cannot := p.asked.lines(answer.FinishFt, style.Units)
	drawing := plotting.Loads{
		Title: fmt.Sprintf("The load on the pans of %s and %s along the pull", p.asked.state.Sled.Name,
			p.on.state.Sled.Name),
		AlongPull: true, ShadeGap: true, FinishFt: answer.FinishFt,
		Lines: lines, Nothing: words.NoLoads(cannot),
	}
	if len(answer.Remaining) > 0 {
		lines, _ := p.on.lines(answer.FinishFt, style.Units)
		drawing.Lines = append(drawing.Lines, lines...)
	}
	asked, on := p.asked.state.Sled, p.on.state.Sled
	drawing.Description = join(words.Loads(labelsOf(drawing.Lines), endsOf(drawing.Lines), cannot, style.Units),
		words.Guest(asked.Name, asked.Guest), words.Guest(on.Name, on.Guest))
	svg, err := plotting.DrawLoads(drawing, about(style, asked, on))
	if err != nil {
		return nil, 0, fmt.Errorf("drawing the loads of %s and %s: %w", q.Sled, q.On, err)
	}
	return svg, snap.revision, nil
}

// lines is the load on the pan along the pull, as far as a distance or, where that is 0, a little past the top; none,
// and why, where it is not known.
func (s weightSide) lines(endFt float64, units fleet.Units) ([]plotting.LoadLine, panload.Cannot) {
	side, cannot := s.side()
	if cannot != "" {
		return nil, cannot
	}
	const past = 1.1 // of the top-out
	if endFt <= 0 {
		endFt = past * side.Pull.TopOutFt
	}
	line := plotting.LoadLine{Label: words.Loading(s.state.Sled.Name+", "+s.label(), s.inBoxLb, units)}
	add := func(at float64) {
		if load, ok := side.LoadAt(at); ok {
			line.Line = append(line.Line, plotting.LoadPoint{AtFt: at, Lb: load.Lb, LowLb: load.LowLb,
				HighLb: load.HighLb})
		}
	}
	for step := range loadSteps + 1 {
		add(endFt * float64(step) / loadSteps)
	}
	for _, at := range []float64{side.Pull.TakeUpFt, side.Pull.TopOutFt} { // where the line bends
		if at > 0 && at < endFt {
			add(at)
		}
	}
	return []plotting.LoadLine{line}, ""
}

func labelsOf(lines []plotting.LoadLine) []string {
	labels := make([]string, len(lines))
	for i, l := range lines {
		labels[i] = l.Label
	}
	return labels
}

// endsOf is the first and the largest load of each line, nil where there is none.
func endsOf(lines []plotting.LoadLine) [][]float64 {
	ends := make([][]float64, len(lines))
	for i, l := range lines {
		for j, p := range l.Line {
			if j == 0 {
				ends[i] = []float64{p.Lb, p.Lb}
			}
			ends[i][1] = max(ends[i][1], p.Lb)
		}
	}
	return ends
}
