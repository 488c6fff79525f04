package book

import (
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// AddAsRun notes what was really set in a class at a show, from one hook on, and returns it as stored with the top-out the
// chart has for it. The sled is the one booked now; sheetRevision is the show's revision as the operator saw it, nil
// where that is not told. A show or a class that is not there is NotFound, a line against the rules Invalid.
func (w *Writer) AddAsRun(show, class string, a fleet.AsRun, sheetRevision *int64) (fleet.AsRun, error) {
	s, err := w.entry(show, class)
	if err != nil {
		return fleet.AsRun{}, err
	}
	now, err := w.state()
	if err != nil {
		return fleet.AsRun{}, err
	}
	on := now.page(s.Sled)
	sled := on.notebook.Sled
	a.Tidy()
	a.Changed = sheetRevision != nil && *sheetRevision < s.Revision
	gear, place, _ := sled.GearByLabel(a.Gear)
	if err := lineFaults(a, sled).Err(); err != nil {
		return fleet.AsRun{}, err
	}
	a.ID, a.Show, a.Class, a.Sled, a.GearID, a.TopOutFt, a.CreatedAt = w.b.newID(), show, class, s.Sled, gear.ID, nil, w.now
	if e := on.chart().At(place, a.StartFt); e.Known() {
		a.TopOutFt = &e.TopOutFt
	}
	if err := w.tx.AddAsRun(a); err != nil {
		return fleet.AsRun{}, err
	}
	return a, w.record(fleet.ActAdded, fleet.OfAsRun, a.ID, []string{a.Sled}, nil, a)
}

// lineFaults finds all that is wrong with a line. A gear that the sled lacks may be one of the sled that was booked when
// the operator last saw the sheet, and then that is what went wrong.
func lineFaults(a fleet.AsRun, sled fleet.Sled) *fleet.Faults {
	faults := new(fleet.Faults)
	for _, f := range a.CheckOn(sled).List() {
		if f.At == "gear" {
			f.Detail += "; it has " + strings.Join(sled.Labels(), ", ")
			if a.Changed {
				f.Detail = "the sled was changed to " + sled.Name + " since this sheet: " + f.Detail
			}
		}
		faults.Add(f.At, "%s", f.Detail)
	}
	return faults
}

// RemoveAsRun takes back a line noted by mistake, or is NotFound.
func (w *Writer) RemoveAsRun(show, class, id string) error {
	if _, err := w.entry(show, class); err != nil {
		return err
	}
	at := store.ShowClass{Show: show, Class: class}
	lines, err := w.tx.AsRun([]string{show})
	if err != nil {
		return err
	}
	if err := w.tx.DeleteAsRun(at, id); err != nil {
		return err
	}
	line := lines[at][slices.IndexFunc(lines[at], func(a fleet.AsRun) bool { return a.ID == id })]
	return w.record(fleet.ActRemoved, fleet.OfAsRun, id, []string{line.Sled}, line, nil)
}
