package book

import (
	"context"
	"sync"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/panload"
	"evenpull/internal/words"
)

// PanQuestion asks what lies on the pan of one sled.
type PanQuestion struct {
	Sled             string
	InBoxLb, OnPanLb float64 // blocks
	Gear             string  // "" where the pull does not matter
	StartFt          float64 // forward of full back
}

// PanLoad is what is known of the load on one sled's pan, at one revision of the fleet.
type PanLoad struct {
	Revision     int64
	Sled         fleet.Sled
	Question     PanQuestion
	TravelFt     *float64            // box mark at the top; nil when unknown
	TopOut       *calibrate.Estimate // of the gear, where one was asked for
	Weighings    []fleet.Weighing    // that count
	From         string              // date of the change of parts that ended those before it; "" without one
	Spread       panload.Spread      // of weighings of the fleet
	Coefficients [4]*panload.Coefficient
	Places       []words.PanPlace
	Checks       []panload.Check
	Next         []panload.State
}

// PanLoad tells what lies on a sled's pan with blocks in its box and on its pan, at the hook, halfway and at the top. A
// sled that is not there is NotFound; an unknown gear, an impossible start position and an impossible weight are
// Invalid.
func (b *Book) PanLoad(ctx context.Context, q PanQuestion) (PanLoad, error) {
	snap, state, err := b.currentSled(ctx, q.Sled)
	if err != nil {
		return PanLoad{}, err
	}
	if err := state.checkPan(q).Err(); err != nil {
		return PanLoad{}, err
	}
	out := PanLoad{
		Revision: snap.revision, Sled: state.Sled, Question: q, TravelFt: state.topFt(), Spread: state.panSpread,
	}
	var top pullOut
	if q.Gear != "" {
		_, gear, _ := state.Sled.GearByLabel(q.Gear)
		e := state.chart().At(gear, q.StartFt)
		out.TopOut, top = &e, pullOutOf(e)
	}
	weighed := state.panSled()
	out.Weighings, out.Next = weighed.Weighings, panload.Next(weighed)
	out.From = state.timeline.WeighingsFrom()
	fit := state.pan()
	if fit != nil {
		out.Coefficients, out.Checks = fit.Coefficients(), fit.Checks()
	}
	out.Places = state.panPlaces(fit, q, top)
	return out, nil
}

// checkPan finds what is wrong with a question.
func (s sledState) checkPan(q PanQuestion) *fleet.Faults {
	f := new(fleet.Faults)
	fleet.CheckLoad(f, "in_box_lb", &q.InBoxLb)
	fleet.CheckLoad(f, "on_pan_lb", &q.OnPanLb)
	fleet.CheckStart(f, "start_ft", q.StartFt, s.Sled.Name, s.topFt())
	if q.Gear != "" {
		s.Sled.CheckGear(f, "gear", q.Gear)
	}
	return f
}

func (s sledState) panPlaces(fit *panload.Fit, q PanQuestion, topOut pullOut) []words.PanPlace {
	places := []words.PanPlace{{Where: "hook", BoxAtFt: &q.StartFt}, {Where: "middle"}, {Where: "top"}}
	if top := s.topFt(); top != nil {
		places[1].BoxAtFt, places[2].BoxAtFt = new((q.StartFt+*top)/2), top
	}
	if topOut.ft != nil {
		places[0].AtFt, places[2].AtFt = new(0.0), topOut.ft
	}
	if pull, cannot := s.pull(q.StartFt, topOut); cannot == "" {
		places[1].AtFt = new(pull.DistanceAt(*places[1].BoxAtFt))
	}
	for i := range places {
		p := &places[i]
		if fit == nil || p.BoxAtFt == nil {
			continue
		}
		if load, ok := fit.Pan(*p.BoxAtFt, q.InBoxLb, q.OnPanLb); ok {
			p.Pan = &load
		}
		if load, ok := fit.Tandem(*p.BoxAtFt, q.InBoxLb, q.OnPanLb); ok {
			p.Tandem = &load
		}
	}
	return places
}

// panSled is what the arithmetic goes by: the weighings that count, the tape, the blocks and the limits.
func (s sledState) panSled() panload.Sled {
	out := panload.Sled{Loading: s.Sled.Loading, Weighings: countingWeighings(s.timeline, s.weighings)}
	if top := s.topFt(); top != nil {
		out.TravelFt = *top
	} else {
		for _, w := range out.Weighings { // the farthest mark stands for the top
			out.TravelFt = max(out.TravelFt, w.BoxAtFt)
		}
	}
	return out
}

// pan is a sled's pan load, worked out when it is first asked for; nil where it was never weighed.
func (s sledState) pan() *panload.Fit {
	work := sync.OnceValue(func() *panload.Fit { return panload.FitTo(s.panSled(), s.panSpread) })
	found, _ := s.panFits.LoadOrStore(s.Sled.ID, work)
	return found.(func() *panload.Fit)()
}

// weighed says whether a sled has a weighing that counts.
func (s sledState) weighed() bool { return len(countingWeighings(s.timeline, s.weighings)) > 0 }

// MarkFt is where the box stands at a mark; nil where the travel is not known.
func (l PanLoad) MarkFt(mark panload.Mark) *float64 {
	if l.TravelFt == nil && mark != panload.Back {
		return nil
	}
	return new(mark.Share() * valueOrZero(l.TravelFt))
}
