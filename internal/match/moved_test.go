package match_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/match"
)

// Simulation with fixed seeds: ten classes, one of which is off by 8 ft and moved back each time to within a gear's
// half step (sd 3 ft); of the others one in five is moved, to either side. By the sixth show the one is pointed out,
// and no other.
func TestMovedOneWay_FindsTheClassThatIsMoved(t *testing.T) {
	t.Parallel()
	found, others := 0, 0
	const seasons = 200
	for seed := range uint64(seasons) {
		rng := rand.New(rand.NewPCG(seed, 3))
		classes := make([][]float64, 10)
		for range 6 {
			for i := range classes {
				m := 0.0
				switch {
				case i == 0:
					m = 8 + 3*rng.NormFloat64()
				case rng.IntN(5) == 0:
					m = 6 * rng.NormFloat64()
				}
				classes[i] = append(classes[i], m)
			}
		}
		for i, moved := range match.MovedOneWay(classes) {
			switch {
			case moved.OneWay && i == 0:
				found++
			case moved.OneWay:
				others++
			}
		}
	}
	t.Logf("found in %d of %d seasons, another class pointed out %d times", found, seasons, others)
	assert.GreaterOrEqual(t, found, 190)
	assert.LessOrEqual(t, others, 6)
	few := match.MovedOneWay([][]float64{{8, 8, 8}, {}})
	assert.False(t, few[0].OneWay, "three shows are too few")
	assert.InDelta(t, 8, few[0].MeanFt, 1e-12)
	mixed := match.MovedOneWay([][]float64{{-9, 1, -6, 0, -4}, {}})
	assert.Equal(t, 5, mixed[0].Shows)
	assert.Equal(t, 3, mixed[0].Times, "it was left alone once and moved the other way once")
	assert.Zero(t, mixed[1].Shows)
	assert.False(t, match.MovedOneWay([][]float64{{0, 0, 0, 0, 0}})[0].OneWay)
}
