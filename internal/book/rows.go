package book

import (
	"iter"

	"evenpull/internal/fleet"
)

// Checked is what was found of many readings or weighings.
type Checked[T any] struct {
	Rows    int
	Bad     int            // rows with a fault
	Skipped int            // rows that are stored already and would be left out
	Sleds   map[string]int // rows by the sled's id, of those whose sled is known
	First   []fleet.Row[T] // as they would be stored
}

// rowCheck checks rows of one kind against what is stored.
type rowCheck[T any] struct {
	sleds *sledFinder
	sled  func(*T) *string       // where a record says its sled
	alone func(*T) *fleet.Faults // tidies a record and judges it as far as it can be without a sled
	// likewise, by its sled; sets the sled to its id
	on func(of *T, t fleet.Timeline, typed bool) (*fleet.Faults, error)
}

// all checks rows, and lets take have each that fits as long as all do.
func (c rowCheck[T]) all(rows iter.Seq[fleet.Row[T]], take func(fleet.Row[T]) error) (Checked[T], error) {
	found, faults := Checked[T]{Sleds: map[string]int{}}, fleet.Faults{}
	for row := range rows {
		found.Rows++
		if err := c.row(&row, found.Sleds); err != nil {
			return found, err
		}
		if len(found.First) < firstRows {
			found.First = append(found.First, row)
		}
		if row.Faults.Any() || len(row.Unread) > 0 {
			found.Bad++
		}
		faults.InRow(row.Number, &row.Faults)
		if take == nil || faults.Any() {
			continue
		}
		if err := take(row); err != nil {
			return found, err
		}
	}
	return found, faults.Err()
}

// row finds all that is wrong with a row: what reading it found first, then the rules, but for fields that could not be
// read in the first place. It counts the row for its sled.
func (c rowCheck[T]) row(row *fleet.Row[T], sleds map[string]int) (err error) {
	unread := map[string]bool{}
	for _, f := range row.Faults.List() {
		unread[f.At] = true
	}
	if unread[""] { // the row as a whole
		return nil
	}
	for _, name := range row.Unread {
		unread[name] = true
	}
	var called foundSled
	if !unread["sled"] {
		if called, err = c.sleds.sled(*c.sled(&row.Record), row.AsTyped); err != nil {
			return err
		}
		if called.wrong != "" {
			row.Faults.AddRow(row.Number, "sled", "%s", called.wrong)
		}
	}
	var broken *fleet.Faults
	if called.timeline == nil {
		broken = c.alone(&row.Record)
	} else {
		if broken, err = c.on(&row.Record, *called.timeline, row.AsTyped); err != nil {
			return err
		}
		sleds[*c.sled(&row.Record)]++
	}
	for _, f := range broken.List() {
		if !unread[f.At] {
			row.Faults.AddRow(row.Number, f.At, "%s", f.Detail)
		}
	}
	return nil
}
