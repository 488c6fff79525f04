package plotting

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func drawnLoads(t *testing.T, l Loads, s Style) string {
	t.Helper()
	return string(DrawLoads(l, s))
}

func TestLoads_NameEachLineTheGapAndTheFinish(t *testing.T) {
	t.Parallel()
	svg := drawnLoads(t, twoPans(), Style{})
	for _, text := range []string{"Bluestem, C: 16,000 lb in the box", "Fescue, 2: 14,000 lb in the box",
		"the difference", "finish",
		"On the pan, lb", "Distance down the track, feet"} {
		assert.Contains(t, svg, ">"+text+"<")
	}
	alone := twoPans()
	alone.Lines, alone.FinishFt = alone.Lines[:1], 0
	svg = drawnLoads(t, alone, Style{})
	assert.NotContains(t, svg, "the difference")
	assert.NotContains(t, svg, ">finish<")
}

func TestLoads_AreInTheUnitsAskedFor(t *testing.T) {
	t.Parallel()
	svg := drawnLoads(t, onePan(), Style{Units: fleet.InMeters})
	assert.Contains(t, svg, ">On the pan, kg<")
	assert.Contains(t, svg, ">Box, meters from full back<")
	assert.Contains(t, svg, ">12,000<", "27,760 lb are 12,592 kg")
	assert.NotContains(t, svg, ">25,000<")
	assert.Contains(t, svg, ">set aside<")
}

func TestLoads_LeaveOutWhatCannotBeDrawn(t *testing.T) {
	t.Parallel()
	l := twoPans()
	l.Lines[0].Line[2].Lb, l.Lines[0].Line[3].AtFt, l.FinishFt = math.NaN(), math.Inf(1), math.NaN()
	svg := drawnLoads(t, l, Style{})
	assert.NotContains(t, svg, "NaN")
	assert.NotContains(t, svg, "Inf")
	assert.Equal(t, 1, strings.Count(drawnLoads(t, Loads{}, Style{}), "There is nothing to draw yet."))
}

func TestLoads_KeepTheGearAndTheWeightOfALongName(t *testing.T) {
	t.Parallel()
	l := twoPans()
	for i, ends := range []string{"1, C: 16,000 lb in the box", "2, 3: 14,000 lb in the box"} {
		l.Lines[i].Label = "Northern Plains Pullers Association No. " + ends
	}
	svg := drawnLoads(t, l, Style{})
	assert.Contains(t, svg, "…, C: 16,000 lb in the box<")
	assert.Contains(t, svg, "…, 3: 14,000 lb in the box<")
}

func TestLoads_SayWhyThereIsNone(t *testing.T) {
	t.Parallel()
	assert.Contains(t, drawnLoads(t, Loads{Nothing: "Nobody weighed it."}, Style{}), ">Nobody weighed it.<")
}
