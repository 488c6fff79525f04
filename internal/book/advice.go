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
		now, err := b.current(ctx)
		if err != nil {
			return Advice{}, err
		}
		return now.advise(sled, nil, most)
	}
	o, err := b.openShow(ctx, show)
	if is(err, fleet.NotFound) {
		var f fleet.Faults
		f.Add("show", "there is no show %q", show)
		err = f.Err()
	}
	if err != nil {
		return Advice{}, err
	}
	if _, err := o.now.sled(sled); err != nil {
		return Advice{}, err
	}
	if len(o.show.Classes) == 0 {
		most = 0 // it asks nothing
	}
	return o.now.advise(sled, o.questions(sled), most)
}

func (s *snapshot) advise(sled string, questions []calibrate.Question, most int) (Advice, error) {
	p, err := s.sled(sled)
	if err != nil {
		return Advice{}, err
	}
	return Advice{Revision: s.revision, Sled: p.notebook.Sled, Items: calibrate.Advise(p.notebook, s.variances, questions, most)}, nil
}

// questions are the settings that the classes of a show, and their pull-offs, would get on a sled.
func (o opened) questions(sled string) (questions []calibrate.Question) {
	of := o.now.page(sled).notebook.Sled
	ask := func(a match.Answer) {
		if a.Nearest != nil {
			_, gear, _ := of.GearByLabel(a.Nearest.Gear)
			questions = append(questions, calibrate.Question{Gear: gear, StartFt: a.Nearest.StartFt})
		}
	}
	rows, _ := o.now.translateAll(o.show.Show, o.classes, sled, false)
	for _, row := range rows {
		ask(row.Tonight)
		if row.PullOff != nil {
			ask(row.PullOff.Tonight)
		}
	}
	return questions
}
