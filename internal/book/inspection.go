package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// InspectionList returns what the crew looks at on a sled. A sled that is not there is NotFound.
func (b *Book) InspectionList(ctx context.Context, sled string) (fleet.InspectionList, error) {
	return read(ctx, b, func(r *store.Reads) (fleet.InspectionList, error) { return inspectionList(r, sled) })
}

func inspectionList(r *store.Reads, sled string) (fleet.InspectionList, error) {
	if _, err := r.Sled(sled); err != nil {
		return fleet.InspectionList{}, err
	}
	return r.InspectionList(sled)
}

// Inspections returns a part of the list of a sled's inspections, newest first, for one show or for all where show is
// "", and the cursor of the next part, "" for the last. A sled that is not there is NotFound, a wrong cursor Invalid.
func (b *Book) Inspections(ctx context.Context, sled, show, after string, limit int) ([]fleet.Inspection, string,
	error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Inspection, string, error) {
		if _, err := r.Sled(sled); err != nil {
			return nil, "", err
		}
		return r.Inspections(sled, show, after, limit)
	})
}

// InspectionsOldestFirst is a part of all inspections of a sled, in the order they were written.
func (b *Book) InspectionsOldestFirst(ctx context.Context, sled, after string, limit int) ([]fleet.Inspection, string,
	error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Inspection, string, error) {
		if _, err := r.Sled(sled); err != nil {
			return nil, "", err
		}
		return r.InspectionsOldestFirst(sled, after, limit)
	})
}

// DueView is what of a sled's list is due on a day.
type DueView struct {
	Sled  fleet.Sled
	On    string
	Show  *fleet.Show  // that the sled is to pull at, nil where none was asked for and none is booked about that day
	Shows []fleet.Show // that the sled is booked for about that day and that are not over, oldest first
	Items []fleet.DueItem
}

// Due works out what is due on a sled for a show, or about a day. Without a day it is the show's date, or today's at
// the sled's next show. Without a show it is the one that the sled is booked for on that day, or the day
// before, while that is not over, or the day after. A sled or a show that is not there is NotFound, a day
// that is no date Invalid.
func (b *Book) Due(ctx context.Context, sled, show, on string) (DueView, error) {
	return read(ctx, b, func(r *store.Reads) (v DueView, err error) {
		if v.Sled, err = r.Sled(sled); err != nil {
			return DueView{}, err
		}
		booked, err := r.ShowsOn(sled)
		if err != nil {
			return DueView{}, err
		}
		if show != "" {
			asked, err := r.Show(show)
			if err != nil {
				return DueView{}, err
			}
			v.Show, on = &asked.Show, cmp.Or(on, asked.Date)
		}
		v.On = cmp.Or(on, b.today(booked))
		if _, err := time.Parse(time.DateOnly, v.On); err != nil {
			return DueView{}, fleet.InvalidField("on", "must be a date like 2026-07-18, not %q", v.On)
		}
		v.Shows = b.showsAbout(booked, v.On)
		if v.Show == nil {
			v.Show = nearestShow(v.Shows, v.On)
		}
		list, errList := r.InspectionList(sled)
		written, errWritten := r.AllInspections(sled)
		if err := cmp.Or(errList, errWritten); err != nil {
			return DueView{}, err
		}
		shows := make([]fleet.Show, len(booked))
		for i, s := range booked {
			shows[i] = s.Show
		}
		v.Items = fleet.Due(list.Items, written, shows, v.Show, v.On)
		return v, nil
	})
}

// showsAbout are the shows within a day of a date that are not over.
func (b *Book) showsAbout(booked []store.Show, day string) (shows []fleet.Show) {
	on, _ := time.Parse(time.DateOnly, day) // it is a date
	from, until := on.AddDate(0, 0, -1).Format(time.DateOnly), on.AddDate(0, 0, 1).Format(time.DateOnly)
	for _, s := range booked {
		if one := b.show(s); from <= one.Date && one.Date <= until && !one.Over {
			shows = append(shows, one)
		}
	}
	return shows
}

// nearestShow is the first show of the day, else the one before, which may run past midnight, else the one after.
func nearestShow(shows []fleet.Show, day string) *fleet.Show {
	rank := func(s fleet.Show) int { return slices.Index([]bool{s.Date == day, s.Date < day, true}, true) }
	if len(shows) == 0 {
		return nil
	}
	first := slices.MinFunc(shows, func(a, b fleet.Show) int { return cmp.Compare(rank(a), rank(b)) })
	return &first
}

// PutInspectionList replaces what the crew looks at on a sled, and returns it as stored. was[i] is what items[i] was
// called so far, "" when it is the same or new; was may be shorter. ifMatch checks the list as it is; its error is
// returned unchanged. A sled that is not there is NotFound, a list against the rules Invalid; leaving out an item that
// is not well is a Conflict.
func (w *Writer) PutInspectionList(sled string, ifMatch func(fleet.InspectionList) error, items []fleet.InspectionItem,
	was []string) (fleet.InspectionList, error) {
	find := func(sled string) (fleet.InspectionList, error) { return inspectionList(&w.tx.Reads, sled) }
	old, err := matching(find, sled, ifMatch)
	if err != nil {
		return fleet.InspectionList{}, err
	}
	next := fleet.InspectionList{Sled: sled, Items: slices.Clone(items), Revision: old.Revision + 1,
		CreatedAt: old.CreatedAt, UpdatedAt: w.now}
	act, before := fleet.ActChanged, any(old)
	if old.Revision == 0 {
		act, before, next.CreatedAt = fleet.ActAdded, nil, w.now
	}
	next.Tidy()
	faults := next.Check()
	w.keepItems(faults, old.Items, next.Items, was)
	if err := faults.Err(); err != nil {
		return fleet.InspectionList{}, err
	}
	if err := w.checkLeftItems(old, next); err != nil {
		return fleet.InspectionList{}, err
	}
	if err := w.tx.PutInspectionList(next); err != nil {
		return fleet.InspectionList{}, err
	}
	return next, w.record(act, fleet.OfInspectionList, sled, []string{sled}, before, next)
}

// keepItems gives each item the id it had, or a new one. Those with new words choose first: the words they had are then
// free for another item.
func (w *Writer) keepItems(f *fleet.Faults, old, items []fleet.InspectionItem, was []string) {
	ids := map[string]string{}
	for _, item := range old {
		ids[item.What] = item.ID
	}
	called := fleet.InspectionList{Items: make([]fleet.InspectionItem, min(len(items), len(was)))}
	for i := range called.Items {
		called.Items[i].What = was[i]
	}
	called.Tidy() // as words are stored
	for i, c := range called.Items {
		if c.What == "" {
			continue
		}
		if ids[c.What] == "" {
			f.Add(fmt.Sprintf("items[%d].was", i), "the list has no item %s, or another one became it already",
				fleet.Quoted(c.What))
		}
		items[i].ID = ids[c.What]
		delete(ids, c.What)
	}
	for i := range items {
		if i < len(called.Items) && called.Items[i].What != "" {
			continue
		}
		items[i].ID = cmp.Or(ids[items[i].What], w.b.newID())
		delete(ids, items[i].What)
	}
}

// checkLeftItems refuses to leave an item out that is not well.
func (w *Writer) checkLeftItems(old, next fleet.InspectionList) error {
	written, err := w.tx.AllInspections(old.Sled)
	if err != nil {
		return err
	}
	var open []string
	for _, item := range fleet.Due(old.Items, written, nil, nil, "") {
		if _, listed := next.Item(item.ID); !listed && len(item.NotWell) > 0 {
			open = append(open, item.What)
		}
	}
	if len(open) == 0 {
		return nil
	}
	return fleet.Errorf(fleet.Conflict, "not well, and nobody has written what was done: %s; write that first, or "+
		"list it, in its new words if it has some (with \"was\")", strings.Join(open, ", "))
}

// AddInspections stores what somebody found of items of a sled's list, all of it or nothing, and returns it as stored.
// Who looked is the name of the key where nobody is named. A sled that is not there is NotFound; it is Invalid with
// every fault of every one.
func (w *Writer) AddInspections(sled string, found []fleet.Inspection) ([]fleet.Inspection, error) {
	list, err := inspectionList(&w.tx.Reads, sled)
	if err != nil {
		return nil, err
	}
	faults := new(fleet.Faults)
	if len(found) > 0 && found[0].Show != "" {
		if _, err := w.tx.Show(found[0].Show); isKind(err, fleet.NotFound) {
			faults.Add("show", "there is no show %s", fleet.Quoted(found[0].Show))
		} else if err != nil {
			return nil, err
		}
	}
	found = slices.Clone(found)
	first := map[string]int{}
	for i := range found {
		one := &found[i]
		one.Tidy()
		one.ID, one.Sled, one.SignedBy, one.CreatedAt = w.b.newID(), sled, w.who.Name, w.now
		one.By = cmp.Or(one.By, w.who.Name)
		addItemFaults(faults, i, one.Check(w.now))
		at := fmt.Sprintf("items[%d].item", i)
		item, listed := list.Item(one.Item)
		if j, twice := first[one.Item]; twice {
			faults.Add(at, "is item %d of this already", j+1)
		} else if !listed {
			faults.Add(at, "is not on the list any more, or never was")
		}
		first[one.Item], one.What = i, item.What
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := w.tx.AddInspections(found); err != nil {
		return nil, err
	}
	for _, one := range found {
		if err := w.record(fleet.ActAdded, fleet.OfInspection, one.ID, []string{sled}, nil, one); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// addItemFaults adds what is wrong with one of several inspections. Date and name are those of all of them, and are
// named once.
func addItemFaults(faults *fleet.Faults, i int, own *fleet.Faults) {
	for _, f := range own.List() {
		switch common := f.At == "on" || f.At == "by"; {
		case !common:
			faults.Add(fmt.Sprintf("items[%d].%s", i, f.At), "%s", f.Detail)
		case i == 0:
			faults.Add(f.At, "%s", f.Detail)
		}
	}
}

// RemoveInspection takes back what was signed by mistake, or is NotFound. What says that something was not well, or
// what was done, is a Conflict: it stays.
func (w *Writer) RemoveInspection(id string) error {
	one, err := w.tx.Inspection(id)
	if err != nil {
		return err
	}
	if !one.Well || one.Done != "" {
		return fleet.Errorf(fleet.Conflict, "what was not well, and what was done about it, is not taken back: write "+
			"what was done, or that it was a mistake")
	}
	if err := w.tx.DeleteInspection(id); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfInspection, id, []string{one.Sled}, one, nil)
}

// checkInspectedFor is a Conflict where a sled was inspected for a show.
func (w *Writer) checkInspectedFor(s fleet.Show) error {
	n, err := w.tx.CountInspectionsFor(s.ID)
	if err == nil && n > 0 {
		err = fleet.Errorf(fleet.Conflict, "a sled was looked over for %s, and who signed it would be lost", s.Name)
	}
	return err
}

// checkInspectionLists reads every list.
func checkInspectionLists(_ *snapshot, r *store.Reads) ([]string, error) {
	return nil, r.EachInspectionList(func(fleet.InspectionList) error { return nil })
}
