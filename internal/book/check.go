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

// Check reads everything that is stored, computes everything that is computed from it, and lists what cannot be read or
// computed, a line each. It is an error only when it could not look.
func (b *Book) Check(ctx context.Context) (found []string, err error) {
	if found, err = b.checkSleds(ctx); err != nil || len(found) > 0 {
		return found, err // the rest needs the sleds
	}
	err = b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) error {
		for _, id := range snap.sleds.ids {
			found = append(found, runCheck("the chart of "+id, snap.sledState(id).checkChart)...)
		}
		checks := []func(*snapshot, *store.Reads) ([]string, error){checkClasses, checkShows, checkInspectionLists,
			checkHistory}
		for _, check := range checks {
			more, err := check(snap, r)
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

// isStoredDataError says whether an error is due to what is stored, and not to the storage or the caller.
func isStoredDataError(err error) bool {
	var known *fleet.Error
	return err != nil && !errors.As(err, &known) &&
		!errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded)
}

// checkSleds finds the sleds whose rows cannot be read.
func (b *Book) checkSleds(ctx context.Context) (found []string, err error) {
	if _, err = b.current(ctx); !isStoredDataError(err) {
		return nil, err
	}
	return read(ctx, b, func(r *store.Reads) (found []string, err error) {
		ids, _, err := r.Touched(0)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			_, err := r.Load([]string{id})
			if isStoredDataError(err) {
				found = append(found, fmt.Sprintf("sled %s cannot be read: %v", id, err))
			} else if err != nil {
				return nil, err
			}
		}
		return found, nil
	})
}

// runCheck is what check finds, a panic included.
func runCheck(what string, check func() []string) (found []string) {
	defer func() {
		if r := recover(); r != nil {
			found = append(found, fmt.Sprintf("%s cannot be worked out: %v", what, r))
		}
	}()
	for _, f := range check() {
		found = append(found, what+": "+f)
	}
	return found
}

// checkChart checks every number on a sled's chart and in its notebook.
func (s sledState) checkChart() (found []string) {
	for _, r := range s.Readings {
		if !(r.DistanceFt > 0 && r.DistanceFt <= fleet.MaxDistanceFt) {
			found = append(found, fmt.Sprintf("reading %s is of %g ft", r.ID, r.DistanceFt))
		}
	}
	chart := s.chart()
	for i, g := range s.Sled.Gears {
		for _, start := range append(chart.Starts(), 0) {
			e := chart.At(i, start)
			inOrder := e.TopOutFt > 0 && e.LowFt <= e.TopOutFt && e.TopOutFt <= e.HighFt && !math.IsInf(e.HighFt, 0)
			if e.Known() && !inOrder {
				found = append(found, fmt.Sprintf("gear %s tops out at %g ft (%g to %g) from %g ft",
					g.Label, e.TopOutFt, e.LowFt, e.HighFt, start))
			}
		}
	}
	return found
}

// eachPart goes through a list, a part at a time.
func eachPart[T any](list func(after string, limit int) ([]T, string, error), do func([]T) error) error {
	const size = 500
	for after, more := "", true; more; more = after != "" {
		items, next, err := list(after, size)
		if err != nil {
			return err
		}
		if err := do(items); err != nil {
			return err
		}
		after = next
	}
	return nil
}

func checkClasses(snap *snapshot, r *store.Reads) (found []string, err error) {
	err = eachPart(r.Classes, func(classes []fleet.Class) error {
		for _, c := range classes {
			found = append(found, runCheck("class "+c.ID, func() []string { return checkClass(snap, c) })...)
		}
		return nil
	})
	return found, err
}

func checkClass(snap *snapshot, c fleet.Class) (found []string) {
	check := func(what string, home fleet.HomeSetting) {
		if _, ok := snap.setting(home); !ok && !home.IsDistance() {
			found = append(found, fmt.Sprintf("%s is on a gear of sled %q that is not there", what, home.Sled))
		}
	}
	check("its setting", c.Setting)
	if c.PullOff != nil {
		check("the setting of its pull-off", *c.PullOff)
	}
	snap.classView(c)
	return found
}

func checkShows(snap *snapshot, r *store.Reads) (found []string, err error) {
	err = eachPart(r.Shows, func(shows []store.Show) error {
		rec, err := recordsOf(snap, r, shows)
		if err != nil {
			return err
		}
		for _, s := range shows {
			found = append(found, runCheck("show "+s.ID, func() []string { return rec.checkShow(s) })...)
		}
		return nil
	})
	return found, err
}

func (rec records) checkShow(s store.Show) []string {
	if _, closed := rec.sheets[s.ID]; s.Over && !closed {
		return []string{"it is over, and its sheet is missing"}
	}
	if _, ok := rec.snap.lookup(s.Sled); !s.Over && !ok {
		return []string{fmt.Sprintf("its sled %q is not there", s.Sled)}
	}
	if _, err := rec.plan(s, false); err != nil {
		return []string{"its sheet cannot be read: " + err.Error()}
	}
	return nil
}

func checkHistory(_ *snapshot, r *store.Reads) (found []string, err error) {
	broken := map[string]int{}
	list := func(after string, limit int) ([]fleet.Entry, string, error) { return r.History("", "", after, limit) }
	err = eachPart(list, func(entries []fleet.Entry) error {
		for _, e := range entries {
			if e.Before != nil && !json.Valid(e.Before) || e.After != nil && !json.Valid(e.After) {
				broken[e.Kind+" "+e.Subject]++
			}
		}
		return nil
	})
	for _, what := range slices.Sorted(maps.Keys(broken)) {
		found = append(found, fmt.Sprintf("the history of %s: %d of its entries cannot be read", what, broken[what]))
	}
	return found, err
}
