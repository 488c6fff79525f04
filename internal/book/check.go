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
	err = b.view(ctx, func(now *snapshot, r *store.Reads) error {
		for _, id := range now.ids {
			found = append(found, checked("the chart of "+id, now.page(id).checkChart)...)
		}
		for _, look := range []func(*snapshot, *store.Reads) ([]string, error){b.checkClasses, b.checkShows, b.checkHistory} {
			more, err := look(now, r)
			if isOfTheStored(err) {
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
func isOfTheStored(err error) bool {
	var known *fleet.Error
	return err != nil && !errors.As(err, &known) && !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded)
}

// checkSleds finds the sleds whose rows cannot be read.
func (b *Book) checkSleds(ctx context.Context) (found []string, err error) {
	if _, err = b.current(ctx); !isOfTheStored(err) {
		return nil, err
	}
	err = b.store.Read(ctx, func(r *store.Reads) error {
		ids, _, err := r.Touched(0)
		if err != nil {
			return err
		}
		for _, id := range ids {
			_, err := r.Load([]string{id})
			if isOfTheStored(err) {
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
func checked(what string, do func() []string) (found []string) {
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
func (p page) checkChart() (found []string) {
	for _, r := range p.notebook.Readings {
		if !(r.DistanceFt > 0 && r.DistanceFt <= fleet.MaxDistanceFt) {
			found = append(found, fmt.Sprintf("reading %s is of %g ft", r.ID, r.DistanceFt))
		}
	}
	chart := p.chart()
	for i, g := range p.notebook.Sled.Gears {
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
const mostOnPage = 500

func (b *Book) checkClasses(now *snapshot, r *store.Reads) (found []string, err error) {
	for after, more := "", true; more; more = after != "" {
		var classes []fleet.Class
		if classes, after, err = r.Classes(after, mostOnPage); err != nil {
			return found, err
		}
		for _, c := range classes {
			found = append(found, checked("class "+c.ID, func() (found []string) {
				for what, home := range map[string]*fleet.HomeSetting{"its setting": &c.Setting, "the setting of its pull-off": c.PullOff} {
					if home == nil {
						continue
					}
					if _, ok := now.setting(*home); !ok {
						found = append(found, fmt.Sprintf("%s is on a gear of sled %q that is not there", what, home.Sled))
					}
				}
				now.view(c)
				return found
			})...)
		}
	}
	return found, nil
}

func (b *Book) checkShows(now *snapshot, r *store.Reads) (found []string, err error) {
	for after, more := "", true; more; more = after != "" {
		var shows []store.Show
		if shows, after, err = r.Shows(after, mostOnPage); err != nil {
			return found, err
		}
		var ids, classes []string
		for _, s := range shows {
			ids, classes = append(ids, s.ID), append(classes, s.Classes...)
		}
		kept, err := r.ClosedSheets(ids)
		if err != nil {
			return found, err
		}
		slices.Sort(classes)
		of, err := r.ClassesByID(slices.Compact(classes))
		if err != nil {
			return found, err
		}
		for _, s := range shows {
			found = append(found, checked("show "+s.ID, func() []string { return checkShow(now, s, kept, of) })...)
		}
	}
	return found, nil
}

func checkShow(now *snapshot, s store.Show, kept map[string]store.ClosedSheet, classes map[string]fleet.Class) []string {
	sheet, isKept := kept[s.ID]
	switch {
	case isKept:
		if _, err := thaw(sheet); err != nil {
			return []string{"its sheet cannot be read: " + err.Error()}
		}
	case s.Over:
		return []string{"it is over, and its sheet is missing"}
	default:
		if _, ok := now.lookup(s.Sled); !ok {
			return []string{fmt.Sprintf("its sled %q is not there", s.Sled)}
		}
		now.translateAll(s.Show, classes, s.Sled, false)
	}
	return nil
}

func (b *Book) checkHistory(_ *snapshot, r *store.Reads) (found []string, err error) {
	broken := map[string]int{}
	for after, more := "", true; more; more = after != "" {
		var entries []fleet.Entry
		if entries, after, err = r.History("", "", after, mostOnPage); err != nil {
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
