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
	Items    []calibrate.Advice // each is the best one after those before it
}

// Advice names up to limit readings worth taking on a sled: for the settings that a show needs of it, or without a show
// for every gear from full back. A show of which nothing is known yet asks for every gear too. A sled that is not there
// is NotFound, an unknown show Invalid.
func (b *Book) Advice(ctx context.Context, sled, show string, limit int) (Advice, error) {
	var o showRecords
	var err error
	if show == "" {
		o.snap, err = b.current(ctx)
	} else if o, err = b.showRecords(ctx, show); isKind(err, fleet.NotFound) {
		err = fleet.InvalidField("show", "there is no show %q", show)
	}
	if err != nil {
		return Advice{}, err
	}
	state, err := o.snap.sled(sled)
	if err != nil {
		return Advice{}, err
	}
	if show != "" && len(o.show.Classes) == 0 {
		limit = 0
	}
	return Advice{
		Revision: o.snap.revision, Sled: state.Sled,
		Items: calibrate.Advise(state.Notebook, state.variances, o.questions(state.Sled), limit),
	}, nil
}

// questions are the settings that the classes of a show, and their pull-offs, would get on a sled.
func (o showRecords) questions(sled fleet.Sled) (questions []calibrate.Question) {
	ask := func(a *match.Answer) {
		if a != nil && a.Nearest != nil {
			_, gear, _ := sled.GearByLabel(a.Nearest.Gear)
			questions = append(questions, calibrate.Question{Gear: gear, StartFt: a.Nearest.StartFt})
		}
	}
	rows, _ := o.snap.translateAll(o.show.Show, o.classes, sled.ID, false)
	for _, row := range rows {
		ask(&row.Tonight)
		ask(row.PullOffTonight)
	}
	return questions
}
