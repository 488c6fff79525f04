package main

import (
	"context"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
)

// How long a part of a list is when nobody says, and at most. The contract says the same.
const (
	defaultLimit = 100
	mostLimit    = 500
)

// sendPage sends a part of a list, and the cursor of the next.
func sendPage[T, Out any](c echo.Context, items []T, next string, err error, encode func(T) Out) error {
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, struct {
		Items []Out   `json:"items"`
		Next  *string `json:"next"`
	}{mapSlice(items, encode), nilIfZero(next)})
}

// count counts the fleet for the metrics.
func (s *server) count(ctx context.Context) (sleds, readings int, err error) {
	for after := ""; ; {
		part, next, err := s.book.Sleds(ctx, after, mostLimit)
		for _, sled := range part {
			readings += sled.Readings
		}
		sleds += len(part)
		if after = next; err != nil || next == "" {
			return sleds, readings, err
		}
	}
}
