package book

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

func TestHowAlike_RanksTheFleet(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	h, err := b.HowAlike(ctx, "bluestem", false, WithGuests)
	require.NoError(t, err)
	assert.Equal(t, []string{"A", "B", "C"}, h.Gears)
	var order []string
	for _, a := range h.Items {
		order = append(order, a.Sled)
	}
	assert.Equal(t, []string{"fescue", "timothy", "brome", "sedge"}, order,
		"most alike first, those of which nothing is known last")
	fescue := h.Items[0]
	assert.Equal(t, 3, fescue.Known)
	require.Len(t, fescue.Gears, 3)
	sum, worst := 0.0, 0.0
	for i, label := range h.Gears {
		e, err := b.Equivalents(ctx, Question{Sled: "bluestem", Gear: label, On: []string{"fescue"}})
		require.NoError(t, err)
		n := e.Answers[0].Nearest
		assert.Equal(t, AlikeGear{label, n.Gear, n.DifferenceFt, (n.DifferenceHighFt - n.DifferenceLowFt) / 2},
			fescue.Gears[i])
		sum += math.Abs(n.DifferenceFt) / 3
		worst = max(worst, math.Abs(n.DifferenceFt))
	}
	assert.InDelta(t, sum, *fescue.MeanFt, 1e-9)
	assert.InDelta(t, worst, *fescue.WorstFt, 1e-9)
	assert.LessOrEqual(t, *fescue.MeanMovedFt, *fescue.MeanFt)
	assert.Less(t, *h.Items[1].MeanFt, *h.Items[2].MeanFt)
	assert.Nil(t, h.Items[3].MeanFt)
	assert.Zero(t, h.Items[3].Known)

	used, err := b.HowAlike(ctx, "bluestem", true, WithGuests)
	require.NoError(t, err)
	assert.Equal(t, h.Gears, used.Gears, "no class uses any yet")
	addClass(t, b, classOf("Farm 9500", "bluestem", "B", 0))
	used, err = b.HowAlike(ctx, "bluestem", true, WithGuests)
	require.NoError(t, err)
	assert.Equal(t, []string{"B"}, used.Gears)
	assert.Equal(t, 1, used.Items[0].Known)
	_, err = b.HowAlike(ctx, "nobody", true, WithGuests)
	assert.True(t, isKind(err, fleet.NotFound))

	addClass(t, b, classOf("Antique", "timothy", "1", 0))
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("fescue", whatever); return err })
	h, err = b.HowAlike(ctx, "bluestem", false, WithGuests)
	require.NoError(t, err)
	assert.Len(t, h.Items, 3, "a retired sled is not compared")
}

func TestLadders_DrawingOfTheFleet(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	svg, revision, err := b.DrawLadders(ctx, "", WithGuests, plotting.Style{Theme: plotting.Dark, Units: fleet.InFeet})
	require.NoError(t, err)
	requireXML(t, svg)
	assert.EqualValues(t, 16, revision)
	snap, err := b.current(ctx)
	require.NoError(t, err)
	l := snap.ladders(snap.inUse(""), fleet.InFeet)
	require.Len(t, l.Sleds, 5)
	assert.Equal(t, "Bluestem", l.Sleds[0].Name)
	assert.False(t, l.Sleds[0].Gears[0].Guess)
	assert.True(t, l.Sleds[1].Gears[0].Guess, "what its owner states")
	assert.Less(t, l.Sleds[0].Gears[0].LowFt, l.Sleds[0].Gears[0].TopOutFt)
	assert.Zero(t, l.Sleds[3].Gears[0].TopOutFt)
	assert.Contains(t, l.Description, "Sedge: nothing known")
	fromBluestem, _, err := b.DrawLadders(ctx, "bluestem", WithGuests, plotting.Style{})
	require.NoError(t, err)
	fromTimothy, _, err := b.DrawLadders(ctx, "timothy", WithGuests, plotting.Style{})
	require.NoError(t, err)
	assert.NotEqual(t, string(fromBluestem), string(fromTimothy),
		"the reference's rungs are carried on across the others")
	assert.Contains(t, string(fromTimothy), "level with Timothy")
	_, _, err = b.DrawLadders(ctx, "nobody", WithGuests, plotting.Style{})
	assert.True(t, isKind(err, fleet.NotFound))
	empty, _ := openBook(t)
	svg, _, err = empty.DrawLadders(ctx, "", WithGuests, plotting.Style{})
	require.NoError(t, err)
	requireXML(t, svg)
}
