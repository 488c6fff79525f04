package store

import "evenpull/internal/fleet"

type weighingRow struct {
	Seq           int64 `gorm:"primaryKey"`
	ID            string
	SledID        string
	WeighedOn     string
	BoxAtFt       float64
	InBoxLb       float64
	OnPanLb       float64
	PanLb         float64
	TandemLb      *float64
	TotalLb       *float64
	Scale         string
	ScaleStepLb   *float64
	Place         string
	NotedBy       string
	Note          string
	SetAside      asideColumns `gorm:"embedded;embeddedPrefix:set_aside_"`
	CreatedAt     int64        `gorm:"autoCreateTime:false"`
	OwnerSetAside asideColumns `gorm:"embedded;embeddedPrefix:owner_set_aside_"`
}

func (weighingRow) TableName() string { return "weighings" }

func weighingRowOf(w fleet.Weighing) weighingRow {
	return weighingRow{
		ID: w.ID, SledID: w.Sled, WeighedOn: w.WeighedOn, BoxAtFt: w.BoxAtFt, InBoxLb: w.InBoxLb, OnPanLb: w.OnPanLb,
		PanLb: w.PanLb, TandemLb: w.TandemLb, TotalLb: w.TotalLb, Scale: w.Scale, ScaleStepLb: w.ScaleStepLb,
		Place: w.Place, NotedBy: w.By, Note: w.Note, CreatedAt: w.CreatedAt.UnixMicro(),
		SetAside: asideColumnsOf(w.SetAside), OwnerSetAside: asideColumnsOf(w.OwnerSetAside),
	}
}

func (r weighingRow) weighing() fleet.Weighing {
	return fleet.Weighing{
		ID: r.ID, Sled: r.SledID, WeighedOn: r.WeighedOn, BoxAtFt: r.BoxAtFt, InBoxLb: r.InBoxLb, OnPanLb: r.OnPanLb,
		PanLb: r.PanLb, TandemLb: r.TandemLb, TotalLb: r.TotalLb, Scale: r.Scale, ScaleStepLb: r.ScaleStepLb,
		Place: r.Place, By: r.NotedBy, Note: r.Note, CreatedAt: timeOf(r.CreatedAt),
		SetAside: r.SetAside.aside(), OwnerSetAside: r.OwnerSetAside.aside(),
	}
}

// Weighing returns a weighing, or NotFound.
func (r *Reads) Weighing(id string) (fleet.Weighing, error) {
	row, err := take[weighingRow](r, "weighing", id)
	return row.weighing(), err
}

// Weighings lists a sled's weighings, newest first, and returns the cursor of the next part, "" at the end. A sled that
// is not there is NotFound, a cursor of another list Invalid.
func (r *Reads) Weighings(sled, after string, limit int) ([]fleet.Weighing, string, error) {
	return r.weighings(sled, after, limit, newestFirst)
}

// WeighingsOldestFirst lists them as they were weighed. Its cursors are its own.
func (r *Reads) WeighingsOldestFirst(sled, after string, limit int) ([]fleet.Weighing, string, error) {
	return r.weighings(sled, after, limit, oldestFirst)
}

func (r *Reads) weighings(sled, after string, limit int, in order) ([]fleet.Weighing, string, error) {
	query, err := datedPart(r.db.Where("sled_id = ?", sled), weighingCursor, "weighed_on", after, in)
	if err != nil {
		return nil, "", err
	}
	if _, err := r.Sled(sled); err != nil {
		return nil, "", err
	}
	return part(query, limit, "the weighings of "+sled, weighingCursor,
		func(row weighingRow) string { return datedPosition(row.WeighedOn, row.Seq) },
		func(rows []weighingRow) ([]fleet.Weighing, error) { return mapSlice(rows, weighingRow.weighing), nil })
}

// weighingsOf are all weighings of some sleds, in the order they were written.
func (r *Reads) weighingsOf(sleds []string) (map[string][]fleet.Weighing, error) {
	var rows []weighingRow
	err := r.db.Where("sled_id IN ?", sleds).Order("seq").Find(&rows).Error
	weighings := map[string][]fleet.Weighing{}
	for _, row := range rows {
		weighings[row.SledID] = append(weighings[row.SledID], row.weighing())
	}
	return weighings, wrapped(err, "loading weighings")
}

// CountWeighingsPast counts the weighings of a sled that are not set aside and whose box stood past a mark, from one
// day on.
func (r *Reads) CountWeighingsPast(sled, from, before string, markFt float64) (int, error) {
	query := r.db.Model(&weighingRow{}).
		Where("sled_id = ? AND set_aside_at IS NULL AND weighed_on >= ? AND box_at_ft > ?", sled, from, markFt)
	if before != "" {
		query = query.Where("weighed_on < ?", before)
	}
	n, err := count(query)
	return n, wrapped(err, "counting the weighings of %s", sled)
}

// FirstWeighingOn is the date of a sled's first weighing, those set aside included, "" without any.
func (r *Reads) FirstWeighingOn(sled string) (string, error) {
	on, _, err := first[string](r.db.Model(&weighingRow{}).Where("sled_id = ?", sled).Order("weighed_on"), "weighed_on")
	return on, wrapped(err, "looking for the first weighing of %s", sled)
}

// AddWeighings stores new weighings in that order.
func (tx *Tx) AddWeighings(weighings []fleet.Weighing) error {
	rows := make([]weighingRow, len(weighings))
	for i, w := range weighings {
		rows[i] = weighingRowOf(w)
		tx.touch(w.Sled)
	}
	return wrapped(tx.db.CreateInBatches(rows, chunk).Error, "storing weighings")
}

// SetWeighingAside leaves a weighing out, or counts it again where aside is nil.
func (tx *Tx) SetWeighingAside(w fleet.Weighing, aside *fleet.SetAside) error {
	tx.touch(w.Sled)
	return wrapped(tx.db.Model(&weighingRow{}).Where("id = ?", w.ID).Updates(asideValues(aside)).Error,
		"setting weighing %s aside", w.ID)
}

// EachWeighing goes through all weighings: sled by sled, by id, and of each in the order they were written.
func (r *Reads) EachWeighing(do func(fleet.Weighing) error) error {
	return r.eachSleds(func(sleds []string) error {
		weighings, err := r.weighingsOf(sleds)
		if err != nil {
			return err
		}
		for _, sled := range sleds {
			for _, w := range weighings[sled] {
				if err := do(w); err != nil {
					return err
				}
			}
		}
		return nil
	})
}
