package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a polynomial through kept points says of any ρ between them, beside solving the system at that ρ: of sleds with
// few and many readings a day, and with readings of little weight. Up to ρ = 10,000, a day that scatters a hundred
// times as much as a reading: beyond it solving the system loses digits itself.
func TestProfile_BetweenItsPoints(t *testing.T) {
	t.Parallel()
	worst := 0.0
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 5))
		gears := 1 + rng.IntN(6)
		days := 2 + rng.IntN(6)
		d := &design{p: gears}
		for day := range days {
			shift := 0.02 * rng.NormFloat64()
			for range 1 + rng.IntN(1+int(math.Pow(10, 2.5*rng.Float64()))) {
				x := make([]float64, gears)
				x[rng.IntN(gears)] = 1
				d.x, d.y, d.w, d.day = append(d.x, x...), append(d.y, 5.5+shift+0.007*rng.NormFloat64()), append(d.w,
					math.Pow(10, -2*rng.Float64())), append(d.day, day)
				d.n++
			}
		}
		for g := range gears { // every gear is seen at least once
			x := make([]float64, gears)
			x[g] = 1
			d.x, d.y, d.w, d.day = append(d.x, x...), append(d.y, 5.5), append(d.w, 1), append(d.day, days-1)
			d.n++
		}
		sums := d.sum(gears)
		p := profileOf(sums)
		var sol solution
		largest := map[string]float64{}
		type pair struct{ kept, solved float64 }
		var pairs []map[string]pair
		for range 200 {
			lnRho := lnLeastRho + 12*math.Ln10*rng.Float64()
			rho := math.Exp(lnRho)
			require.NoError(t, sums.solve(rho, &sol))
			got := p.at(lnRho)
			now := map[string]pair{
				"rss": {got.rss, sol.rss}, "its slope": {got.slopeRSS, rho * sol.dRSS},
				"ln det": {got.logDet, sol.logDet}, "slope of ln det": {got.slopeLogDet, rho * sol.dLogDet},
			}
			for what, q := range now {
				largest[what] = max(largest[what], math.Abs(q.solved))
			}
			pairs = append(pairs, now)
		}
		for _, now := range pairs {
			for what, q := range now {
				off := math.Abs(q.kept-q.solved) / largest[what]
				worst = max(worst, off)
				assert.Less(t, off, 1e-9, what)
			}
		}
	}
	t.Logf("at worst %.1g of the largest value", worst)
	at := profileOf((&design{p: 1, n: 1, x: []float64{1}, y: []float64{5}, w: []float64{1}, day: []int{0}}).sum(1))
	assert.Equal(t, at.points[0], at.at(lnLeastRho), "on a point it is that point")
	assert.Equal(t, at.points[profileSteps], at.at(lnRhoAt(profileSteps)))
}

// The sum of shares is what one fleet of all of them would say, and nothing added to it changes nothing.
func TestShares_AddUp(t *testing.T) {
	t.Parallel()
	assert.Equal(t, Share{}, Total(nil))
	assert.Equal(t, Share{}, Total([]Share{{}, {}}))
	all := part{profile: &profile{zero: profilePoint{rss: 2}}, dayDF: 1, residual: 3, free: 4}
	pooled := part{profile: &profile{zero: profilePoint{rss: 1}}, dayDF: 1, residual: 2, free: 3}
	two := Total([]Share{{all, pooled, 1}, {}, {all, pooled, 1}})
	assert.Equal(t, []float64{4, 2}, []float64{two.all.profile.zero.rss, two.pooled.profile.zero.rss})
	assert.Equal(t, []float64{2, 6, 8}, []float64{two.all.dayDF, two.all.residual, two.all.free})
	assert.Equal(t, []float64{2, 4, 6}, []float64{two.pooled.dayDF, two.pooled.residual, two.pooled.free})
	assert.Equal(t, 2, two.leftOut)
	assert.Equal(t, 2.0, all.profile.zero.rss, "a share is not changed by adding it up")
}
