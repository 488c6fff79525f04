package book

import (
	"cmp"
	"context"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Table is every gear of one sled against the whole fleet, at one revision of it.
type Table struct {
	Revision  int64
	Weighed   bool // whether any sled of the fleet was
	Reference fleet.Sled
	StartFt   float64
	Sleds     []fleet.Sled      // the other sleds that are not retired, by id
	Nights    map[string]*Night // by id, of those sleds that have readings of the day asked about
	Rows      []TableRow        // slowest gear first, those of which nothing is known last
}

// TableRow is one gear of the reference sled with the answer on each other sled by id. A sled of which nothing is
// known is not in it.
type TableRow struct {
	Asked match.Asked
	On    map[string]match.Answer
}

// Table compares every gear of a sled with all others from one start position, on the night of a day, by its name, or
// "" for one not yet seen. A sled that is not there is NotFound, a start position where no box can stand Invalid.
func (b *Book) Table(ctx context.Context, reference string, startFt float64, day string) (Table, error) {
	snap, state, err := b.currentSled(ctx, reference)
	if err != nil {
		return Table{}, err
	}
	var faults fleet.Faults
	fleet.CheckStart(&faults, "start_ft", startFt, state.Sled.Name, state.chart().TravelFt())
	if err := faults.Err(); err != nil {
		return Table{}, err
	}
	others := snap.inUse(reference)
	t := Table{
		Revision: snap.revision, Weighed: snap.weighed(), Reference: state.Sled, StartFt: startFt,
		Sleds: make([]fleet.Sled, len(others)), Nights: map[string]*Night{},
	}
	sides := make([]match.Side, len(others))
	for i, id := range others {
		side, night := snap.sledState(id).onDay(day)
		if sides[i], t.Sleds[i] = side, side.Sled; night != nil {
			t.Nights[id] = night
		}
	}
	for gear := range state.Sled.Gears {
		asked := match.Setting{Side: state.side(), Gear: gear, StartFt: startFt}
		row := TableRow{Asked: match.Look(asked), On: make(map[string]match.Answer, len(others))}
		for i, id := range others {
			if err := ctx.Err(); err != nil {
				return Table{}, err
			}
			if answer := match.Compare(asked, sides[i], nil); answer.Nearest != nil {
				row.On[id] = answer
			}
		}
		t.Rows = append(t.Rows, row)
	}
	topFt := func(r TableRow) float64 { return valueOrZero(topOutFt(r.Asked.Estimate)) }
	slices.SortStableFunc(t.Rows, func(a, b TableRow) int { return cmp.Compare(topFt(b), topFt(a)) })
	return t, nil
}
