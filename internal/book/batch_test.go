package book

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// What a batch had replaced counts again once the batch is taken back, but not where the sled was corrected meanwhile:
// else no other database would take in what this one exports.
func TestBatch_TakenBackLeavesAsideWhatNoLongerGoesWithItsSled(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	addSled(t, b, sledOf("Brome", ft(34.5), "A"))
	high, low := addReading(t, b, "brome", readingOf("A", 30, 40)), addReading(t, b, "brome", readingOf("A", 0, 300))
	rows := []fleet.Reading{readingOf("A", 3, 275), readingOf("A", 0, 301)}
	rows[0].Sled, rows[1].Sled, rows[0].Replaces, rows[1].Replaces = "brome", "brome", high.ID, low.ID
	why := "the wrong file"
	write(t, b, func(w *Writer) error {
		added, err := w.AddReadings(rowsOf(rows), Request{Answers: Answers{KeepUnlikely: true}})
		require.NoError(t, err)
		require.NoError(t, correctNow("brome", func(s *fleet.Sled) { s.TravelFt = ft(29) })(w))
		batch, err := w.SetBatchAside(added.Batch, &why)
		assert.Equal(t, Batch{ID: added.Batch, Sleds: []string{"brome"}, Readings: 2, SetAside: 2}, batch)
		return err
	})
	counts := map[string]bool{}
	all, _, err := b.Readings(context.Background(), "brome", "", 10)
	require.NoError(t, err)
	for _, r := range all {
		counts[r.ID] = r.SetAside == nil
	}
	assert.False(t, counts[high.ID], "its box would have stood past the travel")
	assert.True(t, counts[low.ID])
	document, next := exported(t, b), openEmptyAt(t, clock)
	write(t, next, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
}
