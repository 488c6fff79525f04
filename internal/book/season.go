package book

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
	"evenpull/internal/words"
)

// Season is what was planned, set and happened at the shows between two dates, by class, at one revision of the fleet.
type Season struct {
	Revision int64
	Weighed  bool   // whether any sled of the fleet was
	From, To string // ISO 8601 dates; "" while there is no show
	Shows    int
	Sleds    []fleet.Sled  // that are booked for them, each once
	Classes  []SeasonClass // by id
}

// SeasonClass is one class over a season.
type SeasonClass struct {
	ID, Name string
	Lines    []SeasonLine // by date
	Moved    match.Moved  // of set less planned, over the shows that noted it
	Suspect  words.Suspect
}

// SeasonLine is one class at one show.
type SeasonLine struct {
	Show, Date string
	Sled       string // the one that is booked
	Planned    *SeasonSetting
	Set        *SeasonSetting // what most hooks pulled on; nil where nothing was noted on that sled
	MovedFt    *float64       // set less planned, the mean over the hooks
	Outcome    *fleet.Outcome
}

// SeasonSetting is a gear and a start position, and the top-out that the chart had for it then.
type SeasonSetting struct {
	Gear     string
	StartFt  float64
	TopOutFt *float64
}

// Season tells of the shows from one date to another: "" for the first of January of the newest show's year, and for
// the newest show's date, with or without those that a guest is booked for. What is no date is Invalid.
func (b *Book) Season(ctx context.Context, from, to string, guests Guests) (Season, error) {
	var season Season
	var shows []store.Show
	var rec records
	err := b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) error {
		newest, err := r.NewestShow()
		if err != nil {
			return err
		}
		season = Season{Revision: snap.revision, Weighed: snap.weighed(), From: from, To: to}
		if err := season.fillDates(newest); err != nil {
			return err
		}
		if shows, err = r.ShowsBetween(season.From, season.To); err != nil {
			return err
		}
		shows = slices.DeleteFunc(shows, func(s store.Show) bool { return guests.leavesOut(snap, s.Sled) })
		rec, err = recordsOf(snap, r, shows)
		return err
	})
	if err != nil {
		return Season{}, err
	}
	season.Shows = len(shows)
	booked := bookedBy(mapSlice(shows, func(s store.Show) fleet.Show { return s.Show })...)
	slices.Sort(booked)
	for _, id := range booked {
		season.Sleds = append(season.Sleds, rec.snap.sledState(id).Sled)
	}
	lines := map[string][]SeasonLine{}
	for _, s := range shows {
		if err := ctx.Err(); err != nil {
			return Season{}, err
		}
		plan, err := rec.plan(s, false)
		if err != nil {
			return Season{}, err
		}
		for _, row := range plan.Rows {
			lines[row.Class.ID] = append(lines[row.Class.ID], rec.seasonLine(s, row))
		}
	}
	for _, id := range slices.Sorted(maps.Keys(lines)) {
		season.Classes = append(season.Classes, SeasonClass{ID: id, Name: rec.classes[id].Name, Lines: lines[id]})
	}
	season.judgeMoves(rec)
	return season, nil
}

// fillDates fills in the dates that are not given and checks those that are.
func (s *Season) fillDates(newest string) error {
	var f fleet.Faults
	check := func(at, date string) {
		if _, err := time.Parse(time.DateOnly, date); date != "" && err != nil {
			f.Add(at, "must be a date like 2026-07-18, not %q", date)
		}
	}
	check("since", s.From)
	check("until", s.To)
	if s.From != "" && s.To != "" && s.From > s.To && !f.Any() {
		f.Add("since", "%s lies after %s", s.From, s.To)
	}
	if s.From == "" && newest != "" {
		s.From = newest[:len("2026")] + "-01-01"
	}
	s.To = cmp.Or(s.To, newest)
	return f.Err()
}

func (rec records) seasonLine(s store.Show, row SheetRow) SeasonLine {
	at := store.ShowClass{Show: s.ID, Class: row.Class.ID}
	line := SeasonLine{Show: s.ID, Date: s.Date, Sled: s.Sled, Outcome: rec.outcome(at)}
	// What was set on another sled before a swap was set for another plan.
	ran := slices.DeleteFunc(hooksOf(rec.asRun[at], line.Outcome), func(r ranOn) bool { return r.Sled != s.Sled })
	if set := mostHooks(ran); set != nil {
		line.Set = settingOf(*set)
	}
	line.Planned = planned(row.Tonight, line.Set)
	hooks, moved := 0.0, 0.0
	for _, r := range ran {
		set := settingOf(r.AsRun)
		switch p := planned(row.Tonight, set); {
		case p == nil:
			continue
		case p.same(*set): // whatever the chart has learned in between
		case p.TopOutFt == nil || set.TopOutFt == nil:
			continue
		default:
			moved += r.hooks * (*set.TopOutFt - *p.TopOutFt)
		}
		hooks += r.hooks
	}
	if hooks > 0 {
		line.MovedFt = new(moved / hooks)
	}
	return line
}

func settingOf(a fleet.AsRun) *SeasonSetting { return &SeasonSetting{a.Gear, a.StartFt, a.TopOutFt} }

// planned is what the sheet said: the nearest gear, or the moved start where it was worth it and was taken. An operator
// who takes what the sheet offers has corrected nothing.
func planned(tonight match.Answer, set *SeasonSetting) *SeasonSetting {
	if m := tonight.MovedStart; m != nil && m.WorthIt && set != nil {
		if offer := (SeasonSetting{m.Gear, m.RoundedStartFt, &m.TopOutFt}); offer.same(*set) {
			return &offer
		}
	}
	if n := tonight.Nearest; n != nil {
		return &SeasonSetting{n.Gear, n.StartFt, &n.TopOutFt}
	}
	return nil
}

func (s SeasonSetting) same(as SeasonSetting) bool {
	return s.Gear == as.Gear && s.StartFt == as.StartFt
}

// judgeMoves says of each class whether it keeps being moved in one direction, and whose chart may then be off: on one
// sled that one's, on several that of the sled the class is used to, which they have in common.
func (s *Season) judgeMoves(rec records) {
	moves, sleds := make([][]float64, len(s.Classes)), make([][]string, len(s.Classes))
	for i, c := range s.Classes {
		for _, line := range c.Lines {
			if line.MovedFt != nil {
				moves[i], sleds[i] = append(moves[i], *line.MovedFt), append(sleds[i], line.Sled)
			}
		}
	}
	for i, m := range match.MovedOneWay(moves) {
		c := &s.Classes[i]
		slices.Sort(sleds[i])
		on, id := slices.Compact(sleds[i]), rec.classes[c.ID].Setting.Sled
		if len(on) == 1 {
			id = on[0]
		}
		c.Moved, c.Suspect = m, words.Suspect{Only: len(on) == 1, Sled: rec.snap.sledState(id).Sled.Name}
	}
}
