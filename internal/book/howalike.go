package book

import (
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
	Weighed   bool // whether any sled of the fleet was
	Reference fleet.Sled
	Sleds     []fleet.Sled // the reference and those of Items
	Gears     []string     // the reference's gears that count, in the order of the lever
	Items     []Alike      // most alike first
}

// Alike is one sled.
type Alike struct {
	Sled, Name string
	Guest      *fleet.Guest // nil of one's own
	Nearness
	WorstGear   string   // the reference's gear of WorstFt; "" with no answer
	MeanMovedFt *float64 // the mean with a moved start where that comes nearer
	Gears       []AlikeGear
}

// AlikeGear is the nearest gear to one of the reference's; positive tops out later.
type AlikeGear struct {
	ReferenceGear, Gear string
	DifferenceFt        float64
	PlusMinusFt         float64 // half its 95 % interval
}

// HowAlike ranks the other sleds that are not retired by how near they come to the reference's gears. With usedOnly
// only the gears count that a class is used to, unless there is none; guests can be left out. A sled that
// is not there is NotFound.
func (b *Book) HowAlike(
	ctx context.Context, reference string, usedOnly bool, guests Guests,
) (HowAlike, error) {
	var snap *snapshot
	var classes map[string][]string
	err := b.withSnapshot(ctx, func(at *snapshot, r *store.Reads) (err error) {
		snap = at
		if usedOnly {
			classes, err = r.ClassesByGear(reference)
		}
		return err
	})
	if err != nil {
		return HowAlike{}, err
	}
	state, err := snap.sled(reference)
	if err != nil {
		return HowAlike{}, err
	}
	var asked, used []match.Setting
	for i, g := range state.Sled.Gears {
		if setting := (match.Setting{Side: state.side(), Gear: i}); setting.Chart.At(i, 0).Known() {
			asked = append(asked, setting)
			if len(classes[g.ID]) > 0 {
				used = append(used, setting)
			}
		}
	}
	if len(used) > 0 {
		asked = used
	}
	out := HowAlike{Revision: snap.revision, Weighed: snap.weighed(), Reference: state.Sled,
		Sleds: []fleet.Sled{state.Sled}}
	for _, s := range asked {
		out.Gears = append(out.Gears, state.Sled.Gears[s.Gear].Label)
	}
	for _, id := range snap.inUse(reference) {
		if err := ctx.Err(); err != nil {
			return HowAlike{}, err
		}
		if guests.leavesOut(snap, id) {
			continue
		}
		on := snap.sledState(id).side()
		out.Sleds, out.Items = append(out.Sleds, on.Sled), append(out.Items, howAlike(asked, on))
	}
	slices.SortStableFunc(out.Items, func(a, b Alike) int { return a.compare(b.Nearness) }) // else by id
	return out, nil
}

func howAlike(asked []match.Setting, on match.Side) Alike {
	a := Alike{Sled: on.Sled.ID, Name: on.Sled.Name, Guest: on.Sled.Guest}
	var moved Nearness
	for _, s := range asked {
		answer := match.Compare(s, on, nil)
		n := answer.Nearest
		if n == nil {
			continue
		}
		gear := AlikeGear{
			ReferenceGear: s.Sled.Gears[s.Gear].Label, Gear: n.Gear, DifferenceFt: n.DifferenceFt,
			PlusMinusFt: (n.DifferenceHighFt - n.DifferenceLowFt) / 2,
		}
		a.Gears = append(a.Gears, gear)
		if a.add(n.DifferenceFt) {
			a.WorstGear = gear.ReferenceGear
		}
		miss := math.Abs(n.DifferenceFt)
		if m := answer.MovedStart; m != nil {
			miss = min(miss, math.Abs(m.DifferenceFt))
		}
		moved.add(miss)
	}
	a.MeanMovedFt = moved.MeanFt
	return a
}

// Ladder is where a sled's gears top out from full back.
type Ladder struct {
	Sled  fleet.Sled
	Rungs []calibrate.Estimate // in the order of the lever; some may not be known
}

// Ladders are the ladders of every sled that is not retired, by id, at one revision of the fleet.
type Ladders struct {
	Revision int64
	Weighed  bool // whether any sled of the fleet was
	Items    []Ladder
}

// Ladders gives them all.
func (b *Book) Ladders(ctx context.Context) (Ladders, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return Ladders{}, err
	}
	out := Ladders{Revision: snap.revision, Weighed: snap.weighed()}
	for _, id := range snap.inUse("") {
		out.Items = append(out.Items, snap.ladder(id))
	}
	return out, nil
}

func (s *snapshot) ladder(id string) Ladder {
	state := s.sledState(id)
	out := Ladder{Sled: state.Sled, Rungs: make([]calibrate.Estimate, len(state.Sled.Gears))}
	for i := range out.Rungs {
		out.Rungs[i] = state.chart().At(i, 0)
	}
	return out
}

// DrawLadders draws the ladder of every sled that is not retired, from full back, side by side, the reference first,
// and returns the revision it shows. With reference "" it begins with the first by id. A sled that is not there is
// NotFound.
func (b *Book) DrawLadders(
	ctx context.Context, reference string, guests Guests, style plotting.Style,
) ([]byte, int64, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	ids := slices.DeleteFunc(snap.inUse(reference), func(id string) bool { return guests.leavesOut(snap, id) })
	if reference != "" {
		if _, err := snap.sled(reference); err != nil {
			return nil, 0, err
		}
		ids = slices.Insert(ids, 0, reference)
	}
	sleds := make([]fleet.Sled, len(ids))
	for i, id := range ids {
		sleds[i] = snap.sledState(id).Sled
	}
	svg, err := plotting.DrawLadders(snap.ladders(ids, style.Units), about(style, sleds...))
	if err != nil {
		return nil, 0, fmt.Errorf("drawing the ladders of the fleet: %w", err)
	}
	return svg, snap.revision, nil
}

// ladders are the ladders of sleds as plain values.
func (s *snapshot) ladders(ids []string, units fleet.Units) plotting.Ladders {
	out := plotting.Ladders{Title: words.LaddersTitle}
	for _, id := range ids {
		l := s.ladder(id)
		of := plotting.Ladder{Name: l.Sled.Name}
		for i, g := range l.Sled.Gears {
			rung := plotting.Rung{Label: g.Label}
			if from := l.Rungs[i]; from.Known() {
				rung.TopOutFt, rung.LowFt, rung.HighFt = from.TopOutFt, from.LowFt, from.HighFt
				rung.Guess = !isMeasured(from.Basis)
			}
			of.Gears = append(of.Gears, rung)
		}
		out.Description = join(out.Description, words.Ladder(l.Sled.Name, l.Sled.Labels(), l.Rungs, units),
			words.Guest(l.Sled.Name, l.Sled.Guest))
		out.Sleds = append(out.Sleds, of)
	}
	if len(ids) == 0 {
		out.Description = "There is no sled yet."
	}
	return out
}
