package main

import (
	"encoding/json"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListHistory lists who changed what, newest first.
func (s *server) ListHistory(c echo.Context, p openapi.ListHistoryParams) error {
	entries, next, err := s.book.History(c.Request().Context(), valueOr(p.Sled, ""), valueOr(p.Who, ""),
		valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK,
		openapi.HistoryPage{Items: mapSlice(entries, encodeEntry), Next: nilIfZero(next)})
}

func encodeEntry(e fleet.Entry) openapi.HistoryEntry {
	return openapi.HistoryEntry{
		At: e.At, Key: nilIfZero(e.KeyID), Who: e.Who, Role: openapi.Role(e.Role), Act: e.Act, Kind: e.Kind,
		Subject: e.Subject,
		Sleds:   notNil(e.Sleds), Before: asItWas(e.Before), After: asItWas(e.After),
	}
}

// asItWas is a document of the history, nil where there was none.
func asItWas(document json.RawMessage) any {
	if document == nil {
		return nil
	}
	return document
}
