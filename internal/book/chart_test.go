package book

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

func TestChart_IsGivenAtTheStartPositionsOfTheReadings(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	c, err := b.Chart(ctx, "bluestem", nil, "", "")
	require.NoError(t, err)
	require.Len(t, c.Gears, 3)
	for i, label := range []string{"A", "B", "C"} {
		assert.Equal(t, label, c.Gears[i].Label)
		require.Len(t, c.Gears[i].TopOuts, 2)
		assert.Equal(t, 0.0, c.Gears[i].TopOuts[0].StartFt)
		assert.Equal(t, 4.0, c.Gears[i].TopOuts[1].StartFt)
	}
	assert.Equal(t, assumed, c.Repeatability.Assumed)
	assert.Equal(t, 34.5, *c.TravelFt)
	assert.EqualValues(t, 16, c.Revision) // five sleds, eleven readings
	c, err = b.Chart(ctx, "sedge", nil, "", "")
	require.NoError(t, err)
	require.Len(t, c.Gears[0].TopOuts, 1)
	assert.Equal(t, 0.0, c.Gears[0].TopOuts[0].StartFt)
	assert.False(t, c.Gears[0].TopOuts[0].Known())
	c, err = b.Chart(ctx, "bluestem", []float64{8, 1}, "", "")
	require.NoError(t, err)
	assert.Equal(t, 8.0, c.Gears[0].TopOuts[0].StartFt)
	assert.Equal(t, 1.0, c.Gears[0].TopOuts[1].StartFt)
	_, err = b.Chart(ctx, "bluestem", []float64{0, -1, math.NaN()}, "", "")
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"start_ft", "start_ft"}, places(e))
}

func TestChart_DrawingsHaveATitleAndADescription(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	ctx := context.Background()
	for _, sled := range []string{"bluestem", "fescue", "timothy", "brome", "sedge"} {
		for _, style := range []plotting.Style{{Theme: plotting.Light, Units: fleet.InFeet},
			{Theme: plotting.Dark, Units: fleet.InMeters}} {
			svg, revision, err := b.DrawChart(ctx, sled, "", style)
			require.NoError(t, err)
			requireXML(t, svg)
			assert.EqualValues(t, 16, revision)
		}
	}
	_, _, err := b.DrawChart(ctx, "nobody", "", plotting.Style{})
	assert.True(t, isKind(err, fleet.NotFound))
	before, _, err := b.DrawChart(ctx, "bluestem", "2001-05-09", plotting.Style{})
	require.NoError(t, err)
	assert.Contains(t, string(before), "Nothing is known yet about where Bluestem tops out.")
	_, _, err = b.DrawChart(ctx, "bluestem", "2001-05-32", plotting.Style{})
	assert.True(t, isKind(err, fleet.Invalid))
	svg, _, err := b.DrawEquivalents(ctx, Question{Sled: "bluestem", Gear: "B", On: []string{"fescue"}},
		plotting.Style{})
	require.NoError(t, err)
	requireXML(t, svg)
}

func TestChart_DrawingHoldsLinesAndReadings(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	reason := "wrong gear"
	aside := addReading(t, b, "bluestem", readingOf("C", 2, 211))
	write(t, b, func(w *Writer) error { _, err := w.SetAside(aside.ID, &reason); return err })
	snap, err := b.current(context.Background())
	require.NoError(t, err)
	d := snap.sledState("bluestem").drawing(fleet.InFeet)
	require.Len(t, d.Gears, 3)
	assert.Len(t, d.Gears[0].Points, 3)
	assert.Equal(t, []plotting.ReadingPoint{{StartFt: 0, DistanceFt: 262},
		{StartFt: 2, DistanceFt: 211, SetAside: true}}, d.Gears[2].Points)
	for _, g := range d.Gears {
		require.GreaterOrEqual(t, len(g.Line), chartSteps)
		assert.Equal(t, 0.0, g.Line[0].StartFt)
		assert.InDelta(t, minDrawnFt, g.Line[len(g.Line)-1].StartFt, 1e-9,
			"one and a half times the last start position of 2 ft would be less")
		for i := 1; i < len(g.Line); i++ {
			assert.Greater(t, g.Line[i].StartFt, g.Line[i-1].StartFt)
			assert.LessOrEqual(t, g.Line[i].TopOutFt, g.Line[i-1].TopOutFt)
		}
	}
	assert.Contains(t, d.Description, "gear A at 30")
	assert.Contains(t, d.Description, "ft from full back")
	assert.Contains(t, snap.sledState("bluestem").drawing(fleet.InMeters).Description, "\u00a0m from full back")
	without := snap.sledState("timothy").drawing(fleet.InFeet)
	assert.Len(t, without.Gears[0].Line, 1, "one start position measured and no travel")
	nothing := snap.sledState("sedge").drawing(fleet.InFeet)
	assert.Empty(t, nothing.Gears[0].Line)
	assert.Contains(t, nothing.Description, "Nothing is known")
}

func requireXML(t *testing.T, svg []byte) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(svg)))
	names := map[string]bool{}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if start, ok := token.(xml.StartElement); ok {
			names[start.Name.Local] = true
		}
	}
	for _, want := range []string{"svg", "title", "desc"} {
		assert.True(t, names[want], want)
	}
}
