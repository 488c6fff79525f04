package main

import (
	"encoding/json"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListHistory lists who changed what, newest first.
func (s *server) ListHistory(c echo.Context, p openapi.ListHistoryParams) error {
	entries, next, err := s.book.History(c.Request().Context(), or(p.Sled, ""), or(p.Who, ""), or(p.After, ""), or(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, openapi.HistoryPage{Items: each(entries, encodeEntry), Next: unless(next, "")})
}

func encodeEntry(e fleet.Entry) openapi.HistoryEntry {
	return openapi.HistoryEntry{
		At: e.At, Key: unless(e.KeyID, ""), Who: e.Who, Role: openapi.Role(e.Role), Act: e.Act, Kind: e.Kind, Subject: e.Subject,
		Sleds: each(e.Sleds, func(id string) string { return id }), Before: asItWas(e.Before), After: asItWas(e.After),
	}
}

// asItWas is a document of the history, nil where there was none.
func asItWas(document json.RawMessage) any {
	if document == nil {
		return nil
	}
	return document
}
