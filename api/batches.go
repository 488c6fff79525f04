package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/openapi"
)

// GetBatch tells of the readings that came with one request.
func (s *server) GetBatch(c echo.Context, id string, _ openapi.GetBatchParams) error {
	batch, err := s.book.Batch(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, encodeBatch(batch))
}

// PatchBatch takes back the readings that came with one request, or brings them back.
func (s *server) PatchBatch(c echo.Context, id string) error {
	return change(s, c, func(w *book.Writer, in openapi.BatchPatch) (reply.Answer, error) {
		batch, err := w.SetBatchAside(id, reasonOf(in.SetAside))
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.JSON(http.StatusOK, encodeBatch(batch))
	})
}

func encodeBatch(b book.Batch) openapi.Batch {
	return openapi.Batch{Id: b.ID, Sleds: notNil(b.Sleds), Readings: b.Readings, SetAside: b.SetAside}
}
