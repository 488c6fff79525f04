package main

import (
	"context"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/fleet"
)

// How long a page of a list is when nobody says, and at most. The contract says the same.
const (
	defaultLimit = 100
	mostLimit    = 500
)

// allPages reads all pages of a list.
func allPages[T any](page func(after string) ([]T, string, error)) ([]T, error) {
	var all []T
	for after := ""; ; {
		items, next, err := page(after)
		if err != nil {
			return nil, err
		}
		all = append(all, items...)
		if next == "" {
			return all, nil
		}
		after = next
	}
}

// count counts the fleet for the metrics.
func (s *server) count(ctx context.Context) (sleds, readings int, err error) {
	all, err := allPages(func(after string) ([]fleet.Sled, string,
		error) {
		return s.book.Sleds(ctx, after, mostLimit)
	})
	for _, sled := range all {
		readings += sled.Readings
	}
	return len(all), readings, err
}

// sendSpreadsheet sends rows as CSV.
func sendSpreadsheet(c echo.Context, rows [][]string) error {
	a, err := spreadsheet.Encode(rows)
	if err != nil {
		return err
	}
	return reply.Send(c, a)
}
