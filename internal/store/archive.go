package store

import (
	"fmt"
	"slices"

	"gorm.io/gorm"

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

// eachPart goes through the rows of a query in the order of a column, a part at a time, and lets do have what items
// makes of each part. what names the rows in an error.
func eachPart[Row, Item any, Key string | int64](query *gorm.DB, what, column string, size int, keyOf func(Row) Key,
	items func([]Row) ([]Item, error), do func(Item) error) error {
	var after Key
	for {
		var rows []Row
		if err := query.Session(&gorm.Session{}).Where(column+" > ?", after).Order(column).Limit(size).
			Find(&rows).Error; err != nil {
			return fmt.Errorf("going through %s: %w", what, err)
		}
		if len(rows) == 0 {
			return nil
		}
		after = keyOf(rows[len(rows)-1])
		part, err := items(rows)
		if err != nil {
			return err
		}
		for _, item := range part {
			if err := do(item); err != nil {
				return err
			}
		}
	}
}

// EachTimeline goes through all sleds with their changes, by id.
func (r *Reads) EachTimeline(do func(fleet.Timeline) error) error {
	return eachPart(r.db, "the sleds", "id", partSleds, func(row sledRow) string { return row.ID }, r.whole, do)
}

// EachReading goes through all readings: sled by sled, by id, and of each in the order they were written.
func (r *Reads) EachReading(do func(fleet.Reading) error) error {
	return r.eachSleds(func(sleds []string) error {
		gears, err := r.gears(sleds)
		if err != nil {
			return err
		}
		for _, sled := range sleds {
			if err := r.eachReadingOf(sled, labelsIn(gears[sled]), do); err != nil {
				return err
			}
		}
		return nil
	})
}

// eachSleds goes through the ids of all sleds, a part at a time.
func (r *Reads) eachSleds(do func(sleds []string) error) error {
	var sleds []string
	if err := r.db.Model(&sledRow{}).Order("id").Pluck("id", &sleds).Error; err != nil {
		return fmt.Errorf("listing the sleds: %w", err)
	}
	for some := range slices.Chunk(sleds, partSleds) {
		if err := do(some); err != nil {
			return err
		}
	}
	return nil
}

func (r *Reads) eachReadingOf(sled string, labels map[string]string, do func(fleet.Reading) error) error {
	return eachPart(r.db.Where("sled_id = ?", sled), "the readings of "+sled, "seq", partReadings,
		func(row readingRow) int64 { return row.Seq }, labeling(labels), do)
}

// EachClass goes through all classes, by id.
func (r *Reads) EachClass(do func(fleet.Class) error) error {
	return eachPart(r.db, "the classes", "id", chunk, func(row classRow) string { return row.ID }, r.labeled, do)
}

// EachShow goes through all shows, by id.
func (r *Reads) EachShow(do func(fleet.ShowRecord) error) error {
	return eachPart(r.db, "the shows", "id", partShows, func(row showRow) string { return row.ID }, r.showRecords, do)
}

func (r *Reads) showRecords(rows []showRow) ([]fleet.ShowRecord, error) {
	shows, err := r.listed(rows)
	if err != nil {
		return nil, err
	}
	ids := mapSlice(shows, func(s Show) string { return s.ID })
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
	return eachPart(r.db.Where("kind NOT IN ?", but), "the history", "seq", partEntries,
		func(row historyRow) int64 { return row.Seq },
		func(rows []historyRow) ([]fleet.Entry, error) {
			entries := mapSlice(rows, historyRow.entry)
			return entries, r.addSleds(mapSlice(rows, func(row historyRow) int64 { return row.Seq }), entries)
		}, do)
}
