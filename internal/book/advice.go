package book

import (
	"context"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Advice is what to measure next on a sled, at one revision of the fleet.
type Advice struct {
	Revision int64
	Sled     fleet.Sled
	Items    []calibrate.Advice // each the best one left once those before it are taken
}

// Advice names up to most readings worth taking on a sled: for what a show asks of it, or without a show for every
// gear from full back. A show that can be told nothing yet asks for every gear too. A sled that is not there is NotFound,
// an unknown show Invalid.
func (b *Book) Advice(ctx context.Context, sled, show string, most int) (Advice, error) {
	if show == "" {
		snap, err := b.current(ctx)
		if err != nil {
			return Advice{}, err
		}
		return snap.advise(sled, nil, most)
	}
	o, err := b.showRecords(ctx, show)
	if isKind(err, fleet.NotFound) {
		var f fleet.Faults
		f.Add("show", "there is no show %q", show)
		err = f.Err()
	}
	if err != nil {
		return Advice{}, err
	}
	if _, err := o.snap.sled(sled); err != nil {
		return Advice{}, err
	}
	if len(o.show.Classes) == 0 {
		most = 0 // it asks nothing
	}
	return o.snap.advise(sled, o.questions(sled), most)
}

func (s *snapshot) advise(sled string, questions []calibrate.Question, most int) (Advice, error) {
	state, err := s.sled(sled)
	if err != nil {
		return Advice{}, err
	}
	return Advice{Revision: s.revision, Sled: state.notebook.Sled, Items: calibrate.Advise(state.notebook, s.variances, questions, most)}, nil
}

// questions are the settings that the classes of a show, and their pull-offs, would get on a sled.
func (o showRecords) questions(sled string) (questions []calibrate.Question) {
	of := o.snap.sledState(sled).notebook.Sled
	ask := func(a match.Answer) {
		if a.Nearest != nil {
			_, gear, _ := of.GearByLabel(a.Nearest.Gear)
			questions = append(questions, calibrate.Question{Gear: gear, StartFt: a.Nearest.StartFt})
		}
	}
	for _, row := range o.snap.translateAll(o.show.Show, o.classes, sled) {
		ask(row.Tonight)
		if row.PullOffTonight != nil {
			ask(*row.PullOffTonight)
		}
	}
	return questions
}
