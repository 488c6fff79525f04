package book

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

// openSteady has a sled measured on days that differ by these shares, beside another that shows how repeatable days
// are.
func openSteady(t testing.TB, days ...float64) *Book {
	t.Helper()
	b := openFuture(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B", "C"))
	addSled(t, b, sledOf("Fescue", ft(34.5), "A"))
	write(t, b, func(w *Writer) error {
		for day := range 12 {
			off := 0.004 * float64(day%3-1)
			for k := range 2 {
				if _, err := w.AddReading("fescue",
					readingOn(fmt.Sprintf("2026-04-%02d", day+1), "A", 0,
						290*math.Exp(off+0.003*float64(k))), Answers{}); err != nil {
					return err
				}
			}
		}
		for day, off := range days {
			for i, gear := range []string{"A", "B", "C"} {
				if _, err := w.AddReading("bluestem",
					readingOn(fmt.Sprintf("2026-05-%02d", day+1), gear, 0,
						(300-20*float64(i))*math.Exp(off)), Answers{}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	return b
}

func TestDays_FindADayThatStandsOff(t *testing.T) {
	t.Parallel()
	b := openSteady(t, 0, 0.001, 0.08, 0, -0.001, 0.001)
	ctx := context.Background()
	d, err := b.Days(ctx, "bluestem", "")
	require.NoError(t, err)
	require.Len(t, d.Items, 6)
	assert.Equal(t, "B", d.Gear, "the middle one of the ladder")
	for i, day := range d.Items {
		want := AsUsual
		if i == 2 {
			want = StandsOff
		}
		assert.Equal(t, want, day.Verdict, day.Day)
		assert.Equal(t, 3, day.Readings)
		assert.InDelta(t, *day.OffsetFt/day.OffsetPct, *day.LimitFt / *day.LimitPct, 1e-9)
		assert.Equal(t, want == StandsOff, math.Abs(day.OffsetPct) > *day.LimitPct)
	}
	assert.InDelta(t, 8, d.Items[2].OffsetPct, 0.5)
	assert.InDelta(t, 0.08*280, *d.Items[2].OffsetFt, 2)
	a, err := b.Days(ctx, "bluestem", "A")
	require.NoError(t, err)
	assert.InDelta(t, 300.0/280, *a.Items[2].OffsetFt / *d.Items[2].OffsetFt, 1e-6)
	_, err = b.Days(ctx, "bluestem", "Z")
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"gear"}, places(e))
	_, err = b.Days(ctx, "nobody", "")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestDays_WithoutOthers(t *testing.T) {
	t.Parallel()
	b := openSteady(t, 0)
	ctx := context.Background()
	d, err := b.Days(ctx, "bluestem", "")
	require.NoError(t, err)
	require.Len(t, d.Items, 1)
	assert.Equal(t, Alone, d.Items[0].Verdict)
	assert.Nil(t, d.Items[0].LimitPct)
	addSled(t, b, sledOf("Sedge", nil, "X"))
	d, err = b.Days(ctx, "sedge", "")
	require.NoError(t, err)
	assert.Empty(t, d.Items)
	assert.Empty(t, d.Gear)
	for _, sled := range []string{"bluestem", "sedge"} {
		svg, revision, err := b.DrawDays(ctx, sled, plotting.Style{Units: fleet.InMeters})
		require.NoError(t, err)
		requireXML(t, svg)
		assert.Equal(t, d.Revision, revision)
	}
	_, _, err = b.DrawDays(ctx, "nobody", plotting.Style{})
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestDays_NameAPattern(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	b := openSteady(t, 0, 0.001, 0, 0.07, 0.071, 0.07)
	d, err := b.Days(ctx, "bluestem", "")
	require.NoError(t, err)
	require.NotNil(t, d.Drift)
	assert.Equal(t, "jump", d.Drift.Kind)
	assert.Equal(t, "2026-05-04", d.Drift.From)
	assert.InDelta(t, 0.07, d.Drift.Log, 0.003)
	drawing := d.drawing()
	assert.Equal(t, &plotting.DriftLine{Kind: "jump", From: 3, Pct: 100 * d.Drift.Log}, drawing.Drift)
	assert.InDelta(t, 280*math.Exp(0.035), drawing.TopOutFt, 3)
	assert.Contains(t, drawing.Description, "tops out 7.0\u00a0% later than before")

	b = openSteady(t, 0, -0.02, -0.04, -0.06, -0.08, -0.1)
	d, err = b.Days(ctx, "bluestem", "")
	require.NoError(t, err)
	require.NotNil(t, d.Drift)
	assert.Equal(t, "trend", d.Drift.Kind)
	assert.InDelta(t, -0.02, d.Drift.Log, 0.0005)

	b = openSteady(t, 0, 0.001, 0, -0.001, 0, 0.001)
	d, err = b.Days(ctx, "bluestem", "")
	require.NoError(t, err)
	assert.Nil(t, d.Drift)
}
