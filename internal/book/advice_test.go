package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestAdvice_NamesWhatToMeasureNext(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	ctx := context.Background()
	all, err := b.Advice(ctx, "fescue", "", 20)
	require.NoError(t, err)
	require.NotEmpty(t, all.Items)
	assert.Equal(t, "fescue", all.Sled.ID)
	revision, err := b.Revision(ctx)
	require.NoError(t, err)
	assert.Equal(t, revision, all.Revision)
	for i, a := range all.Items {
		assert.Less(t, a.MeanThen, a.MeanNow)
		if i > 0 {
			assert.InDelta(t, all.Items[i-1].MeanThen, a.MeanNow, 1e-9, "each after those before it")
		}
	}
	one, err := b.Advice(ctx, "fescue", "", 1)
	require.NoError(t, err)
	assert.Equal(t, all.Items[:1], one.Items)

	// A show of one class asks of one gear, and measuring that one helps it most.
	alone := addShow(t, b, fleet.Show{Name: "Antique Night", Date: "2026-07-20", Sled: "fescue",
		Classes: []string{"antique"}})
	asked, err := b.Advice(ctx, "fescue", alone.ID, 1)
	require.NoError(t, err)
	require.Len(t, asked.Items, 1)
	nearest := sheetOf(t, b, alone.ID, "").Rows[0].Tonight.Nearest
	assert.Equal(t, nearest.Gear, asked.Sled.Gears[asked.Items[0].Gear].Label)
	assert.InDelta(t, (nearest.HighFt-nearest.LowFt)/2, asked.Items[0].MeanNow, 1e-9)

	// Of another sled than the booked one, and of one of which nothing is known yet.
	other, err := b.Advice(ctx, "timothy", s.ID, 1)
	require.NoError(t, err)
	assert.Equal(t, "timothy", other.Sled.ID)
	blank, err := b.Advice(ctx, "sedge", s.ID, 1)
	require.NoError(t, err)
	require.Len(t, blank.Items, 1)
	assert.Nil(t, blank.Items[0].Now)
	none := addShow(t, b, fleet.Show{Name: "Winter Pull", Date: "2026-12-18", Sled: "fescue"})
	nothing, err := b.Advice(ctx, "fescue", none.ID, 5)
	require.NoError(t, err)
	assert.Empty(t, nothing.Items)

	_, err = b.Advice(ctx, "redtop", "", 5)
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Advice(ctx, "redtop", s.ID, 5)
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Advice(ctx, "fescue", "spring-pull", 5)
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"show"}, places(e))
}
