package store

import (
	"fmt"
	"slices"

	"evenpull/internal/fleet"
)

// The Each methods read the whole database in an order that depends only on what is stored, in parts, so that a fleet
// of any size can be written out.

// Rows of each kind that are in memory at a time. A show brings its sheet, and an entry of the history may hold one
// before and one after.
const (
	partSleds    = 200
	partReadings = 2000
	partShows    = 25
	partEntries  = 50
)

// EachTimeline goes through all sleds with their changes, by id.
func (r *Reads) EachTimeline(do func(fleet.Timeline) error) error {
	after := ""
	for {
		var rows []sledRow
		if err := r.db.Where("id > ?", after).Order("id").Limit(partSleds).Find(&rows).Error; err != nil {
			return fmt.Errorf("going through the sleds: %w", err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = rows[len(rows)-1].ID
		timelines, err := r.whole(rows)
		if err != nil {
			return err
		}
		for _, t := range timelines {
			if err := do(t); err != nil {
				return err
			}
		}
	}
}

// EachReading goes through all readings: sled by sled, by id, and of each in the order they were written.
func (r *Reads) EachReading(do func(fleet.Reading) error) error {
	var sleds []string
	if err := r.db.Model(&sledRow{}).Order("id").Pluck("id", &sleds).Error; err != nil {
		return fmt.Errorf("listing the sleds: %w", err)
	}
	for some := range slices.Chunk(sleds, partSleds) {
		gears, err := r.gears(some)
		if err != nil {
			return err
		}
		for _, sled := range some {
			labels := make(map[string]string, len(gears[sled]))
			for _, g := range gears[sled] {
				labels[g.ID] = g.Label
			}
			if err := r.eachReadingOf(sled, labels, do); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *Reads) eachReadingOf(sled string, labels map[string]string, do func(fleet.Reading) error) error {
	var after int64
	for {
		var rows []readingRow
		if err := r.db.Where("sled_id = ? AND seq > ?", sled, after).Order("seq").Limit(partReadings).
			Find(&rows).Error; err != nil {
			return fmt.Errorf("going through the readings of %s: %w", sled, err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = rows[len(rows)-1].Seq
		for _, row := range rows {
			if err := do(row.reading(labels[row.GearID])); err != nil {
				return err
			}
		}
	}
}

// EachClass goes through all classes, by id.
func (r *Reads) EachClass(do func(fleet.Class) error) error {
	after := ""
	for {
		var rows []classRow
		if err := r.db.Where("id > ?", after).Order("id").Limit(chunk).Find(&rows).Error; err != nil {
			return fmt.Errorf("going through the classes: %w", err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = rows[len(rows)-1].ID
		classes, err := r.labeled(rows)
		if err != nil {
			return err
		}
		for _, c := range classes {
			if err := do(c); err != nil {
				return err
			}
		}
	}
}

// EachShow goes through all shows, by id.
func (r *Reads) EachShow(do func(fleet.ShowRecord) error) error {
	after := ""
	for {
		var rows []showRow
		if err := r.db.Where("id > ?", after).Order("id").Limit(partShows).Find(&rows).Error; err != nil {
			return fmt.Errorf("going through the shows: %w", err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = rows[len(rows)-1].ID
		records, err := r.showRecords(rows)
		if err != nil {
			return err
		}
		for _, s := range records {
			if err := do(s); err != nil {
				return err
			}
		}
	}
}

func (r *Reads) showRecords(rows []showRow) ([]fleet.ShowRecord, error) {
	shows, err := r.listed(rows)
	if err != nil {
		return nil, err
	}
	ids := make([]string, len(shows))
	for i, s := range shows {
		ids[i] = s.ID
	}
	lines, err := r.AsRun(ids)
	if err != nil {
		return nil, err
	}
	outcomes, err := r.Outcomes(ids)
	if err != nil {
		return nil, err
	}
	sheets, err := r.ClosedSheets(ids)
	if err != nil {
		return nil, err
	}
	records := make([]fleet.ShowRecord, len(shows))
	for i, s := range shows {
		of := fleet.ShowRecord{Show: s.Show, Reopened: s.Reopened, Outcomes: map[string]fleet.Outcome{}}
		for _, class := range s.Classes {
			at := ShowClass{s.ID, class}
			of.AsRun = append(of.AsRun, lines[at]...)
			if o, noted := outcomes[at]; noted {
				of.Outcomes[class] = o
			}
		}
		if sheet, closed := sheets[s.ID]; closed {
			of.ClosedSheet = &sheet
		}
		records[i] = of
	}
	return records, nil
}

// AddShowRecord stores a show with all that is noted of it.
func (tx *Tx) AddShowRecord(s fleet.ShowRecord) error {
	if err := tx.AddShow(Show{Show: s.Show, Reopened: s.Reopened}); err != nil {
		return err
	}
	for _, a := range s.AsRun {
		if err := tx.AddAsRun(a); err != nil {
			return err
		}
	}
	for class, o := range s.Outcomes {
		if err := tx.PutOutcome(ShowClass{Show: s.ID, Class: class}, o); err != nil {
			return err
		}
	}
	if s.ClosedSheet == nil {
		return nil
	}
	return tx.AddClosedSheet(s.ID, *s.ClosedSheet)
}

// EachEntry goes through the history but for entries of some kinds, oldest first.
func (r *Reads) EachEntry(but []string, do func(fleet.Entry) error) error {
	var after int64
	for {
		var rows []historyRow
		if err := r.db.Where("seq > ? AND kind NOT IN ?", after, but).Order("seq").Limit(partEntries).
			Find(&rows).Error; err != nil {
			return fmt.Errorf("going through the history: %w", err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = rows[len(rows)-1].Seq
		seqs, entries := make([]int64, len(rows)), make([]fleet.Entry, len(rows))
		for i, row := range rows {
			seqs[i], entries[i] = row.Seq, row.entry()
		}
		if err := r.addSleds(seqs, entries); err != nil {
			return err
		}
		for _, e := range entries {
			if err := do(e); err != nil {
				return err
			}
		}
	}
}
