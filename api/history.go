package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListHistory lists who changed what, newest first.
func (s *server) ListHistory(c echo.Context, p openapi.ListHistoryParams) error {
	entries, next, err := s.book.History(c.Request().Context(), valueOr(p.Sled, ""), valueOr(p.Who, ""),
		valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	return sendPage(c, entries, next, err, encodeEntry)
}

func encodeEntry(e fleet.Entry) openapi.HistoryEntry {
	return openapi.HistoryEntry{
		At: e.At, Key: nilIfZero(e.KeyID), Who: e.Who, Role: openapi.Role(e.Role), Act: e.Act, Kind: e.Kind,
		Subject: e.Subject,
		Sleds:   notNil(e.Sleds), Before: e.Before, After: e.After,
	}
}
