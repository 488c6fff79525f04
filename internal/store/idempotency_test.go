package store

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestIdempotencyRecord_IsStoredForThirtyDays(t *testing.T) {
	t.Parallel()
	now := noon
	s, err := Open(context.Background(), filepath.Join(t.TempDir(), "fleet.db"),
		Options{Now: func() time.Time { return now }})
	require.NoError(t, err)
	defer s.Close()
	want := IdempotencyRecord{Request: [32]byte{1}, Status: 201, ContentType: "application/json", ETag: `"1"`,
		Location: "/v1/sleds/bluestem", Body: []byte("{}"), CreatedAt: noon}
	empty := IdempotencyRecord{Request: [32]byte{2}, Status: 204, Body: []byte{}, CreatedAt: noon.Add(24 * time.Hour)}
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddIdempotencyRecord("first", want))
		return tx.AddIdempotencyRecord("second", empty)
	})
	kept := func(key string) (a *IdempotencyRecord) {
		write(t, s, func(tx *Tx) (err error) {
			a, err = tx.IdempotencyRecord(key)
			return err
		})
		return a
	}
	assert.Equal(t, &want, kept("first"))
	assert.Equal(t, &empty, kept("second"))
	assert.Nil(t, kept("third"))

	now = noon.Add(idempotencyRetention + time.Second)
	assert.Nil(t, kept("first"), "too old to be given again")
	assert.NotNil(t, kept("second"))
	again := want
	again.CreatedAt = now
	write(t, s, func(tx *Tx) error { return tx.AddIdempotencyRecord("first", again) })
	assert.Equal(t, now, kept("first").CreatedAt)
	now = now.Add(48 * time.Hour)
	write(t, s, func(tx *Tx) error { return tx.AddIdempotencyRecord("third", again) })
	var keys []string
	require.NoError(t, s.reader.Model(&idempotencyRow{}).Order("key").Pluck("key", &keys).Error)
	assert.Equal(t, []string{"first", "third"}, keys, "old ones are gone for good")
}
