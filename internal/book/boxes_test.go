package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

func TestBoxes_DrawingOfTwoSleds(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	snap, err := b.current(ctx)
	require.NoError(t, err)
	draw := func(q Question) (plotting.Boxes, string) {
		asked, on, err := snap.resolve(q)
		require.NoError(t, err)
		return boxes(asked, snap.sledState(on[0]).side(), q.OnStartFt, fleet.InFeet)
	}
	d, why := draw(Question{Sled: "bluestem", Gear: "B", StartFt: 3, On: []string{"fescue"}})
	assert.Empty(t, why)
	require.Len(t, d.Pulls, 2)
	assert.Equal(t, "Bluestem, B", d.Pulls[0].Label)
	assert.Equal(t, "Fescue, 2", d.Pulls[1].Label)
	for i, travel := range []float64{34.5, 33} {
		line := d.Pulls[i].Line
		assert.InDelta(t, 3/travel, line[0].Share, 1e-9, "the box begins where it starts")
		assert.InDelta(t, 1, line[len(line)-1].Share, 1e-9, "and ends at the top")
		assert.Equal(t, d.Pulls[i].TopOutFt, line[len(line)-1].DistanceFt)
	}
	d, why = draw(Question{Sled: "bluestem", Gear: "B", On: []string{"timothy"}})
	require.Len(t, d.Pulls, 1)
	assert.Contains(t, why, "travel of Timothy is not known")
	assert.Contains(t, d.Description, why)
	d, why = draw(Question{Sled: "bluestem", Gear: "B", On: []string{"sedge"}})
	require.Len(t, d.Pulls, 1)
	assert.NotEmpty(t, why)

	_, _, err = b.DrawEquivalents(ctx, Question{Sled: "timothy", Gear: "1", On: []string{"brome"}}, plotting.Style{})
	assert.True(t, isKind(err, fleet.NotFound))
	assert.ErrorContains(t, err, "not known")
	for _, on := range [][]string{nil, {"fescue", "timothy"}} {
		_, _, err = b.DrawEquivalents(ctx, Question{Sled: "bluestem", Gear: "B", On: on}, plotting.Style{})
		assert.True(t, isKind(err, fleet.Invalid))
	}
}
