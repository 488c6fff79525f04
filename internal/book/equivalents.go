package book

import (
	"context"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Question asks which gears on other sleds top out nearest to a setting, or to a distance.
type Question struct {
	Sled, Gear string   // the sled's id and the gear's label
	TopOutFt   *float64 // the distance, in place of both
	OnePull    bool     // the distance is where one pull topped out on one night, and not an average
	Day        string   // name of the day whose readings move the sleds to answer for; "" for a night not yet seen
	StartFt    float64  // forward of full back
	On         []string // ids of the sleds to answer for; without any, every other one that is not retired
	OnStartFt  *float64 // start position of those sleds; nil for the same
}

// Equivalents is one answer for each sled asked for, at one revision of the fleet.
type Equivalents struct {
	Revision int64
	Weighed  bool // whether any sled of the fleet was
	Asked    match.Asked
	Answers  []match.Answer
	Names    map[string]string       // of all those sleds, by id
	Sleds    []fleet.Sled            // the same
	Guests   map[string]*fleet.Guest // by id; nil of those that are none
	Nights   map[string]*Night       // by id, of those sleds that have readings of the day asked about
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
		Revision: snap.revision, Weighed: snap.weighed(), Answers: make([]match.Answer, len(on)),
		Names: map[string]string{}, Nights: map[string]*Night{}, Guests: map[string]*fleet.Guest{},
	}
	var compare func(match.Side) match.Answer
	e.Asked, compare = q.compare(asked)
	if q.TopOutFt == nil {
		e.Names[asked.Sled.ID], e.Guests[asked.Sled.ID] = asked.Sled.Name, asked.Sled.Guest
		e.Sleds = append(e.Sleds, asked.Sled)
	}
	for i, id := range on {
		if err := ctx.Err(); err != nil {
			return Equivalents{}, err
		}
		other, night := snap.sledState(id).onDay(q.Day)
		e.Answers[i], e.Names[id], e.Guests[id] = compare(other), other.Sled.Name, other.Sled.Guest
		if id != asked.Sled.ID {
			e.Sleds = append(e.Sleds, other.Sled)
		}
		if night != nil {
			e.Nights[id] = night
		}
	}
	return e, nil
}

// compare is what a question is about, asked being its setting if it is no distance, and how it is put to a sled.
func (q Question) compare(asked match.Setting) (match.Asked, func(match.Side) match.Answer) {
	if q.TopOutFt == nil {
		return match.Look(asked), func(on match.Side) match.Answer { return match.Compare(asked, on, q.OnStartFt) }
	}
	target := match.Target{TopOutFt: *q.TopOutFt, StartFt: q.StartFt, OnePull: q.OnePull}
	return match.LookAt(target), func(on match.Side) match.Answer { return match.CompareTo(target, on, q.OnStartFt) }
}

// resolve finds the setting asked about, if it is no distance, and the ids of the sleds to answer for, each once.
func (s *snapshot) resolve(q Question) (asked match.Setting, on []string, err error) {
	var faults fleet.Faults
	switch {
	case q.TopOutFt != nil:
		q.checkDistance(&faults)
	case q.Sled == "" || q.Gear == "":
		q.checkSetting(&faults)
	default:
		if asked, err = s.asked(&faults, q); err != nil {
			return asked, nil, err
		}
	}
	if q.OnePull && q.TopOutFt == nil {
		faults.Add("one_pull", "goes with top_out_ft")
	}
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
	return asked, on, nil
}

// asked is the setting that a question is about.
func (s *snapshot) asked(faults *fleet.Faults, q Question) (match.Setting, error) {
	state, err := s.sled(q.Sled)
	if err != nil {
		return match.Setting{}, err
	}
	_, gear, _ := state.Sled.GearByLabel(q.Gear)
	state.Sled.CheckGear(faults, "gear", q.Gear)
	fleet.CheckStart(faults, "start_ft", q.StartFt, state.Sled.Name, state.chart().TravelFt())
	return match.Setting{Side: state.side(), Gear: gear, StartFt: q.StartFt}, nil
}

// checkDistance judges a question about a distance.
func (q Question) checkDistance(faults *fleet.Faults) {
	if q.Sled != "" {
		faults.Add("sled", "goes with gear, and not with top_out_ft")
	}
	if q.Gear != "" {
		faults.Add("gear", "goes with sled, and not with top_out_ft")
	}
	fleet.CheckDistance(faults, "top_out_ft", *q.TopOutFt)
	fleet.CheckStart(faults, "start_ft", q.StartFt, "", nil)
}

// checkSetting says what is missing of a question about a gear on a sled.
func (q Question) checkSetting(faults *fleet.Faults) {
	if q.Sled == "" {
		faults.Add("sled", "is missing: give the sled and the gear, or the distance as top_out_ft")
	}
	if q.Gear == "" {
		faults.Add("gear", "is missing: give the sled and the gear, or the distance as top_out_ft")
	}
}
