package book

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestIdempotencyRecord_IsStoredWithItsWrite(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	want := IdempotencyRecord{Request: [32]byte{1, 2, 3}, Status: 201, ContentType: "application/json", ETag: `"x"`,
		Location: "/v1/sleds/bluestem", Body: []byte("{}")}
	stop := errors.New("stop")
	assert.ErrorIs(t, b.Write(context.Background(), manager, func(w *Writer) error {
		require.NoError(t, w.AddIdempotencyRecord("k", want))
		return stop
	}), stop)
	write(t, b, func(w *Writer) error {
		record, err := w.IdempotencyRecord("k")
		assert.Nil(t, record, "what did not happen was not answered")
		require.NoError(t, err)
		if _, err := w.AddSled(sledOf("Bluestem", nil, "A")); err != nil {
			return err
		}
		return w.AddIdempotencyRecord("k", want)
	})
	want.CreatedAt = noon
	write(t, b, func(w *Writer) error {
		record, err := w.IdempotencyRecord("k")
		assert.Equal(t, &want, record)
		return err
	})
	e := refused(t, b, func(w *Writer) error { return w.AddIdempotencyRecord("k", want) })
	assert.Equal(t, fleet.Conflict, e.Kind)
}
