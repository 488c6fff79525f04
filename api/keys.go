package main

import (
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/reply"
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
	return reply.SendJSON(c, http.StatusOK, openapi.KeyList{Items: mapSlice(keys, encodeKey)})
}

// AddKey makes a key. The answer is the only one that ever shows it, so nobody may keep it on the way; the one to a
// repeated request does not have it.
func (s *server) AddKey(c echo.Context, _ openapi.AddKeyParams) error {
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	in, err := contract.Decode[openapi.KeyInput](c)
	if err != nil {
		return err
	}
	return s.onceRecording(c, contract.Digest(c), func(w *book.Writer) (a, recorded reply.Answer, err error) {
		made, key, err := w.AddKey(in.Name, fleet.Role(in.Role))
		if err != nil {
			return a, recorded, err
		}
		answer := openapi.NewKey{Id: made.ID, Name: made.Name, Role: openapi.Role(made.Role)}
		if recorded, err = reply.Done(http.StatusCreated, answer); err != nil {
			return a, recorded, err
		}
		answer.Key = &key
		a, err = reply.Done(http.StatusCreated, answer)
		a.Location = "/v1/keys/" + url.PathEscape(made.ID)
		recorded.Location = a.Location
		return a, recorded, err
	})
}

// EndKey ends a key, and every session that was opened with it.
func (s *server) EndKey(c echo.Context, id string) error {
	end := func(w *book.Writer) error { return w.EndKey(id, s.keys.HasSetKey()) }
	if err := s.timed(c.Request().Context(), guard.ActorOf(c), s.book.WriteFromReserve, end); err != nil {
		return err
	}
	return reply.Send(c, reply.NoContent())
}

func encodeKey(k fleet.Key) openapi.Key {
	return openapi.Key{
		Id: k.ID, Name: k.Name, Role: openapi.Role(k.Role), CreatedAt: k.CreatedAt, LastUsedAt: k.LastUsedAt,
		EndedAt: k.EndedAt,
	}
}
