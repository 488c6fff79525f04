package book

import (
	"cmp"
	"context"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
)

// Sheet is a show's classes with their settings on one sled, at one revision of the fleet.
type Sheet struct {
	Revision int64
	Show     fleet.Show
	// of a show that is over, on its booked sled: only ID, Name and Guest, as they were then, and Invented
	Sled  fleet.Sled
	Night *Night     // what the sled's own pulls of the night say; nil where there are none
	Rows  []SheetRow // in running order
}

// Replaces is the name of the sled that was booked before the one that the sheet is for; "" where none was.
func (s Sheet) Replaces() string {
	if s.Sled.ID != s.Show.Sled {
		return ""
	}
	return s.Show.Replaces
}

// SheetRow is one class. Of a show that is over, Class is as it was then.
type SheetRow struct {
	Class        ClassView    `json:"class"`
	HomeSledName string       `json:"home_sled_name"`
	HomeGuest    *fleet.Guest `json:"home_guest,omitempty"` // nil where the home sled is one's own
	// its name; "" where the pull-off has no sled of its own
	PullOffSled    string         `json:"pull_off_sled,omitempty"`
	PullOffGuest   *fleet.Guest   `json:"pull_off_guest,omitempty"`
	Tonight        match.Answer   `json:"tonight"`
	PullOffTonight *match.Answer  `json:"pull_off_tonight,omitempty"` // nil where the class has no setting for it
	Weight         *WeightAnswer  `json:"weight,omitempty"`           // nil where nobody asks for one
	PullOffWeight  *WeightAnswer  `json:"pull_off_weight,omitempty"`
	Booked         *match.Answer  `json:"-"` // on the booked sled, where another was asked for
	AsRun          []fleet.AsRun  `json:"-"` // by hook, then as they were noted
	Outcome        *fleet.Outcome `json:"-"`
}

// Sheet translates a show's classes to a sled, "" for the one that is booked; without any, its rows have no settings. A
// show that is over keeps its sheet as it stood; what was run and how it went are always as noted now. The sled's pulls
// that were entered from the show move its top-outs, and withDate those of its date that were not too, on a sheet that
// is not kept. A show that is not there is NotFound, an unknown sled Invalid.
func (b *Book) Sheet(ctx context.Context, show, sled string, withDate bool) (Sheet, error) {
	o, err := b.showRecords(ctx, show)
	if err != nil {
		return Sheet{}, err
	}
	booked, err := o.plan(o.show, withDate)
	if err != nil {
		return Sheet{}, err
	}
	sheet := Sheet{
		Revision: o.snap.revision, Show: b.show(o.show), Sled: o.snap.sledState(o.show.Sled).Sled,
		Night: booked.Night, Rows: booked.Rows,
	}
	switch other := sled != "" && sled != o.show.Sled; {
	case other:
		state, ok := o.snap.lookup(sled)
		if !ok {
			return Sheet{}, fleet.InvalidField("sled", "there is no sled %q", sled)
		}
		sheet.Sled = state.Sled
		sheet.Rows, sheet.Night = o.snap.translateAll(o.show.Show, o.classes, sled, withDate)
		for i := range sheet.Rows {
			if o.show.Sled == "" {
				break
			}
			sheet.Rows[i].Booked = &booked.Rows[i].Tonight
		}
	case o.show.Over:
		sheet.Sled = fleet.Sled{ID: o.show.Sled, Name: booked.SledName, Guest: booked.Guest,
			Invented: sheet.Sled.Invented}
	}
	for i, id := range o.show.Classes {
		at := store.ShowClass{Show: show, Class: id}
		sheet.Rows[i].AsRun = o.asRun[at]
		sheet.Rows[i].Outcome = o.outcome(at)
	}
	return sheet, nil
}

// records are all that is stored of some shows, with the fleet at the same revision.
type records struct {
	snap     *snapshot
	classes  map[string]fleet.Class
	asRun    map[store.ShowClass][]fleet.AsRun
	outcomes map[store.ShowClass]fleet.Outcome
	sheets   map[string]fleet.ClosedSheet
}

func recordsOf(snap *snapshot, r *store.Reads, shows []store.Show) (rec records, err error) {
	rec.snap = snap
	ids := make([]string, len(shows))
	var classes, over []string
	for i, s := range shows {
		ids[i] = s.ID
		classes = append(classes, s.Classes...)
		if s.Over {
			over = append(over, s.ID)
		}
	}
	slices.Sort(classes)
	var errClasses, errAsRun, errOutcomes, errSheets error
	rec.classes, errClasses = r.ClassesByID(slices.Compact(classes))
	rec.asRun, errAsRun = r.AsRun(ids)
	rec.outcomes, errOutcomes = r.Outcomes(ids)
	rec.sheets, errSheets = r.ClosedSheets(over)
	return rec, cmp.Or(errClasses, errAsRun, errOutcomes, errSheets)
}

// outcome is how a class went, nil where nothing is noted.
func (rec records) outcome(at store.ShowClass) *fleet.Outcome {
	if o, ok := rec.outcomes[at]; ok {
		return &o
	}
	return nil
}

// plan is the sheet of a show on its booked sled: the closed one, or one made today.
func (rec records) plan(s store.Show, withDate bool) (closedSheet, error) {
	if s.Over {
		return decodeClosedSheet(rec.sheets[s.ID])
	}
	rows, night := rec.snap.translateAll(s.Show, rec.classes, s.Sled, withDate)
	return closedSheetOn(rec.snap.sledState(s.Sled).Sled, night, rows), nil
}

// showRecords is one show with its records.
type showRecords struct {
	records
	show store.Show
}

// showRecords reads a show with all that is stored of it, or is NotFound.
func (b *Book) showRecords(ctx context.Context, id string) (o showRecords, err error) {
	err = b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) (err error) {
		o, err = showRecordsOf(snap, r, id)
		return err
	})
	return o, err
}

func showRecordsOf(snap *snapshot, r *store.Reads, id string) (o showRecords, err error) {
	if o.show, err = r.Show(id); err != nil {
		return o, err
	}
	o.records, err = recordsOf(snap, r, []store.Show{o.show})
	return o, err
}
