package book

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// openFleet has a sled of each kind: measured, measured at full back without a travel, stated only, without anything.
func openFleet(t testing.TB) *Book {
	t.Helper()
	b, _ := openFleetAt(t)
	return b
}

func openFleetAt(t testing.TB) (*Book, *at) {
	t.Helper()
	b, clock := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B", "C"))
	addSled(t, b, sledOf("Fescue", ft(33), "1", "2", "3"))
	addSled(t, b, sledOf("Timothy", nil, "1", "2"))
	addSled(t, b, sledOf("Brome", nil, "slow"))
	addSled(t, b, sledOf("Sedge", ft(30), "X"))
	for _, r := range []struct {
		sled, gear      string
		start, distance float64
	}{
		{"bluestem", "A", 0, 300}, {"bluestem", "A", 0, 301}, {"bluestem", "B", 0, 280}, {"bluestem", "C", 0, 262},
		{"bluestem", "A", 4, 265},
		{"fescue", "1", 0, 296}, {"fescue", "2", 0, 277}, {"fescue", "3", 0, 259},
		{"timothy", "1", 0, 305}, {"timothy", "2", 0, 275},
	} {
		addReading(t, b, r.sled, readingOf(r.gear, r.start, r.distance))
	}
	stated := readingOf("slow", 0, 290)
	stated.Ended, stated.By = fleet.Stated, "its owner"
	addReading(t, b, "brome", stated)
	return b, clock
}

func TestEquivalents_AnswerForTheSledsAskedFor(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	ask := func(on ...string) []string {
		e, err := b.Equivalents(ctx, Question{Sled: "bluestem", Gear: "B", On: on})
		require.NoError(t, err)
		assert.Equal(t, "bluestem", e.Asked.Sled)
		assert.Equal(t, "B", e.Asked.Gear)
		var sleds []string
		for _, a := range e.Answers {
			sleds = append(sleds, a.Sled)
		}
		return sleds
	}
	assert.Equal(t, []string{"brome", "fescue", "sedge", "timothy"}, ask())
	assert.Equal(t, []string{"timothy", "fescue", "bluestem"}, ask("timothy", "fescue", "timothy", "bluestem"))
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("fescue", whatever); return err })
	assert.Equal(t, []string{"brome", "sedge", "timothy"}, ask(), "without those that are retired")
	assert.Equal(t, []string{"fescue"}, ask("fescue"), "unless asked for")
}

func TestEquivalents_RefuseAQuestionWithEveryFault(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	var e *fleet.Error
	_, err := b.Equivalents(ctx, Question{Sled: "bluestem", Gear: "Q", StartFt: 40,
		On: []string{"fescue", "nobody", "none"}, OnStartFt: ft(math.Inf(1))})
	require.ErrorAs(t, err, &e)
	assert.Equal(t, fleet.Invalid, e.Kind)
	assert.Equal(t, []string{"gear", "start_ft", "on_start_ft", "on", "on"}, places(e))
	assert.Contains(t, e.Faults[0].Detail, "A, B, C")
	assert.Contains(t, e.Faults[1].Detail, "34.5 ft")
	assert.Contains(t, e.Faults[3].Detail, "nobody")
	_, err = b.Equivalents(ctx, Question{Sled: "nobody", Gear: "A"})
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Table(ctx, "bluestem", 34.5, "")
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"start_ft"}, places(e))
}
