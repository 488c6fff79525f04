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

// NearFt is how near every class must come for a sled to be a good one to book: what the season's work is judged by.
const NearFt = 5

// Candidates is which sled to book for a show, and what its classes ran on last time, at one revision of the fleet.
type Candidates struct {
	Revision int64
	Show     fleet.Show
	Sleds    []fleet.Sled
	Items    []Candidate // of each of them, nearest first
	LastTime []LastTime  // in running order
}

// Candidate is one sled for a whole show.
type Candidate struct {
	Sled, Name string
	Guest      *fleet.Guest // nil of one's own
	Booked     bool
	Nearness
	WorstClass    string            // id of the class of WorstFt; "" with no answer
	WorstName     string            // its name
	ChanceWithin5 *float64          // chance that every class is within 5 ft; nil unless all are known
	Weights       *CandidateWeights // nil where no class of the show asks for a weight
}

// Nearness is how near a sled comes to several top-outs.
type Nearness struct {
	Known   int      // to how many of them it has an answer
	Near    int      // and to how many one within 5 ft
	MeanFt  *float64 // mean of the differences without their signs; nil with no answer
	WorstFt *float64 // the largest of them, without its sign; nil with no answer
	sumFt   float64
}

// add adds a difference and says whether it is the largest so far.
func (n *Nearness) add(differenceFt float64) (worst bool) {
	miss := math.Abs(differenceFt)
	n.Known++
	if miss <= NearFt {
		n.Near++
	}
	n.sumFt += miss
	n.MeanFt = new(n.sumFt / float64(n.Known))
	if worst = n.WorstFt == nil || miss > *n.WorstFt; worst {
		n.WorstFt = &miss
	}
	return worst
}

// compare puts sleds with more answers first, then those with the smaller mean.
func (n Nearness) compare(other Nearness) int {
	if n.Known != other.Known || n.Known == 0 {
		return cmp.Compare(other.Known, n.Known)
	}
	return cmp.Compare(*n.MeanFt, *other.MeanFt)
}

// Candidates ranks the sleds that are not retired by how near they come to a show's classes. A show that is not there
// is NotFound.
func (b *Book) Candidates(ctx context.Context, show string) (Candidates, error) {
	var o showRecords
	var before earlierShows
	err := b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) (err error) {
		if o, err = showRecordsOf(snap, r, show); err != nil {
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
		c.Sleds, c.Items = append(c.Sleds, o.snap.sledState(id).Sled), append(c.Items, o.candidate(id))
	}
	slices.SortStableFunc(c.Items, func(a, b Candidate) int { return a.compare(b.Nearness) }) // else by id
	c.LastTime, err = before.lastTimes(o)
	return c, err
}

func (o showRecords) candidate(id string) Candidate {
	state := o.snap.sledState(id)
	on := state.side()
	c := Candidate{Sled: id, Name: on.Sled.Name, Guest: on.Sled.Guest, Booked: id == o.show.Sled}
	var chosen []match.Chosen
	for _, class := range o.show.Classes {
		home := o.classes[class].Setting
		answer := o.snap.translate(home, on)
		if w := o.snap.sheetWeight(o.classes[class], home, answer, state, o.show.FullPullFt); w != nil {
			if c.Weights == nil {
				c.Weights = &CandidateWeights{Weighed: state.weighed()}
			}
			c.Weights.add(class, *w)
		}
		if answer.Nearest == nil {
			continue
		}
		if c.add(answer.Nearest.DifferenceFt) {
			c.WorstClass, c.WorstName = class, o.classes[class].Name
		}
		// Two classes that mean the same are one question.
		if q, asks := o.snap.chosen(home, on, *answer.Nearest); asks && !slices.Contains(chosen, q) {
			chosen = append(chosen, q)
		}
	}
	if c.Known > 0 && c.Known == len(o.show.Classes) {
		c.ChanceWithin5 = new(match.Within(NearFt, chosen, on))
	}
	return c
}

// chosen is an answer as a question of how near it really comes. It is false for the setting that the class is used to
// itself, which cannot miss.
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
	setting, _ := s.setting(home) // without it there is no answer
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
