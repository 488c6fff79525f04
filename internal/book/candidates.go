package book

import (
	"cmp"
	"context"
	"math"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
)

// nearFt is how near every class must come for a sled to be a good one to book: what the season's work is judged by.
const nearFt = 5

// Candidates is which sled to book for a show, and what its classes ran on last time, at one revision of the fleet.
type Candidates struct {
	Revision int64
	Show     fleet.Show
	Items    []Candidate // nearest first
	LastTime []LastTime  // in running order
}

// Candidate is one sled for a whole show. Its feet are nil where it has no answer for any class.
type Candidate struct {
	Sled, Name    string
	Booked        bool
	Known         int      // for how many classes it has an answer
	MeanFt        *float64 // mean of the differences without their signs
	WorstFt       *float64 // the largest of them, without its sign
	WorstClass    string   // id of the class it is of; "" with no answer
	WorstName     string   // that class's name
	ChanceWithin5 *float64 // chance that every class is within 5 ft; nil unless all are known
}

// Candidates ranks every sled that is not retired by how near it comes to a show's classes: those with an answer for more
// classes first, then by the mean of the differences. A show that is not there is NotFound.
func (b *Book) Candidates(ctx context.Context, show string) (Candidates, error) {
	var o showRecords
	var before earlierShows
	err := b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) (err error) {
		if o.show, err = r.Show(show); err != nil {
			return err
		}
		if o.records, err = recordsOf(snap, r, []store.Show{o.show}); err != nil {
			return err
		}
		before, err = earlierShowsOf(snap, r, o.show)
		return err
	})
	if err != nil {
		return Candidates{}, err
	}
	c := Candidates{Revision: o.snap.revision, Show: b.show(o.show)}
	for _, id := range o.snap.inUse("") {
		if err := ctx.Err(); err != nil {
			return Candidates{}, err
		}
		c.Items = append(c.Items, o.candidate(id))
	}
	slices.SortStableFunc(c.Items, func(a, b Candidate) int { // by id so far
		return cmp.Or(cmp.Compare(b.Known, a.Known), cmp.Compare(feetOrInf(a.MeanFt), feetOrInf(b.MeanFt)))
	})
	c.LastTime, err = before.lastTimes(o)
	return c, err
}

func feetOrInf(ft *float64) float64 {
	if ft == nil {
		return math.Inf(1)
	}
	return *ft
}

// candidate weighs one sled.
func (o showRecords) candidate(id string) Candidate {
	state := o.snap.sledState(id)
	on := state.side()
	c := Candidate{Sled: id, Name: state.notebook.Sled.Name, Booked: id == o.show.Sled}
	var chosen []match.Chosen
	sum, worst := 0.0, 0.0
	for _, class := range o.show.Classes {
		home := o.classes[class].Setting
		answer := o.snap.translate(home, on)
		if answer.Nearest == nil {
			continue
		}
		c.Known++
		miss := math.Abs(answer.Nearest.DifferenceFt)
		sum += miss
		if c.Known == 1 || miss > worst {
			worst, c.WorstClass, c.WorstName = miss, class, o.classes[class].Name
		}
		// Two classes that mean the same are one question.
		if q, asks := o.snap.chosen(home, on, *answer.Nearest); asks && !slices.Contains(chosen, q) {
			chosen = append(chosen, q)
		}
	}
	if c.Known == 0 {
		return c
	}
	mean := sum / float64(c.Known)
	c.MeanFt, c.WorstFt = &mean, &worst
	if c.Known == len(o.show.Classes) {
		chance := match.Within(nearFt, chosen, on)
		c.ChanceWithin5 = &chance
	}
	return c
}

// chosen is an answer as a question of how near it really comes; false where it is the very setting that the class is
// used to, which cannot miss itself.
func (s *snapshot) chosen(home fleet.HomeSetting, on match.Side, n match.Nearest) (match.Chosen, bool) {
	q := match.Chosen{OnStartFt: n.StartFt}
	_, q.Gear, _ = on.Sled.GearByLabel(n.Gear)
	if !s.stillMeans(home, on.Sled.ID) {
		q.Target = s.target(home)
		if n.ComparedAt == match.FullBack {
			q.Target.PlusMinusFt *= q.Target.FullBackFt / q.Target.TopOutFt
			q.Target.TopOutFt, q.Target.StartFt = q.Target.FullBackFt, 0
		}
		return q, true
	}
	setting, _ := s.setting(home) // there, or there were no answer
	if home.Sled == on.Sled.ID && setting.Gear == q.Gear && home.StartFt == q.OnStartFt {
		return q, false
	}
	start := home.StartFt
	if n.ComparedAt == match.FullBack {
		start = 0
	}
	e := setting.Chart.At(setting.Gear, start)
	q.Target = match.Target{TopOutFt: e.TopOutFt, PlusMinusFt: (e.HighFt - e.LowFt) / 2, StartFt: start}
	return q, true
}
