package book

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/plotting"
	"evenpull/internal/store"
	"evenpull/internal/words"
)

// HowAlike is how near every other sled's ladder comes to one sled's, from full back, at one revision of the fleet.
type HowAlike struct {
	Revision  int64
	Reference fleet.Sled
	Gears     []string // the reference's gears that count, in the order of the lever
	Items     []Alike  // most alike first
}

// Alike is one sled. Its feet are nil where nothing is known of it.
type Alike struct {
	Sled, Name  string
	Known       int      // for how many of the gears it has an answer
	MeanFt      *float64 // mean of the differences without their signs
	WorstFt     *float64 // the largest of them, without its sign
	WorstGear   string   // of the reference
	MeanMovedFt *float64 // the mean with a moved start where that comes nearer
	Gears       []AlikeGear
}

// AlikeGear is the nearest gear to one of the reference's; positive tops out later.
type AlikeGear struct {
	ReferenceGear, Gear string
	DifferenceFt        float64
	PlusMinusFt         float64 // half its 95 % interval
}

// HowAlike ranks every other sled that is not retired by how near it comes to the reference's gears: those with an answer for
// more gears first, then by the mean of the differences. With usedOnly only the gears count that a class is used to, unless
// there is none. A sled that is not there is NotFound.
func (b *Book) HowAlike(ctx context.Context, reference string, usedOnly bool) (HowAlike, error) {
	var now *snapshot
	var classes map[string][]string
	err := b.view(ctx, func(at *snapshot, r *store.Reads) (err error) {
		now = at
		if usedOnly {
			classes, err = r.ClassesByGear(reference)
		}
		return err
	})
	if err != nil {
		return HowAlike{}, err
	}
	p, err := now.sled(reference)
	if err != nil {
		return HowAlike{}, err
	}
	out := HowAlike{Revision: now.revision, Reference: p.notebook.Sled}
	var asked []match.Setting
	for _, used := range []bool{true, false} { // all of them where no class uses any
		for i, g := range p.notebook.Sled.Gears {
			if (!used || len(classes[g.ID]) > 0) && p.chart().At(i, 0).Known() {
				asked = append(asked, match.Setting{Side: p.side(), Gear: i})
				out.Gears = append(out.Gears, g.Label)
			}
		}
		if len(asked) > 0 {
			break
		}
	}
	for _, id := range now.inUse(reference) {
		if err := ctx.Err(); err != nil {
			return HowAlike{}, err
		}
		out.Items = append(out.Items, howAlike(asked, now.page(id).side()))
	}
	slices.SortStableFunc(out.Items, func(a, b Alike) int { // by id so far
		return cmp.Or(cmp.Compare(b.Known, a.Known), cmp.Compare(feetOr(a.MeanFt), feetOr(b.MeanFt)))
	})
	return out, nil
}

func howAlike(asked []match.Setting, on match.Side) Alike {
	a := Alike{Sled: on.Sled.ID, Name: on.Sled.Name}
	mean, moved, worst := 0.0, 0.0, 0.0
	for _, s := range asked {
		answer := match.Compare(s, on, nil)
		n := answer.Nearest
		if n == nil {
			continue
		}
		a.Known++
		of := AlikeGear{s.Sled.Gears[s.Gear].Label, n.Gear, n.DifferenceFt, (n.DifferenceHighFt - n.DifferenceLowFt) / 2}
		a.Gears = append(a.Gears, of)
		miss := math.Abs(of.DifferenceFt)
		mean += miss
		if a.Known == 1 || miss > worst {
			worst, a.WorstGear = miss, of.ReferenceGear
		}
		if m := answer.MovedStart; m != nil {
			miss = min(miss, math.Abs(m.DifferenceFt))
		}
		moved += miss
	}
	if a.Known == 0 {
		return a
	}
	mean, moved = mean/float64(a.Known), moved/float64(a.Known)
	a.MeanFt, a.WorstFt, a.MeanMovedFt = &mean, &worst, &moved
	return a
}

// DrawLadders draws the ladder of every sled that is not retired, from full back, side by side, the reference first, and returns the
// revision it shows. With reference "" the first by id is the reference. A sled that is not there is NotFound.
func (b *Book) DrawLadders(ctx context.Context, reference string, style plotting.Style) ([]byte, int64, error) {
	now, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	ids := now.inUse(reference)
	if reference != "" {
		if _, err := now.sled(reference); err != nil {
			return nil, 0, err
		}
		ids = slices.Insert(ids, 0, reference)
	}
	svg, err := plotting.DrawLadders(now.ladders(ids, style.Units), style)
	if err != nil {
		return nil, 0, fmt.Errorf("drawing the ladders of the fleet: %w", err)
	}
	return svg, now.revision, nil
}

// ladders are the ladders of sleds as plain values.
func (s *snapshot) ladders(ids []string, units fleet.Units) plotting.Ladders {
	out := plotting.Ladders{Title: words.LaddersTitle}
	for _, id := range ids {
		p := s.page(id)
		sled := p.notebook.Sled
		of := plotting.Ladder{Name: sled.Name}
		from := make([]calibrate.Estimate, len(sled.Gears))
		for i, g := range sled.Gears {
			rung := plotting.Rung{Label: g.Label}
			if from[i] = p.chart().At(i, 0); from[i].Known() {
				rung.TopOutFt, rung.LowFt, rung.HighFt = from[i].TopOutFt, from[i].LowFt, from[i].HighFt
				rung.Guess = !measuredBasis(from[i].Basis)
			}
			of.Gears = append(of.Gears, rung)
		}
		out.Description = join(out.Description, words.Ladder(sled.Name, sled.Labels(), from, units))
		out.Sleds = append(out.Sleds, of)
	}
	if len(ids) == 0 {
		out.Description = "There is no sled yet."
	}
	return out
}
