package main

import (
	"fmt"
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
	return sendDocument(c, batch, batchAnswer)
}

func batchState(b book.Batch) (name, state string) {
	return "the batch", fmt.Sprintf("%d-%d", b.Readings, b.SetAside)
}

func batchAnswer(status int, b book.Batch) (reply.Answer, error) {
	_, state := batchState(b)
	return reply.Document(status, encodeBatch(b), state)
}

// PatchBatch takes back the readings that came with one request, or brings them back.
func (s *server) PatchBatch(c echo.Context, id string, p openapi.PatchBatchParams) error {
	match, err := reply.IfMatchGiven(p.IfMatch, batchState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.BatchPatch) (reply.Answer, error) {
		if err := w.MatchBatch(id, match); err != nil {
			return reply.Answer{}, err
		}
		batch, err := w.SetBatchAside(id, reasonOf(in.SetAside))
		if err != nil {
			return reply.Answer{}, err
		}
		return batchAnswer(http.StatusOK, batch)
	})
}

func encodeBatch(b book.Batch) openapi.Batch {
	return openapi.Batch{Id: b.ID, Sleds: notNil(b.Sleds), Readings: b.Readings, SetAside: b.SetAside}
}
