package store

import (
	"fmt"
	"slices"

	"evenpull/internal/fleet"
)

type classRow struct {
	ID        string `gorm:"primaryKey"`
	Name      string
	Setting   settingRow `gorm:"embedded;embeddedPrefix:setting_"`
	PullOff   settingRow `gorm:"embedded;embeddedPrefix:pull_off_"`
	UsedBy    string
	Weights   string
	EndsFt    *float64
	Notes     string
	Revision  int64
	CreatedAt int64 `gorm:"autoCreateTime:false"`
	UpdatedAt int64 `gorm:"autoUpdateTime:false"`
}

func (classRow) TableName() string { return "classes" }

// settingRow is all NULL where a class has no such setting, and has no sled and no gear where it is a distance.
type settingRow struct {
	SledID      *string
	GearID      *string
	StartFt     *float64
	StoodForFt  *float64
	PlusMinusFt *float64
	NotedOn     *string
	InBoxLb     *float64
	OnPanLb     *float64
}

func settingRowOf(s *fleet.HomeSetting) settingRow {
	if s == nil {
		return settingRow{}
	}
	row := settingRow{StartFt: &s.StartFt, StoodForFt: s.StoodFor.TopOutFt, PlusMinusFt: s.StoodFor.PlusMinusFt,
		NotedOn: &s.NotedOn, InBoxLb: s.InBoxLb, OnPanLb: s.OnPanLb}
	if !s.IsDistance() {
		row.SledID, row.GearID = &s.Sled, &s.GearID
	}
	return row
}

func (r settingRow) setting(labels map[string]string) *fleet.HomeSetting {
	if r.StartFt == nil || r.NotedOn == nil {
		return nil
	}
	s := &fleet.HomeSetting{
		Setting:  fleet.Setting{StartFt: *r.StartFt},
		StoodFor: fleet.StoodFor{TopOutFt: r.StoodForFt, PlusMinusFt: r.PlusMinusFt, NotedOn: *r.NotedOn},
		InBoxLb:  r.InBoxLb, OnPanLb: r.OnPanLb,
	}
	if r.SledID != nil && r.GearID != nil {
		s.Sled, s.GearID, s.Gear = *r.SledID, *r.GearID, labels[*r.GearID]
	}
	return s
}

func classRowOf(c fleet.Class) classRow {
	return classRow{
		ID: c.ID, Name: c.Name, Setting: settingRowOf(&c.Setting), PullOff: settingRowOf(c.PullOff), UsedBy: c.UsedBy,
		Weights: c.Weights, EndsFt: c.EndsFt, Notes: c.Notes, Revision: c.Revision,
		CreatedAt: c.CreatedAt.UnixMicro(), UpdatedAt: c.UpdatedAt.UnixMicro(),
	}
}

func (r classRow) class(labels map[string]string) fleet.Class {
	c := fleet.Class{
		ID: r.ID, Name: r.Name, PullOff: r.PullOff.setting(labels), UsedBy: r.UsedBy, Weights: r.Weights,
		EndsFt: r.EndsFt, Notes: r.Notes, Revision: r.Revision, CreatedAt: timeOf(r.CreatedAt),
		UpdatedAt: timeOf(r.UpdatedAt),
	}
	if s := r.Setting.setting(labels); s != nil { // the schema sees to it
		c.Setting = *s
	}
	return c
}

// Class returns a class, or NotFound.
func (r *Reads) Class(id string) (fleet.Class, error) {
	return one(r, "class", id, r.labeled)
}

// ClassesByID returns those of the classes that are there.
func (r *Reads) ClassesByID(ids []string) (map[string]fleet.Class, error) {
	found := make(map[string]fleet.Class, len(ids))
	for some := range slices.Chunk(ids, chunk) {
		var rows []classRow
		if err := r.db.Where("id IN ?", some).Find(&rows).Error; err != nil {
			return nil, fmt.Errorf("reading classes: %w", err)
		}
		classes, err := r.labeled(rows)
		if err != nil {
			return nil, err
		}
		for _, c := range classes {
			found[c.ID] = c
		}
	}
	return found, nil
}

// Classes lists classes by id, and returns the cursor of the next part, "" at the end. A cursor of another list is
// Invalid.
func (r *Reads) Classes(after string, limit int) ([]fleet.Class, string, error) {
	return byID(r, "classes", classCursor, after, limit, func(c classRow) string { return c.ID }, r.labeled)
}

// AnyClassWeight says whether a class has a weight, or where it usually ends.
func (r *Reads) AnyClassWeight() (bool, error) {
	_, found, err := first[string](r.db.Model(&classRow{}).Where("COALESCE(setting_in_box_lb, setting_on_pan_lb, "+
		"pull_off_in_box_lb, pull_off_on_pan_lb, ends_ft) IS NOT NULL"), "id")
	return found, wrapped(err, "looking for a class with a weight")
}

// labeled gives the settings of classes the labels their gears have today.
func (r *Reads) labeled(rows []classRow) ([]fleet.Class, error) {
	var gears []string
	for _, row := range rows {
		for _, s := range []settingRow{row.Setting, row.PullOff} {
			if s.GearID != nil {
				gears = append(gears, *s.GearID)
			}
		}
	}
	labels, err := r.labelsOf(gears)
	if err != nil {
		return nil, err
	}
	return mapSlice(rows, func(row classRow) fleet.Class { return row.class(labels) }), nil
}

// labelsOf maps the ids of gears, some of which may be the same, to their labels.
func (r *Reads) labelsOf(gears []string) (map[string]string, error) {
	slices.Sort(gears)
	gears = slices.Compact(gears)
	labels := make(map[string]string, len(gears))
	err := eachOf(r.db.Select("id, label"), "id", gears, func(g gearRow) { labels[g.ID] = g.Label })
	return labels, wrapped(err, "reading the labels of gears")
}

// AddClass stores a new class, or is a Conflict when its id is taken.
func (tx *Tx) AddClass(c fleet.Class) error {
	tx.move()
	return wrapped(tx.db.Create(new(classRowOf(c))).Error, "storing class %s", c.ID)
}

// ReplaceClass stores a class as it now is.
func (tx *Tx) ReplaceClass(c fleet.Class) error {
	tx.move()
	return wrapped(tx.db.Select("*").Updates(new(classRowOf(c))).Error, "storing class %s", c.ID)
}

// DeleteClass removes a class that no show lists.
func (tx *Tx) DeleteClass(id string) error {
	tx.move()
	return wrapped(tx.db.Delete(&classRow{ID: id}).Error, "removing class %s", id)
}

// ClassesByGear lists the names of the classes whose setting, or that of the pull-off, is on a sled, by the id of the
// gear.
func (r *Reads) ClassesByGear(sled string) (map[string][]string, error) {
	var uses []struct{ GearID, Name string }
	err := r.db.Raw(`SELECT setting_gear_id AS gear_id, name FROM classes WHERE setting_sled_id = @sled
		UNION SELECT pull_off_gear_id, name FROM classes WHERE pull_off_sled_id = @sled ORDER BY name`,
		map[string]any{"sled": sled}).Scan(&uses).Error
	names := map[string][]string{}
	for _, u := range uses {
		names[u.GearID] = append(names[u.GearID], u.Name)
	}
	return names, wrapped(err, "looking for the classes of %s", sled)
}
