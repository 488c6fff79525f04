package fleet

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

var weighedAt = time.Date(2026, 5, 10, 12, 0, 0, 0, time.UTC)

func weighing(change func(*Weighing)) Weighing {
	w := Weighing{WeighedOn: "2026-05-09", BoxAtFt: 15, InBoxLb: 12_000, PanLb: 18_700}
	change(&w)
	w.Tidy()
	return w
}

func TestWeighing_IsRefusedInWordsThatNameTheField(t *testing.T) {
	t.Parallel()
	travel := 30.0
	sled := Sled{Name: "Bluestem", TravelFt: &travel}
	for name, c := range map[string]struct {
		change func(*Weighing)
		at     string
		says   string
	}{
		"a date that is none": {func(w *Weighing) { w.WeighedOn = "soon" }, "weighed_on", "must be a date"},
		"a date to come": {func(w *Weighing) { w.WeighedOn = "2026-05-19" }, "weighed_on",
			"lies in the future"},
		"a box behind full back": {func(w *Weighing) { w.BoxAtFt = -1 }, "box_at_ft",
			"the box mark must be 0 to 200 ft (61 m)"},
		"a box past the top": {func(w *Weighing) { w.BoxAtFt = 32 }, "box_at_ft",
			"is at the top at 30 ft (9.1 m)"},
		"less than nothing in it": {func(w *Weighing) { w.InBoxLb = -2000 }, "in_box_lb",
			"must be 0 to 200000 lb (90718 kg)"},
		"no pan load":              {func(w *Weighing) { w.PanLb = 0 }, "pan_lb", "must be above 0"},
		"a load that is no number": {func(w *Weighing) { w.PanLb = math.Inf(1) }, "pan_lb", "must be above 0"},
		"less on it than was laid": {func(w *Weighing) { w.OnPanLb = 20_000 }, "on_pan_lb", "cannot carry less"},
		"a total of nothing":       {func(w *Weighing) { w.TotalLb = new(0.0) }, "total_lb", "must be above 0"},
		"less in all than on its pan": {func(w *Weighing) { w.TotalLb = new(4277.0) }, "total_lb",
			"cannot weigh less than its pan carries"},
		"a step beyond belief": {func(w *Weighing) { w.ScaleStepLb = new(5000.0) }, "scale_step_lb",
			"at most 1000 lb"},
		"a scale of several lines": {func(w *Weighing) { w.Scale = "truck\nscale" }, "scale",
			"must stand on one line"},
		"tires that weigh too much": {func(w *Weighing) { w.TandemLb = new(1e9) }, "tandem_lb", "must be 0 to"},
	} {
		w := weighing(c.change)
		faults := w.CheckOn(sled, weighedAt).List()
		if assert.Len(t, faults, 1, name) {
			assert.Equal(t, c.at, faults[0].At, name)
			assert.Contains(t, faults[0].Detail, c.says, name)
		}
	}
	w := weighing(func(w *Weighing) { w.BoxAtFt, w.TandemLb, w.TotalLb = 30.5, new(20_000.0), new(38_700.0) })
	assert.Empty(t, w.CheckOn(sled, weighedAt).List(), "pushed past the cut-off by hand")
}

func TestLoading_IsRefusedInWordsThatNameTheField(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		loading Loading
		at      string
		says    string
	}{
		"a tandem beyond belief": {Loading{TandemToPanFt: new(300.0)}, "loading.tandem_to_pan_ft",
			"must be 1 ft (0.3 m) to 100 ft"},
		"a ± of nothing": {Loading{EmptyBoxPlusMinusLb: new(60.0)}, "loading.empty_box_plus_minus_lb",
			"goes with empty_box_lb"},
		"blocks without weight": {Loading{Blocks: []Block{{0, 8}}}, "loading.blocks[0].lb", "above 0"},
		"no blocks of a size":   {Loading{Blocks: []Block{{2000, 0}}}, "loading.blocks[0].count", "1 to 100 blocks"},
		"a size twice": {Loading{Blocks: []Block{{2000, 1}, {2000, 2}}}, "loading.blocks[1].lb",
			"are listed already"},
		"a limit of nothing": {Loading{MostOnPanLb: new(0.0)}, "loading.most_on_pan_lb", "must be 1 lb"},
	} {
		var f Faults
		c.loading.Check(&f, "loading")
		if assert.Len(t, f.List(), 1, name) {
			assert.Equal(t, c.at, f.List()[0].At, name)
			assert.Contains(t, f.List()[0].Detail, c.says, name)
		}
	}
	var f Faults
	behind := Loading{TandemToPanFt: new(28.0), BoxAheadOfTandemFt: new(-2.75), BoxAheadOfTandemPlusMinusFt: new(0.1)}
	behind.Check(&f, "loading")
	assert.Empty(t, f.List(), "a box may start behind the tandem")
	assert.True(t, Loading{}.IsZero())
	assert.False(t, behind.IsZero())
}

// NIST Special Publication 811, Appendix B.8: 1 lb = 0.45359237 kg exactly.
func TestUnits_ConvertPoundsExactly(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.45359237, InMeters.FromPounds(1), 0)
	assert.InDelta(t, 2000, Pounds(InMeters.FromPounds(2000)), 1e-9)
	assert.InDelta(t, 2000, InFeet.FromPounds(2000), 0)
	assert.Equal(t, []string{"lb", "kg"}, []string{InFeet.Weight(), InMeters.Weight()})
}
