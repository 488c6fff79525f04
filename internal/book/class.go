package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// ClassView is a class with the top-outs of its settings on today's charts, in feet; nil where they are not known.
type ClassView struct {
	fleet.Class
	TodayFt        *float64 `json:"today_ft,omitempty"`
	PullOffTodayFt *float64 `json:"pull_off_today_ft,omitempty"`
	Invented       []string `json:"invented,omitempty"` // names of the sleds of the demo that it is set on
}

// Classes returns a part of the list of classes, by id, and the cursor of the next part, "" for the last. A wrong
// cursor is Invalid.
func (b *Book) Classes(ctx context.Context, after string, limit int) (views []ClassView, next string, err error) {
	err = b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) error {
		var classes []fleet.Class
		classes, next, err = r.Classes(after, limit)
		views = mapSlice(classes, snap.classView)
		return err
	})
	return views, next, err
}

// AnyClassWeight says whether a class has a weight, or where it usually ends.
func (b *Book) AnyClassWeight(ctx context.Context) (bool, error) {
	return read(ctx, b, (*store.Reads).AnyClassWeight)
}

// Class returns a class, or NotFound.
func (b *Book) Class(ctx context.Context, id string) (v ClassView, err error) {
	err = b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) error {
		c, err := r.Class(id)
		v = snap.classView(c)
		return err
	})
	return v, err
}

// AddClass stores a new class under an id made from its name and returns it as stored. Of its settings, the sled, the
// gear's label and the start position are given; the top-out they stand for comes from today's charts. It is Invalid
// with every fault of the class and both settings, or a Conflict where the id is taken.
func (w *Writer) AddClass(c fleet.Class) (fleet.Class, error) {
	if err := w.prepareClass(&c, fleet.Class{}, false); err != nil {
		return fleet.Class{}, err
	}
	c.ID = fleet.Slug(c.Name)
	taken, err := w.tx.Class(c.ID)
	if err := checkFree(err, "class %q (%s)", c.ID, taken.Name); err != nil {
		return fleet.Class{}, err
	}
	c.Revision, c.CreatedAt, c.UpdatedAt = 1, w.now, w.now
	if err := w.tx.AddClass(c); err != nil {
		return fleet.Class{}, err
	}
	return c, w.record(fleet.ActAdded, fleet.OfClass, c.ID, sledsOf(c), nil, c)
}

// ReplaceClass replaces a class and returns it as stored. An unchanged setting keeps the top-out it stood for, unless
// renew. ifMatch checks the class as it is; its error is returned unchanged. A class that is not there is NotFound;
// other errors are those of AddClass.
func (w *Writer) ReplaceClass(
	id string, ifMatch func(fleet.Class) error, c fleet.Class, renew bool,
) (fleet.Class, error) {
	old, err := matching(w.tx.Class, id, ifMatch)
	if err != nil {
		return fleet.Class{}, err
	}
	if err := w.prepareClass(&c, old, renew); err != nil {
		return fleet.Class{}, err
	}
	c.ID, c.Revision, c.CreatedAt, c.UpdatedAt = old.ID, old.Revision+1, old.CreatedAt, w.now
	if err := w.tx.ReplaceClass(c); err != nil {
		return fleet.Class{}, err
	}
	act := fleet.ActChanged
	if renew {
		act = fleet.ActRenewed
	}
	return c, w.record(act, fleet.OfClass, c.ID, sledsOf(old, c), old, c)
}

// RemoveClass deletes a class. One that a show lists is a Conflict that names the shows. ifMatch is that of
// ReplaceClass.
func (w *Writer) RemoveClass(id string, ifMatch func(fleet.Class) error) error {
	c, err := matching(w.tx.Class, id, ifMatch)
	if err != nil {
		return err
	}
	shows, err := w.tx.ShowsOfClass(id)
	if err != nil {
		return err
	}
	if len(shows) > 0 {
		return fleet.Errorf(fleet.Conflict, "%s is listed by %s, and cannot be deleted", c.Name, showNames(shows))
	}
	if err := w.tx.DeleteClass(id); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfClass, id, sledsOf(c), c, nil)
}

// showNames lists shows in words, the first few by name.
func showNames(shows []store.Show) string {
	const most = 5
	names := mapSlice(shows[:min(most, len(shows))],
		func(s store.Show) string { return fmt.Sprintf("%s (%s)", s.Name, s.Date) })
	if more := len(shows) - most; more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return strings.Join(names, ", ")
}

// View is a class with the charts as this write sees them.
func (w *Writer) View(c fleet.Class) (ClassView, error) {
	snap, err := w.snapshot()
	if err != nil {
		return ClassView{}, err
	}
	return snap.classView(c), nil
}

// prepareClass tidies a class, checks it and sets what its settings stand for, from the date at its shows. old is the
// class so far, empty for a new one.
func (w *Writer) prepareClass(c *fleet.Class, old fleet.Class, renew bool) error {
	if c.PullOff != nil {
		c.PullOff = new(*c.PullOff) // not the caller's
	}
	c.Tidy()
	snap, errSnap := w.snapshot()
	shows, errShows := w.tx.ShowsOfClass(old.ID)
	if err := cmp.Or(errSnap, errShows); err != nil {
		return err
	}
	slices.Reverse(shows)
	today := w.b.today(shows)
	faults := c.Check()
	snap.settle(faults, "setting", &c.Setting, &old.Setting, renew, today)
	if c.PullOff != nil {
		snap.settle(faults, "pull_off", c.PullOff, old.PullOff, renew, today)
	}
	return faults.Err()
}

// settle finds the gear of a setting and the top-out it stands for. An unchanged setting is not checked again: its sled
// may be retired since.
func (s *snapshot) settle(f *fleet.Faults, at string, home, old *fleet.HomeSetting, renew bool, today string) {
	if home.TopOutFt != nil || home.IsDistance() {
		settleDistance(f, at, home, old, renew, today)
		return
	}
	state, ok := s.lookup(home.Sled)
	if !ok {
		f.Add(at+".sled", "there is no sled %q", home.Sled)
		return
	}
	gear, i, _ := state.Sled.GearByLabel(home.Gear)
	home.GearID = gear.ID
	stays := i >= 0 && old != nil && home.Setting == old.Setting
	if !stays {
		f.InRow(0, home.CheckOn(state.Sled, at))
	}
	if stays && !renew {
		home.StoodFor = old.StoodFor
		return
	}
	e := state.chart().At(i, home.StartFt)
	home.StoodFor = fleet.StoodFor{NotedOn: today, TopOutFt: topOutFt(e)}
	if e.Known() {
		home.PlusMinusFt = new((e.HighFt - e.LowFt) / 2)
	}
}

// settleDistance checks a distance that a class is used to. It stands for itself, from the day it is set.
func settleDistance(f *fleet.Faults, at string, home, old *fleet.HomeSetting, renew bool, today string) {
	switch {
	case home.Sled != "":
		f.Add(at+".top_out_ft", "stands in place of a sled and a gear, and not beside them")
	case home.Gear != "":
		f.Add(at+".sled", "is missing: a gear is one of a sled")
	}
	f.InRow(0, home.CheckDistance(at))
	home.GearID, home.PlusMinusFt, home.NotedOn = "", new(float64), today
	if old != nil && old.IsDistance() && old.TopOutFt != nil && home.TopOutFt != nil &&
		*old.TopOutFt == *home.TopOutFt && !renew {
		home.NotedOn = old.NotedOn
	}
}
