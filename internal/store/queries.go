package store

import (
	"errors"
	"fmt"
	"slices"

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

// one is take of a row, and what items makes of it.
func one[Row, Item any](r *Reads, what, id string, items func([]Row) ([]Item, error)) (item Item, err error) {
	row, err := take[Row](r, what, id)
	if err != nil {
		return item, err
	}
	made, err := items([]Row{row})
	if err != nil {
		return item, err
	}
	return made[0], nil
}

// find returns a row, or nil where there is none.
func find[Row any](query *gorm.DB) (*Row, error) {
	var row Row
	err := query.Take(&row).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	return &row, err
}

// first is the first value of a column in the order of a query, and whether there is one.
func first[T any](query *gorm.DB, column string) (value T, found bool, err error) {
	var values []T
	err = query.Limit(1).Pluck(column, &values).Error
	if len(values) > 0 {
		value = values[0]
	}
	return value, len(values) > 0, err
}

// count counts the rows of a query.
func count(query *gorm.DB) (int, error) {
	var n int64
	err := query.Count(&n).Error
	return int(n), err
}

// eachOf lets do have the rows that have one of the keys in a column, a chunk of the keys at a time.
func eachOf[Row, Key any](query *gorm.DB, column string, keys []Key, do func(Row)) error {
	for some := range slices.Chunk(keys, chunk) {
		var rows []Row
		if err := query.Session(&gorm.Session{}).Where(column+" IN ?", some).Find(&rows).Error; err != nil {
			return err
		}
		for i := range rows {
			do(rows[i])
		}
	}
	return nil
}

// part reads the part of a list that a query begins with, and returns what items makes of its rows, and the cursor of
// the next part, "" at the end. what is the name of the list in an error; position is what a cursor of that kind says
// of the last row.
func part[Row, Item any](query *gorm.DB, limit int, what, kind string, position func(Row) string,
	items func([]Row) ([]Item, error)) (list []Item, next string, err error) {
	var rows []Row
	if err := query.Limit(limit + 1).Find(&rows).Error; err != nil {
		return nil, "", fmt.Errorf("listing %s: %w", what, err)
	}
	if len(rows) > limit {
		rows = rows[:limit]
		next = encodeCursor(kind, position(rows[limit-1]))
	}
	list, err = items(rows)
	return list, next, err
}

// byID lists rows by id, and returns the cursor of the next part, "" at the end. A cursor of another kind is Invalid.
func byID[Row, Item any](r *Reads, what, kind, after string, limit int, idOf func(Row) string,
	items func([]Row) ([]Item, error)) (list []Item, next string, err error) {
	query := r.db.Order("id")
	if after != "" {
		id, err := decodeCursor(kind, after)
		if err != nil {
			return nil, "", err
		}
		query = query.Where("id > ?", id)
	}
	return part(query, limit, what, kind, idOf, items)
}

// countBy counts the rows of a query by a column that holds ids.
func countBy(query *gorm.DB, column string) (map[string]int, error) {
	var counts []struct {
		ID string
		N  int
	}
	err := query.Select(column + " AS id, COUNT(*) AS n").Group(column).Find(&counts).Error
	byID := make(map[string]int, len(counts))
	for _, c := range counts {
		byID[c.ID] = c.N
	}
	return byID, err
}

// mapSlice is what to makes of each item of a list.
func mapSlice[From, To any](list []From, to func(From) To) []To {
	made := make([]To, len(list))
	for i := range list {
		made[i] = to(list[i])
	}
	return made
}
