package book

import (
	"context"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Question asks which gears on other sleds top out nearest to a setting.
type Question struct {
	Sled, Gear string   // the sled's id and the gear's label
	StartFt    float64  // forward of full back
	On         []string // ids of the sleds to answer for; without any, every other one that is not retired
	OnStartFt  *float64 // start position of those sleds; nil for the same
}

// Equivalents is one answer for each sled asked for, at one revision of the fleet.
type Equivalents struct {
	Revision int64
	Asked    match.Asked
	Answers  []match.Answer
	Names    map[string]string // of all those sleds, by id
}

// Equivalents answers a question. A sled asked about that is not there is NotFound; an unknown gear, an unknown sled to
// answer for, and an impossible start position are Invalid, all of them in one error.
func (b *Book) Equivalents(ctx context.Context, q Question) (Equivalents, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return Equivalents{}, err
	}
	asked, on, err := snap.resolve(q)
	if err != nil {
		return Equivalents{}, err
	}
	e := Equivalents{
		Revision: snap.revision, Asked: match.Look(asked), Answers: make([]match.Answer, len(on)),
		Names: map[string]string{asked.Sled.ID: asked.Sled.Name},
	}
	for i, id := range on {
		if err := ctx.Err(); err != nil {
			return Equivalents{}, err
		}
		other := snap.sledState(id).side()
		e.Answers[i], e.Names[id] = match.Compare(asked, other, q.OnStartFt), other.Sled.Name
	}
	return e, nil
}

// resolve finds the setting asked about and the ids of the sleds to answer for, each once.
func (s *snapshot) resolve(q Question) (asked match.Setting, on []string, err error) {
	state, err := s.sled(q.Sled)
	if err != nil {
		return asked, nil, err
	}
	var faults fleet.Faults
	sled := state.Sled
	_, gear, _ := sled.GearByLabel(q.Gear)
	sled.CheckGear(&faults, "gear", q.Gear)
	fleet.CheckStart(&faults, "start_ft", q.StartFt, sled.Name, state.chart().TravelFt())
	if q.OnStartFt != nil {
		fleet.CheckStart(&faults, "on_start_ft", *q.OnStartFt, "", nil)
	}
	for _, id := range q.On {
		if slices.Contains(on, id) {
			continue
		}
		if _, known := s.lookup(id); !known {
			faults.Add("on", "there is no sled %q", id)
		}
		on = append(on, id)
	}
	if err := faults.Err(); err != nil {
		return asked, nil, err
	}
	if len(q.On) == 0 {
		on = s.inUse(q.Sled)
	}
	return match.Setting{Side: state.side(), Gear: gear, StartFt: q.StartFt}, on, nil
}
