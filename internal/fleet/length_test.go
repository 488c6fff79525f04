package fleet

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The table says what every text means, for this reader and for that of the pages (frontend/pagetest).
func TestParseLength_ReadsWhatTheTableSays(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../testdata/lengths.json")
	require.NoError(t, err)
	var table struct {
		Lengths []struct {
			Text  string
			Units Units
			Ft, M *float64
		}
		NoLengths     []string `json:"no_lengths"`
		ReadInTwoWays []string `json:"read_in_two_ways"`
	}
	require.NoError(t, json.Unmarshal(text, &table))
	require.Greater(t, len(table.Lengths), 50)
	for _, c := range table.Lengths {
		want := c.Ft
		if want == nil {
			feet := Feet(*c.M)
			want = &feet
		}
		if c.Units == "" {
			c.Units = InFeet
		}
		got, wrong := ParseLength(c.Text, c.Units)
		assert.Empty(t, wrong, c.Text)
		assert.InDelta(t, *want, got, 1e-12, c.Text)
	}
	for _, text := range table.NoLengths {
		_, wrong := ParseLength(text, InFeet)
		assert.Contains(t, wrong, `must be a length like 12.5, 12' 6" or 3.81 m, not "`, text)
	}
	for _, text := range table.ReadInTwoWays {
		_, wrong := ParseLength(text, InFeet)
		assert.Contains(t, wrong, "can be read in two ways; write 1", text)
	}
}
