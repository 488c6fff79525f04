package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"

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
	drawing.Title = fmt.Sprintf("The load on the pan of %s", state.Sled.Name)
	return drawnLoads(drawing, cannot, snap.revision, style, state.Sled)
}

// drawnLoads is a drawing of the pan loads of sleds, or of why there is none.
func drawnLoads(d plotting.Loads, cannot panload.Cannot, revision int64, style plotting.Style,
	sleds ...fleet.Sled) ([]byte, int64, error) {
	labels := make([]string, len(d.Lines))
	ends := make([][]float64, len(d.Lines)) // the first and the largest load of each line, nil where there is none
	for i, l := range d.Lines {
		labels[i] = l.Label
		if len(l.Line) > 0 {
			largest := slices.MaxFunc(l.Line, func(a, b plotting.LoadPoint) int { return cmp.Compare(a.Lb, b.Lb) })
			ends[i] = []float64{l.Line[0].Lb, largest.Lb}
		}
	}
	d.Nothing, d.Description = words.NoLoads(cannot), words.Loads(labels, ends, cannot, style.Units)
	for _, s := range sleds {
		d.Description = join(d.Description, words.Guest(s.Name, s.Guest))
	}
	return plotting.DrawLoads(d, about(style, sleds...)), revision, nil
}

// travelLoads are the loads along the travel: with nothing in the box, and with what was asked.
func (s sledState) travelLoads(q PanQuestion, units fleet.Units) (d plotting.Loads) {
	fit, travel := s.pan(), s.panSled().TravelFt
	loadings := []float64{0}
	if q.InBoxLb > 0 {
		loadings = append(loadings, q.InBoxLb)
	}
	const near = 1 // lb
	for i, lb := range loadings {
		line := plotting.LoadLine{Label: words.Loading("", lb, units)}
		if fit != nil && travel > 0 {
			line.Line = loadPoints(travel, func(at float64) (panload.Load, bool) { return fit.Pan(at, lb, q.OnPanLb) })
		}
		from := s.timeline.WeighingsFrom()
		for _, g := range s.weighings { // each with its own loading
			own := func(l float64) bool { return l-near <= g.InBoxLb && g.InBoxLb <= l+near }
			if slices.IndexFunc(loadings, own) == i && g.WeighedOn >= from {
				line.Weighed = append(line.Weighed, plotting.WeighedPoint{
					AtFt: g.BoxAtFt, Lb: g.PanLb - g.OnPanLb + q.OnPanLb, SetAside: g.SetAside != nil,
				})
			}
		}
		d.Lines = append(d.Lines, line)
	}
	return d
}

// loadPoints are the loads from 0 to an end, evenly spaced, and then where the line bends, as far as they are known.
func loadPoints(endFt float64, load func(atFt float64) (panload.Load, bool), bends ...float64) []plotting.LoadPoint {
	var points []plotting.LoadPoint
	add := func(at float64) {
		if l, ok := load(at); ok {
			points = append(points, plotting.LoadPoint{AtFt: at, Lb: l.Lb, LowLb: l.LowLb, HighLb: l.HighLb})
		}
	}
	for step := range loadSteps + 1 {
		add(endFt * float64(step) / loadSteps)
	}
	for _, at := range bends {
		if at > 0 && at < endFt {
			add(at)
		}
	}
	return points
}

// DrawWeights draws the load on both pans along the pull, with the weight in the box that Weights answers, and returns
// the revision it shows. Errors are those of Weights.
func (b *Book) DrawWeights(ctx context.Context, q WeightQuestion, style plotting.Style) ([]byte, int64, error) {
	snap, p, err := b.weightPair(ctx, q)
	if err != nil {
		return nil, 0, err
	}
	answer := p.solve()
	p.on.inBoxLb, p.on.onPanLb = answer.On.InBoxLb, answer.On.OnPanLb
	lines, cannot := p.asked.lines(answer.FinishFt, style.Units)
	if len(answer.Remaining) > 0 {
		more, _ := p.on.lines(answer.FinishFt, style.Units)
		lines = append(lines, more...)
	}
	asked, on := p.asked.state.Sled, p.on.state.Sled
	drawing := plotting.Loads{
		Title:     fmt.Sprintf("The load on the pans of %s and %s along the pull", asked.Name, on.Name),
		AlongPull: true, ShadeGap: true, FinishFt: answer.FinishFt, Lines: lines,
	}
	return drawnLoads(drawing, cannot, snap.revision, style, asked, on)
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
	return []plotting.LoadLine{{
		Label: words.Loading(s.state.Sled.Name+", "+s.label(), s.inBoxLb, units),
		Line:  loadPoints(endFt, side.LoadAt, side.Pull.TakeUpFt, side.Pull.TopOutFt),
	}}, ""
}
