package book

import (
	"context"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
)

func openBookOn(t testing.TB, db string, clock *at) *Book {
	t.Helper()
	s, err := store.Open(context.Background(), db, store.Options{Now: clock.time})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return New(s, Options{Now: clock.time, Assumed: assumed})
}

// carry takes a fleet from one database to another and back out of it.
func carry(t testing.TB, document, to string, clock *at) (*Book, string) {
	t.Helper()
	b := openBookOn(t, to, clock)
	write(t, b, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	return b, exported(t, b)
}

func TestArchive_GoesFromAFileToAServerAndBack(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	onServer, there := carry(t, document, storetest.URL(t), clock)
	assert.Equal(t, document, there, "on the server")
	_, back := carry(t, there, filepath.Join(t.TempDir(), "back.db"), clock)
	assert.Equal(t, document, back, "in a file again")
	want, err := b.Chart(context.Background(), "bluestem", nil, "", "")
	require.NoError(t, err)
	is, err := onServer.Chart(context.Background(), "bluestem", nil, "", "")
	require.NoError(t, err)
	want.Revision, is.Revision = 0, 0
	assert.Equal(t, want, is)
}

// A server keeps the sign of a zero, and a file does not: what goes out has none.
func TestArchive_WritesNoNegativeZero(t *testing.T) {
	t.Parallel()
	none := math.Copysign(0, -1)
	clock := &at{noon}
	b := openBookOn(t, storetest.URL(t), clock)
	s := sledOf("Bluestem", ft(34.5), "A", "B")
	s.TakeUpFt = none
	addSled(t, b, s)
	addReading(t, b, "bluestem", readingOf("A", none, 300))
	document := exported(t, b)
	fleetOnly, _, _ := strings.Cut(document, `"history"`)
	assert.NotContains(t, fleetOnly, ":-0")
	_, back := carry(t, document, filepath.Join(t.TempDir(), "back.db"), clock)
	assert.Equal(t, document, back)
}
