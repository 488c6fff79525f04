package main

import (
	"fmt"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/openapi"
)

// GetBatch tells of the readings that came with one request.
func (s *server) GetBatch(c echo.Context, id string, _ openapi.GetBatchParams) error {
	batch, err := s.book.Batch(c.Request().Context(), id)
	return batchResource.send(c, batch, err)
}

var batchResource = resource[book.Batch, openapi.Batch]{
	encode: encodeBatch,
	state: func(b book.Batch) (name, state string) {
		return "the batch", fmt.Sprintf("%d-%d", b.Readings, b.SetAside)
	},
	match: reply.IfMatchGiven[book.Batch],
}

// PatchBatch takes back the readings that came with one request, or brings them back.
func (s *server) PatchBatch(c echo.Context, id string, p openapi.PatchBatchParams) error {
	return change(s, c, batchResource, p.IfMatch,
		func(w *book.Writer, match func(book.Batch) error, in openapi.BatchPatch) (book.Batch, error) {
			if err := w.MatchBatch(id, match); err != nil {
				return book.Batch{}, err
			}
			return w.SetBatchAside(id, reasonOf(in.SetAside))
		})
}

func encodeBatch(b book.Batch) openapi.Batch {
	return openapi.Batch{Id: b.ID, Sleds: notNil(b.Sleds), Readings: b.Readings, SetAside: b.SetAside}
}
