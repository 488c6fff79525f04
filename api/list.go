package main

import (
	"context"

	"evenpull/internal/fleet"
)

// How long a part of a list is when nobody says, and at most. The contract says the same.
const (
	defaultLimit = 100
	mostLimit    = 500
)

// allParts reads all parts of a list.
func allParts[T any](part func(after string) ([]T, string, error)) ([]T, error) {
	var all []T
	for after := ""; ; {
		items, next, err := part(after)
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
	all, err := allParts(func(after string) ([]fleet.Sled, string, error) {
		return s.book.Sleds(ctx, after, mostLimit)
	})
	for _, sled := range all {
		readings += sled.Readings
	}
	return len(all), readings, err
}
