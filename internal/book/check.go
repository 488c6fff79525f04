package book

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Check reads everything that is stored and works out everything that is worked out of it, and lists what cannot be: a
// line each, none for a fleet that is whole. It is an error only when it could not look.
func (b *Book) Check(ctx context.Context) (found []string, err error) {
	if found, err = b.checkSleds(ctx); err != nil || len(found) > 0 {
		return found, err // all else rests on the sleds
	}
	err = b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) error {
		for _, id := range snap.ids {
			found = append(found, runCheck("the chart of "+id, snap.sledState(id).checkChart)...)
		}
		for _, look := range []func(*snapshot, *store.Reads) ([]string, error){b.checkClasses, b.checkShows, b.checkHistory} {
			more, err := look(snap, r)
			if isStoredDataError(err) {
				more, err = append(more, err.Error()), nil
			}
			if err != nil {
				return err
			}
			found = append(found, more...)
		}
		return nil
	})
	return found, err
}

// isOfTheStored says whether an error tells of what is stored, and not of the storage or of whoever asks.
func isStoredDataError(err error) bool {
	var known *fleet.Error
	return err != nil && !errors.As(err, &known) && !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded)
}

// checkSleds finds the sleds whose rows cannot be read.
func (b *Book) checkSleds(ctx context.Context) (found []string, err error) {
	if _, err = b.current(ctx); !isStoredDataError(err) {
		return nil, err
	}
	err = b.store.Read(ctx, func(r *store.Reads) error {
		ids, _, err := r.Touched(0)
		if err != nil {
			return err
		}
		for _, id := range ids {
			_, err := r.Load([]string{id})
			if isStoredDataError(err) {
				found = append(found, fmt.Sprintf("sled %s cannot be read: %v", id, err))
				err = nil
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	return found, err
}

// checked is what do finds, a panic of it included.
func runCheck(what string, do func() []string) (found []string) {
	defer func() {
		if r := recover(); r != nil {
			found = append(found, fmt.Sprintf("%s cannot be worked out: %v", what, r))
		}
	}()
	for _, f := range do() {
		found = append(found, what+": "+f)
	}
	return found
}

// checkChart fits the chart and looks at every number on it and in it.
func (state sledState) checkChart() (found []string) {
	for _, r := range state.notebook.Readings {
		if !(r.DistanceFt > 0 && r.DistanceFt <= fleet.MaxDistanceFt) {
			found = append(found, fmt.Sprintf("reading %s is of %g ft", r.ID, r.DistanceFt))
		}
	}
	chart := state.chart()
	for i, g := range state.notebook.Sled.Gears {
		for _, start := range append(chart.Starts(), 0) {
			e := chart.At(i, start)
			if e.Known() && !(e.TopOutFt > 0 && e.LowFt <= e.TopOutFt && e.TopOutFt <= e.HighFt && !math.IsInf(e.HighFt, 0)) {
				found = append(found, fmt.Sprintf("gear %s tops out at %g ft (%g to %g) from %g ft", g.Label, e.TopOutFt, e.LowFt, e.HighFt, start))
			}
		}
	}
	return found
}

// mostOnPage is how much is read at a time.
const checkBatch = 500

func (b *Book) checkClasses(snap *snapshot, r *store.Reads) (found []string, err error) {
	for after, more := "", true; more; more = after != "" {
		var classes []fleet.Class
		if classes, after, err = r.Classes(after, checkBatch); err != nil {
			return found, err
		}
		for _, c := range classes {
			found = append(found, runCheck("class "+c.ID, func() (found []string) {
				for what, home := range map[string]*fleet.HomeSetting{"its setting": &c.Setting, "the setting of its pull-off": c.PullOff} {
					if home == nil {
						continue
					}
					if _, ok := snap.setting(*home); !ok {
						found = append(found, fmt.Sprintf("%s is on a gear of sled %q that is not there", what, home.Sled))
					}
				}
				snap.classView(c)
				return found
			})...)
		}
	}
	return found, nil
}

func (b *Book) checkShows(snap *snapshot, r *store.Reads) (found []string, err error) {
	for after, more := "", true; more; more = after != "" {
		var shows []store.Show
		if shows, after, err = r.Shows(after, checkBatch); err != nil {
			return found, err
		}
		var ids, classes []string
		for _, s := range shows {
			ids, classes = append(ids, s.ID), append(classes, s.Classes...)
		}
		closed, err := r.ClosedSheets(ids)
		if err != nil {
			return found, err
		}
		slices.Sort(classes)
		of, err := r.ClassesByID(slices.Compact(classes))
		if err != nil {
			return found, err
		}
		for _, s := range shows {
			found = append(found, runCheck("show "+s.ID, func() []string { return checkShow(snap, s, closed, of) })...)
		}
	}
	return found, nil
}

func checkShow(
	snap *snapshot, s store.Show, sheets map[string]fleet.ClosedSheet, classes map[string]fleet.Class,
) []string {
	sheet, closed := sheets[s.ID]
	switch {
	case closed:
		if _, err := decodeClosedSheet(sheet); err != nil {
			return []string{"its sheet cannot be read: " + err.Error()}
		}
	case s.Over:
		return []string{"it is over, and its sheet is missing"}
	default:
		if _, ok := snap.lookup(s.Sled); !ok {
			return []string{fmt.Sprintf("its sled %q is not there", s.Sled)}
		}
		snap.translateAll(s.Show, classes, s.Sled)
	}
	return nil
}

func (b *Book) checkHistory(_ *snapshot, r *store.Reads) (found []string, err error) {
	broken := map[string]int{}
	for after, more := "", true; more; more = after != "" {
		var entries []fleet.Entry
		if entries, after, err = r.History("", "", after, checkBatch); err != nil {
			return found, err
		}
		for _, e := range entries {
			if e.Before != nil && !json.Valid(e.Before) || e.After != nil && !json.Valid(e.After) {
				broken[e.Kind+" "+e.Subject]++
			}
		}
	}
	for _, what := range slices.Sorted(maps.Keys(broken)) {
		found = append(found, fmt.Sprintf("the history of %s: %d of its entries cannot be read", what, broken[what]))
	}
	return found, nil
}
