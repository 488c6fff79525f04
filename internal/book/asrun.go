package book

import (
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// AddAsRun notes what was set in a class at a show, from one hook on. It returns the line as stored, with the top-out
// that the chart gives for it. The sled is the one booked now; sheetRevision is the show's revision as the operator saw
// it, nil where that is not told. A show or a class that is not there is NotFound, a line against the rules Invalid.
func (w *Writer) AddAsRun(show, class string, a fleet.AsRun, sheetRevision *int64) (fleet.AsRun, error) {
	s, err := w.entry(show, class)
	if err != nil {
		return fleet.AsRun{}, err
	}
	snap, err := w.snapshot()
	if err != nil {
		return fleet.AsRun{}, err
	}
	if s.Sled == "" {
		return fleet.AsRun{}, fleet.Errorf(fleet.Conflict, "no sled is booked for %s; book the one that pulls first",
			s.Name)
	}
	state := snap.sledState(s.Sled)
	a.Tidy()
	a.Changed = sheetRevision != nil && *sheetRevision < s.Revision
	if err := asRunFaults(a, state.Sled).Err(); err != nil {
		return fleet.AsRun{}, err
	}
	gear, place, _ := state.Sled.GearByLabel(a.Gear)
	a.ID, a.Show, a.Class, a.Sled, a.GearID, a.CreatedAt = w.b.newID(), show, class, s.Sled, gear.ID, w.now
	a.TopOutFt = topOutFt(state.chart().At(place, a.StartFt))
	if err := w.tx.AddAsRun(a); err != nil {
		return fleet.AsRun{}, err
	}
	return a, w.record(fleet.ActAdded, fleet.OfAsRun, a.ID, []string{a.Sled}, nil, a)
}

// asRunFaults finds what is wrong with a line. A gear that the sled lacks may be one of the sled that was booked when
// the operator last saw the sheet: that is then what the fault says.
func asRunFaults(a fleet.AsRun, sled fleet.Sled) *fleet.Faults {
	faults := new(fleet.Faults)
	for _, f := range a.CheckOn(sled).List() {
		if f.At == "gear" && a.Changed {
			f.Detail = "the sled was changed to " + sled.Name + " since this sheet: " + f.Detail
		}
		faults.Add(f.At, "%s", f.Detail)
	}
	return faults
}

// RemoveAsRun removes a line that was noted by mistake, or is NotFound.
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
