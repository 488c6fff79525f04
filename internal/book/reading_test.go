package book

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestReading_CorrectedSetsTheFirstOneAside(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	addSled(t, b, sledOf("Fescue", ft(34.5), "1"))
	first := addReading(t, b, "bluestem", readingOf("A", 0, 200))
	better := readingOf("A", 0, 300)
	better.Replaces = first.ID
	better = addReading(t, b, "bluestem", better)
	first, err := b.Reading(ctx, first.ID)
	require.NoError(t, err)
	require.NotNil(t, first.SetAside)
	assert.Equal(t, fleet.SetAside{Reason: "replaced by a corrected reading", At: noon}, *first.SetAside)
	assert.Nil(t, better.SetAside)

	reason := "the wheel skipped"
	write(t, b, func(w *Writer) error { _, err := w.SetAside(better.ID, &reason); return err })
	third := readingOf("A", 0, 290)
	third.Replaces = better.ID
	addReading(t, b, "bluestem", third)
	better, err = b.Reading(ctx, better.ID)
	require.NoError(t, err)
	assert.Equal(t, reason, better.SetAside.Reason, "it was aside already, for a reason of its own")

	for id, says := range map[string]string{"nothing": "no reading", first.ID: "another sled"} {
		r := readingOf("1", 0, 300)
		r.Replaces = id
		e := refused(t, b, func(w *Writer) error { _, err := w.AddReading("fescue", r, Answers{}); return err })
		assert.Equal(t, []string{"replaces"}, places(e))
		assert.Contains(t, e.Faults[0].Detail, says)
	}
}

func TestReading_IsSetAsideAndBroughtBack(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	r := addReading(t, b, "bluestem", readingOf("A", 30, 60))
	set := func(reason *string) (got fleet.Reading, err error) {
		err = b.Write(context.Background(), manager, func(w *Writer) (err error) {
			got, err = w.SetAside(r.ID, reason)
			return err
		})
		return got, err
	}
	for _, bad := range []string{"", "  \n", string(make([]byte, 5)),
		string(slices.Repeat([]byte("x"), fleet.MaxReasonLength+1)), "\xff\xfe"} {
		_, err := set(&bad)
		var e *fleet.Error
		require.ErrorAs(t, err, &e)
		assert.Equal(t, []string{"set_aside.reason"}, places(e), "%q", bad)
	}
	reason := " the wheel skipped "
	got, err := set(&reason)
	require.NoError(t, err)
	assert.Equal(t, &fleet.SetAside{Reason: "the wheel skipped", At: noon}, got.SetAside)

	shorten := func(travel float64) {
		write(t, b, func(w *Writer) error {
			_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: sledOf("Bluestem", ft(travel), "A")})
			return err
		})
	}
	shorten(25) // only readings that count stand in the way
	_, err = set(nil)
	assert.True(t, isKind(err, fleet.Conflict), "its box would start past the top")
	assert.ErrorContains(t, err, "25 ft")
	shorten(34)
	got, err = set(nil)
	require.NoError(t, err)
	assert.Nil(t, got.SetAside)
	before, err := b.Revision(context.Background())
	require.NoError(t, err)
	_, err = set(nil)
	require.NoError(t, err)
	after, err := b.Revision(context.Background())
	require.NoError(t, err)
	assert.Equal(t, before, after, "bringing back what counts already changes nothing")
}
