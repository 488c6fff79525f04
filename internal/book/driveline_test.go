package book

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// openParted has a sled whose gears all top out 1.2 % farther than its parts say, but for the last, without a reading.
// By hand, of gear 1: box feet per turn 12 × 1.75/12 = 1.75; r = 1.75 × 4.1/(1.3 × 5.29 × 10.5) = 0.099365 ft of box
// per foot; from full back the box tops out after 34.5/0.099365 = 347.20 ft, with the factor 351.37 ft.
func openParted(t testing.TB) *Book {
	t.Helper()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.2, 1.1, 1, 0.9))
	for _, date := range []string{"2026-05-01", "2026-05-08"} {
		for i, gear := range []string{"1", "2", "3", "4"} {
			addReading(t, b, "bluestem", readingOn(date, gear, 0, []float64{1.3, 1.2, 1.1, 1}[i]/1.3*351.37))
		}
	}
	return b
}

func TestDriveline_ComparesGearedWithMeasured(t *testing.T) {
	t.Parallel()
	b := openParted(t)
	ctx := context.Background()
	d, err := b.Driveline(ctx, "bluestem")
	require.NoError(t, err)
	require.Len(t, d.Gears, 5)
	assert.InDelta(t, 347.20, *d.Gears[0].GearedFt, 0.01)
	assert.InDelta(t, 351.37, *d.Gears[0].MeasuredFt, 1e-6)
	assert.InDelta(t, 1.012, *d.Gears[0].MeasuredOverGeared, 1e-4)
	assert.Nil(t, d.Gears[4].MeasuredFt, "from its ratio and the other gears is not measured")
	assert.NotNil(t, d.Gears[4].GearedFt)
	assert.Empty(t, d.Gears[0].Missing)
	assert.InDelta(t, 1.012, d.Factor.Factor, 1e-4)
	assert.Less(t, d.Factor.Low, 1.012)
	assert.Greater(t, d.Factor.High, 1.012)
	assert.Less(t, d.Factor.High-d.Factor.Low, 0.06)
	assert.False(t, d.VariesWithSpeed)
	assert.Empty(t, d.StandsOut)

	s := sledNow(t, b, "bluestem")
	s.Gears[2].Ratio = ft(1.25) // noted wrongly
	correctSled(t, b, "bluestem", s)
	d, err = b.Driveline(ctx, "bluestem")
	require.NoError(t, err)
	require.Len(t, d.StandsOut, 1)
	assert.Equal(t, "3", d.StandsOut[0].Gear)
	assert.InDelta(t, -12, d.StandsOut[0].OffPct, 0.05)
	assert.InDelta(t, 1.012, d.Factor.Factor, 1e-3, "it has no say in the factor")

	addSled(t, b, partedSled("Fescue", nil, fleet.Driveline{SprocketTeeth: 12, FinalRatio: 5.29}, 1))
	addReading(t, b, "fescue", readingOf("1", 0, 250))
	d, err = b.Driveline(ctx, "fescue")
	require.NoError(t, err)
	assert.Nil(t, d.Factor)
	assert.Nil(t, d.Gears[0].GearedFt)
	assert.Nil(t, d.Gears[0].MeasuredOverGeared)
	assert.Equal(t, []driveline.Part{driveline.SprocketAndChain, driveline.Axle, driveline.TireCircumference,
		driveline.Travel}, d.Gears[0].Missing)
	_, err = b.Driveline(ctx, "nobody")
	assert.True(t, isKind(err, fleet.NotFound))
}

// Parts noted in nonsense units give no number, and nothing breaks.
func TestDriveline_OfImpossibleParts(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	ctx := context.Background()
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 5e-324, 1))
	addSled(t, b, sledOf("Fescue", ft(34.5), "1"))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "2", 0, 250))
	addReading(t, b, "fescue", readingOn("2026-05-01", "1", 0, 250))
	d, err := b.Driveline(ctx, "bluestem")
	require.NoError(t, err)
	assert.Nil(t, d.Gears[0].GearedFt)
	c, err := b.Cutoff(ctx, "bluestem", 10, 0.3, 0)
	require.NoError(t, err)
	assert.Nil(t, c.Gears[0].BoxSpeedFtS)
	_, err = b.PartOptions(ctx, PartQuestion{Sled: "bluestem", Reference: "fescue", Limit: 3})
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"sled"}, places(e))
	v := addChange(t, b, "bluestem", finalChange("2026-06-01", 5e-324))
	require.NotNil(t, v.MovesPct)
	assert.False(t, math.IsNaN(*v.MovesPct))
	assert.False(t, chartOf(t, b, "bluestem", "").Gears[1].TopOuts[0].Known())
}

// By hand: gear 1 moves its box 34.5 ft in 351.37 ft, 0.098187 ft a foot; 15 mph are 22 ft/s, so the box runs 2.1601
// ft/s. In 0.4 s it is driven on 0.8640 ft, and at 6 ft/s² it coasts 2.1601²/12 = 0.3888 ft: 1.2529 ft.
func TestCutoff_RoomAboveIt(t *testing.T) {
	t.Parallel()
	b := openParted(t)
	ctx := context.Background()
	c, err := b.Cutoff(ctx, "bluestem", 15, 0.4, 6)
	require.NoError(t, err)
	require.Len(t, c.Gears, 5)
	g := c.Gears[0]
	assert.InDelta(t, 2.1601, *g.BoxSpeedFtS, 1e-3)
	assert.InDelta(t, 0.8640, *g.RunOnFt, 1e-3)
	assert.InDelta(t, 0.3888, *g.CoastFt, 1e-3)
	assert.InDelta(t, 1.2529, *g.RoomNeededFt, 1e-3)
	assert.Equal(t, fleet.Measured, g.Basis)
	assert.Equal(t, fleet.Geared, c.Gears[4].Basis)
	c, err = b.Cutoff(ctx, "bluestem", 15, 0.4, 0)
	require.NoError(t, err)
	assert.NotNil(t, c.Gears[0].RunOnFt)
	assert.Nil(t, c.Gears[0].CoastFt)
	assert.Nil(t, c.Gears[0].RoomNeededFt, "what was never measured stays unknown")

	addSled(t, b, partedSled("Fescue", nil, ordinary, 1.3))
	addSled(t, b, sledOf("Brome", ft(30), "1"))
	c, err = b.Cutoff(ctx, "fescue", 15, 0.4, 6)
	require.NoError(t, err)
	assert.InDelta(t, 22*0.099365, *c.Gears[0].BoxSpeedFtS, 1e-4, "by the parts alone")
	assert.Equal(t, fleet.Geared, c.Gears[0].Basis)
	c, err = b.Cutoff(ctx, "brome", 15, 0.4, 6)
	require.NoError(t, err)
	assert.Equal(t, CutoffGear{Label: "1", Basis: fleet.Unknown}, c.Gears[0])

	_, err = b.Cutoff(ctx, "bluestem", 0, -1, math.Inf(1))
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"ground_speed_mph", "release_s", "brake_ft_s2"}, places(e))
	_, err = b.Cutoff(ctx, "nobody", 15, 0.4, 6)
	assert.True(t, isKind(err, fleet.NotFound))
}
