package store

import (
	"cmp"
	"fmt"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// chunk is how many ids go into one statement. SQLite takes 32,766 parameters; a few hundred are as fast.
const chunk = 500

type sledRow struct {
	ID         string `gorm:"primaryKey"`
	Name       string
	Owner      string
	TravelFt   *float64
	TakeUpFt   float64
	RailMarkFt float64
	Notes      string
	Driveline  string
	Loading    string
	Guest      *string
	Retired    bool
	Invented   bool
	Revision   int64
	CreatedAt  int64 `gorm:"autoCreateTime:false"`
	UpdatedAt  int64 `gorm:"autoUpdateTime:false"`
}

func (sledRow) TableName() string { return "sleds" }

type gearRow struct {
	ID       string `gorm:"primaryKey"`
	SledID   string
	Position int
	Label    string
	Ratio    *float64
	Range    string
}

func (gearRow) TableName() string { return "gears" }

func sledRowOf(s fleet.Sled) (sledRow, error) {
	driveline, errDriveline := writeDocument("a drive line", s.Driveline)
	loading, errLoading := writeDocument("a loading", s.Loading)
	guest, errGuest := writeGuest(s.Guest)
	return sledRow{
		ID: s.ID, Name: s.Name, Owner: s.Owner, TravelFt: s.TravelFt, TakeUpFt: s.TakeUpFt, RailMarkFt: s.RailMarkFt,
		Notes: s.Notes, Driveline: driveline, Loading: loading, Guest: guest, Retired: s.Retired, Invented: s.Invented,
		Revision: s.Revision, CreatedAt: s.CreatedAt.UnixMicro(), UpdatedAt: s.UpdatedAt.UnixMicro(),
	}, cmp.Or(errDriveline, errLoading, errGuest)
}

func gearRowsOf(s fleet.Sled) []gearRow {
	rows := make([]gearRow, len(s.Gears))
	for i, g := range s.Gears {
		rows[i] = gearRow{ID: g.ID, SledID: s.ID, Position: i, Label: g.Label, Ratio: g.Ratio, Range: g.Range}
	}
	return rows
}

// base is the sled with the parts it had before its first change.
func (r sledRow) base(gears []fleet.Gear, has noted) (fleet.Sled, error) {
	driveline, errDriveline := readDocument[fleet.Driveline]("a drive line", r.Driveline)
	loading, errLoading := readDocument[fleet.Loading]("a loading", r.Loading)
	guest, errGuest := readGuest(r.Guest)
	return fleet.Sled{
		ID: r.ID, Name: r.Name, Owner: r.Owner, TravelFt: r.TravelFt, TakeUpFt: r.TakeUpFt, RailMarkFt: r.RailMarkFt,
		Gears: gears, Driveline: driveline, Loading: loading, Notes: r.Notes, Guest: guest, Retired: r.Retired,
		Invented: r.Invented, Readings: has.readings, Weighings: has.weighings,
		Revision: r.Revision, CreatedAt: timeOf(r.CreatedAt), UpdatedAt: timeOf(r.UpdatedAt),
	}, wrapped(cmp.Or(errDriveline, errLoading, errGuest), "sled %s", r.ID)
}

// NoSled is the error for a sled that is not there.
func NoSled(id string) error { return fleet.Errorf(fleet.NotFound, "there is no sled %q", id) }

// Sled returns a sled as it is today, or NotFound.
func (r *Reads) Sled(id string) (fleet.Sled, error) {
	t, err := r.Timeline(id)
	return t.Today(), err
}

// SledNames are the names of all sleds by id.
func (r *Reads) SledNames() (map[string]string, error) {
	var rows []sledRow
	err := r.db.Select("id", "name").Find(&rows).Error
	names := make(map[string]string, len(rows))
	for _, row := range rows {
		names[row.ID] = row.Name
	}
	return names, wrapped(err, "listing the names of the sleds")
}

// Timeline returns a sled with its parts over time, or NotFound.
func (r *Reads) Timeline(id string) (fleet.Timeline, error) {
	return one(r, "sled", id, r.whole)
}

// Sleds lists sleds as they are today, by id, and returns the cursor of the next part, "" at the end. A cursor of
// another list is Invalid.
func (r *Reads) Sleds(after string, limit int) ([]fleet.Sled, string, error) {
	timelines, next, err := byID(r, "sleds", sledCursor, after, limit, func(s sledRow) string { return s.ID }, r.whole)
	return mapSlice(timelines, fleet.Timeline.Today), next, err
}

// HasFleet says whether there is a sled, a class or a show at all.
func (r *Reads) HasFleet() (bool, error) {
	for _, row := range []any{&sledRow{}, &classRow{}, &showRow{}} {
		if _, found, err := first[string](r.db.Model(row), "id"); found || err != nil {
			return found, wrapped(err, "looking for a fleet")
		}
	}
	return false, nil
}

// noted is how many readings and weighings a sled has.
type noted struct{ readings, weighings int }

// whole adds gears, changes and the counts of readings and weighings, with four queries for up to chunk sleds.
func (r *Reads) whole(rows []sledRow) ([]fleet.Timeline, error) {
	ids := mapSlice(rows, func(row sledRow) string { return row.ID })
	readings, err := r.countReadings(ids)
	if err != nil {
		return nil, err
	}
	weighings, err := countBy(r.db.Model(&weighingRow{}).Where("sled_id IN ?", ids), "sled_id")
	if err != nil {
		return nil, fmt.Errorf("counting weighings: %w", err)
	}
	gears, err := r.gears(ids)
	if err != nil {
		return nil, err
	}
	return r.timelines(rows, gears, func(id string) noted { return noted{readings[id], weighings[id]} })
}

// countReadings counts the readings of some sleds.
func (r *Reads) countReadings(sleds []string) (map[string]int, error) {
	bySled, err := countBy(r.db.Model(&readingRow{}).Where("sled_id IN ?", sleds), "sled_id")
	return bySled, wrapped(err, "counting readings")
}

// timelines puts sleds together with their gears and how much is noted of them, and adds their changes.
func (r *Reads) timelines(rows []sledRow, gears map[string][]fleet.Gear,
	has func(id string) noted) ([]fleet.Timeline, error) {
	changes, err := r.changes(mapSlice(rows, func(row sledRow) string { return row.ID }), gears)
	if err != nil {
		return nil, err
	}
	timelines := make([]fleet.Timeline, len(rows))
	for i, row := range rows {
		base, err := row.base(gears[row.ID], has(row.ID))
		if err != nil {
			return nil, err
		}
		timelines[i] = fleet.Timeline{Base: base, Changes: changes[row.ID]}
	}
	return timelines, nil
}

func (r *Reads) gears(sleds []string) (map[string][]fleet.Gear, error) {
	var rows []gearRow
	err := r.db.Where("sled_id IN ?", sleds).Order("sled_id, position").Find(&rows).Error
	gears := make(map[string][]fleet.Gear, len(sleds))
	for _, g := range rows {
		gears[g.SledID] = append(gears[g.SledID], fleet.Gear{ID: g.ID, Label: g.Label, Ratio: g.Ratio, Range: g.Range})
	}
	return gears, wrapped(err, "reading gears")
}

// AddSled stores a new sled with its gears, or is a Conflict when its id is taken.
func (tx *Tx) AddSled(s fleet.Sled) error {
	row, err := sledRowOf(s)
	if err != nil {
		return err
	}
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("storing sled %s: %w", s.ID, err)
	}
	tx.touch(s.ID)
	return wrapped(tx.db.Create(gearRowsOf(s)).Error, "storing the gears of %s", s.ID)
}

// ReplaceSled stores a sled's document as it now is, with the parts it had before its first change: changes are not
// touched. Gears are told apart by id: one with a known id keeps its readings whatever its label, one that is missing
// goes, and must have none.
func (tx *Tx) ReplaceSled(s fleet.Sled) error {
	row, err := sledRowOf(s)
	if err != nil {
		return err
	}
	if err := tx.db.Select("*").Updates(&row).Error; err != nil {
		return fmt.Errorf("storing sled %s: %w", s.ID, err)
	}
	gears := gearRowsOf(s)
	ids := mapSlice(gears, func(g gearRow) string { return g.ID })
	if err := tx.db.Where("sled_id = ? AND id NOT IN ?", s.ID, ids).Delete(&gearRow{}).Error; err != nil {
		return fmt.Errorf("removing gears of %s: %w", s.ID, err)
	}
	// Two gears may swap their labels, and labels are unique at every moment: so all gears first get a placeholder,
	// which is longer than any label.
	standIn := gorm.Expr("'a label no longer: ' || id")
	if err := tx.db.Model(&gearRow{}).Where("sled_id = ?", s.ID).Update("label", standIn).Error; err != nil {
		return fmt.Errorf("freeing the labels of %s: %w", s.ID, err)
	}
	tx.touch(s.ID)
	return wrapped(tx.db.Save(gears).Error, "storing the gears of %s", s.ID)
}

// DeleteSled removes a sled without readings and weighings, with its changes and its inspection list.
func (tx *Tx) DeleteSled(id string) error {
	for _, of := range []struct {
		what string
		row  any
	}{{"inspection list", &inspectionListRow{}}, {"changes", &changeRow{}}, {"gears", &gearRow{}}} {
		if err := tx.db.Where("sled_id = ?", id).Delete(of.row).Error; err != nil {
			return fmt.Errorf("removing the %s of %s: %w", of.what, id, err)
		}
	}
	tx.touch(id)
	return wrapped(tx.db.Delete(&sledRow{ID: id}).Error, "removing sled %s", id)
}

// SledInUse says whether a setting of a class is on a sled, a show is booked or was run on it, or it was inspected.
func (r *Reads) SledInUse(sled string) (used bool, err error) {
	err = r.db.Raw(`SELECT EXISTS (SELECT 1 FROM classes WHERE setting_sled_id = @sled OR pull_off_sled_id = @sled)
		OR EXISTS (SELECT 1 FROM shows WHERE sled_id = @sled) OR EXISTS (SELECT 1 FROM as_run WHERE sled_id = @sled)
		OR EXISTS (SELECT 1 FROM inspections WHERE sled_id = @sled)`,
		map[string]any{"sled": sled}).Scan(&used).Error
	return used, wrapped(err, "looking for uses of %s", sled)
}
