package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTable_HasTheSlowestGearFirst(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	// The lever lists them the other way round, and one gear was never measured.
	addSled(t, b, sledOf("Ryegrass", nil, "new", "fast", "slow"))
	addReading(t, b, "ryegrass", readingOf("fast", 0, 262))
	addReading(t, b, "ryegrass", readingOf("slow", 0, 297))
	table, err := b.Table(ctx, "ryegrass", 0, "")
	require.NoError(t, err)
	var gears, sleds []string
	for _, r := range table.Rows {
		gears = append(gears, r.Asked.Gear)
	}
	for _, s := range table.Sleds {
		sleds = append(sleds, s.ID)
	}
	assert.Equal(t, []string{"slow", "fast", "new"}, gears)
	assert.Equal(t, []string{"bluestem", "brome", "fescue", "sedge", "timothy"}, sleds)
	slow, unknown := table.Rows[0].On, table.Rows[2].On
	assert.NotContains(t, slow, "sedge", "nothing is known of it")
	require.Contains(t, slow, "fescue")
	assert.Equal(t, "1", slow["fescue"].Nearest.Gear) // 296 ft is nearest to 297 ft
	assert.Empty(t, unknown)
	for _, row := range table.Rows { // a row says what the question by itself says
		e, err := b.Equivalents(ctx, Question{Sled: "ryegrass", Gear: row.Asked.Gear})
		require.NoError(t, err)
		assert.Equal(t, e.Asked, row.Asked)
		for _, a := range e.Answers {
			if a.Nearest != nil {
				assert.Equal(t, a, row.On[a.Sled])
			}
		}
	}
}
