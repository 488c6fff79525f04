package store

import (
	"errors"
	"fmt"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// take reads the row with an id of the table that T is a row of; where there is none it is NotFound. what is its name
// in the error.
func take[T any](r *Reads, what, id string) (T, error) {
	var row T
	err := r.db.Take(&row, "id = ?", id).Error
	switch {
	case errors.Is(err, gorm.ErrRecordNotFound):
		err = fleet.Errorf(fleet.NotFound, "there is no %s %q", what, id)
	case err != nil:
		err = fmt.Errorf("reading %s %s: %w", what, id, err)
	}
	return row, err
}

// byID lists rows by id, and returns the cursor of the next part, "" at the end. A cursor of another kind is Invalid.
func byID[T any](
	r *Reads, what, kind, after string, limit int, idOf func(T) string,
) (rows []T, next string, err error) {
	query := r.db.Order("id").Limit(limit + 1)
	if after != "" {
		id, err := decodeCursor(kind, after)
		if err != nil {
			return nil, "", err
		}
		query = query.Where("id > ?", id)
	}
	if err := query.Find(&rows).Error; err != nil {
		return nil, "", fmt.Errorf("listing %s: %w", what, err)
	}
	if len(rows) > limit {
		rows = rows[:limit]
		next = encodeCursor(kind, idOf(rows[limit-1]))
	}
	return rows, next, nil
}

// countByGear counts the rows of a table that are of a sled, by the id of the gear.
func countByGear[T any](r *Reads, sled string) (map[string]int, error) {
	var counts []struct {
		GearID string
		N      int
	}
	err := r.db.Model(new(T)).Select("gear_id, COUNT(*) AS n").Where("sled_id = ?", sled).Group("gear_id").
		Find(&counts).Error
	byGear := make(map[string]int, len(counts))
	for _, c := range counts {
		byGear[c.GearID] = c.N
	}
	return byGear, err
}

// mapped is what to makes of each item of a list.
func mapped[From, To any](list []From, to func(From) To) []To {
	made := make([]To, len(list))
	for i, item := range list {
		made[i] = to(item)
	}
	return made
}
