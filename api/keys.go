package main

import (
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListKeys lists every key that there is or was.
func (s *server) ListKeys(c echo.Context, _ openapi.ListKeysParams) error {
	keys, err := s.book.Keys(c.Request().Context())
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, openapi.KeyList{Items: mapSlice(keys, encodeKey)})
}

// AddKey makes a key. The answer is the only one that ever shows it, so nobody may keep it on the way.
func (s *server) AddKey(c echo.Context) error {
	input, err := decode[openapi.KeyInput](c)
	if err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	return s.write(c, func(w *book.Writer) (answer, error) {
		made, key, err := w.AddKey(input.Name, fleet.Role(input.Role))
		if err != nil {
			return answer{}, err
		}
		a, err := jsonAnswer(http.StatusCreated, openapi.NewKey{Id: made.ID, Name: made.Name, Role: openapi.Role(made.Role), Key: key})
		a.etag, a.location = "", "/v1/keys/"+url.PathEscape(made.ID)
		return a, err
	})
}

// EndKey ends a key, and every session that was opened with it.
func (s *server) EndKey(c echo.Context, id string) error {
	return s.write(c, func(w *book.Writer) (answer, error) {
		return answer{status: http.StatusNoContent}, w.EndKey(id, s.keys.set != nil)
	})
}

func encodeKey(k fleet.Key) openapi.Key {
	return openapi.Key{
		Id: k.ID, Name: k.Name, Role: openapi.Role(k.Role), CreatedAt: k.CreatedAt, LastUsedAt: k.LastUsedAt, EndedAt: k.EndedAt,
	}
}
