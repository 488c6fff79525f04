package book

import (
	"maps"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// LastTime is what a class ran on the last time.
type LastTime struct {
	Class, Name string
	Last        *LastRun // nil where nothing is known of any earlier show
}

// LastRun is what a class ran on at one show.
type LastRun struct {
	Show, ShowName, Date, Place string
	Here                        bool // at the same place as the show asked about
	Sled, Gear                  string
	StartFt                     float64
	TopOutFt                    *float64
	Noted                       bool // it was noted as run; else it is what the sheet said
	Outcome                     *fleet.Outcome
}

// earlierShows is where each class of a show ran before it: the last time at the same place, and the last time
// anywhere.
type earlierShows struct {
	records
	shows               map[string]store.Show
	samePlace, anyPlace map[string]string // show by class
}

func earlierShowsOf(snap *snapshot, r *store.Reads, s store.Show) (before earlierShows, err error) {
	if before.anyPlace, err = r.LastShows(s.Classes, s.Date, nil); err != nil || len(before.anyPlace) == 0 {
		return before, err
	}
	if s.Place != "" {
		places, err := r.Places(s.Date)
		if err != nil {
			return before, err
		}
		same := slices.DeleteFunc(places, func(p string) bool { return !strings.EqualFold(p, s.Place) })
		if len(same) > 0 {
			if before.samePlace, err = r.LastShows(s.Classes, s.Date, same); err != nil {
				return before, err
			}
		}
	}
	ids := append(slices.Collect(maps.Values(before.samePlace)), slices.Collect(maps.Values(before.anyPlace))...)
	slices.Sort(ids)
	shows, err := r.ShowsByID(slices.Compact(ids))
	if err != nil {
		return before, err
	}
	before.shows = make(map[string]store.Show, len(shows))
	for _, s := range shows {
		before.shows[s.ID] = s
	}
	before.records, err = recordsOf(snap, r, shows)
	return before, err
}

// lastTimes tells of each class of the show in running order: its last run at this place, or else anywhere.
func (before earlierShows) lastTimes(o showRecords) ([]LastTime, error) {
	out := make([]LastTime, len(o.show.Classes))
	plans := map[string][]SheetRow{}
	for i, class := range o.show.Classes {
		out[i] = LastTime{Class: class, Name: o.classes[class].Name}
		for _, at := range []map[string]string{before.samePlace, before.anyPlace} {
			s, ok := before.shows[at[class]]
			if !ok {
				continue
			}
			run, err := before.lastRun(s, class, plans)
			if err != nil {
				return nil, err
			}
			if run != nil {
				run.Here = o.show.Place != "" && strings.EqualFold(s.Place, o.show.Place)
				out[i].Last = run
				break
			}
		}
	}
	return out, nil
}

// lastRun is what a class ran on at a show: what was noted and most hooks pulled on, else what the sheet said. It is
// nil where neither says anything.
func (before earlierShows) lastRun(s store.Show, class string, plans map[string][]SheetRow) (*LastRun, error) {
	entry := store.ShowClass{Show: s.ID, Class: class}
	run := &LastRun{
		Show: s.ID, ShowName: s.Name, Date: s.Date, Place: s.Place, Sled: s.Sled, Outcome: before.outcome(entry),
	}
	if a := mostHooks(hooksOf(before.asRun[entry], run.Outcome)); a != nil {
		run.Sled, run.Gear, run.StartFt, run.TopOutFt, run.Noted = a.Sled, a.Gear, a.StartFt, a.TopOutFt, true
		return run, nil
	}
	if _, made := plans[s.ID]; !made {
		plan, err := before.plan(s, false)
		if err != nil {
			return nil, err
		}
		plans[s.ID] = plan.Rows
	}
	for _, row := range plans[s.ID] {
		if n := row.Tonight.Nearest; row.Class.ID == class && n != nil {
			run.Gear, run.StartFt, run.TopOutFt = n.Gear, n.StartFt, &n.TopOutFt
			return run, nil
		}
	}
	return nil, nil
}
