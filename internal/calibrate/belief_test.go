package calibrate_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// believed is where a notebook expects a reading, which it may hold itself.
func believed(n *calibrate.Notebook, r fleet.Figure) calibrate.Range {
	others := *n
	others.Readings = slices.DeleteFunc(slices.Clone(n.Readings), func(o fleet.Figure) bool { return o.ID == r.ID })
	b := calibrate.BeliefOf(others)
	return b.Range(b.Learn(&r))
}

func TestBelief_AsksAboutWhatLiesTooFarOff(t *testing.T) {
	t.Parallel()
	travel := 30.0
	reading := func(gear string, start, distance float64, change ...func(*fleet.Figure)) fleet.Figure {
		n := sled(travel, gear)
		note(n, gear, start, distance, change...)
		n.Readings[0].ID = "new"
		return n.Readings[0]
	}
	bare := sled(travel, "A", "B", "C")
	one := sled(travel, "A", "B", "C")
	note(one, "A", 0, 250)
	read := sled(travel, "A", "B", "C")
	note(read, "A", 0, 250)
	note(read, "A", 6, 200)
	note(read, "B", 0, 230)
	torn := sled(travel, "A", "B", "C")
	note(torn, "A", 0, 262)
	note(torn, "A", 0, 2620)
	note(torn, "B", 0, 240)
	for _, c := range []struct {
		name     string
		n        *calibrate.Notebook
		r        fleet.Figure
		low, top float64
	}{
		{"on a bare sled from full back", bare, reading("A", 0, 250), 50, 1000},
		{"on a bare sled from forward", bare, reading("A", 6, 250), 40, 800},
		{"in a gear with one reading, by the other gears", one, reading("B", 0, 250), 125, 500},
		{"in a gear with readings, by their median", read, reading("A", 0, 250), 250 / 1.5, 375},
		{"from another start, by the way that is left", read, reading("A", 12, 150), 100, 225},
		{"in a gear without any, by the other gears' median", read, reading("C", 0, 240), math.Sqrt(250*230) / 2,
			math.Sqrt(250*230) * 2},
		{"a pull that stopped short, by the way of its box", read, reading("A", 0, 125, short(15)), 250 / 3.0, 187.5},
		{"a pull past the top, below alone", read, reading("A", 0, 300, pastTop), 250 / 1.5, math.Inf(1)},
		{"a stated figure like one that topped out", read, reading("A", 0, 300, stated("its owner", 8)), 250 / 1.5,
			375},
		{"in a gear whose readings contradict each other, by the other gears", torn, torn.Readings[0], 120, 480},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			in := believed(c.n, c.r)
			assert.InDelta(t, c.low, in.LowFt, 1e-9)
			if math.IsInf(c.top, 1) {
				assert.True(t, math.IsInf(in.HighFt, 1))
			} else {
				assert.InDelta(t, c.top, in.HighFt, 1e-9)
			}
			assert.True(t, in.Holds(c.low))
			assert.False(t, in.Holds(c.low-0.1))
			assert.False(t, in.Holds(c.top+0.1) && !math.IsInf(c.top, 1))
		})
	}
	own := believed(one, one.Readings[0])
	assert.Equal(t, calibrate.Range{LowFt: 50, HighFt: 1000}, own, "a reading is not compared with itself")
	untaped := sled(0, "A", "B")
	note(untaped, "B", 0, 240)
	in := believed(untaped, reading("A", 6, 200))
	assert.Equal(t, []float64{60, 480}, []float64{in.LowFt, in.HighFt},
		"a start leaves half of an unknown travel at least")

	ends := believed(read, reading("A", 12, 150))
	assert.Equal(t, []float64{138, 150}, []float64{ends.FastestFt, ends.SlowestFt},
		"the other gears, by the same way of the box")
	assert.True(t, ends.Own)
}

// The rows of one request vouch for each other as those that are stored do, and none for itself; one that was confirmed
// vouches however far off it is.
func TestBelief_LearnsFromARequestUnderWay(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	b := calibrate.BeliefOf(*sled(30, "A", "B"))
	var claims []calibrate.Claim
	for i, ft := range []float64{250, 252, 2520} {
		note(n, "A", 0, ft)
		claims = append(claims, b.Learn(&n.Readings[i]))
	}
	assert.True(t, b.Range(claims[0]).Holds(250))
	in := b.Range(claims[2])
	assert.False(t, in.Holds(2520))
	assert.InDelta(t, math.Sqrt(250*252), in.ExpectedFt, 1e-9)
	note(n, "A", 0, 30)
	assert.False(t, believed(sled(30, "A", "B"), n.Readings[3]).Holds(30))
	for i := range 2 {
		small := sled(30, "A", "B")
		for range 2 + i {
			note(small, "A", 0, 30, func(r *fleet.Figure) { r.Confirmed = true })
		}
		assert.True(t, believed(small, n.Readings[3]).Holds(30))
	}
}

// What no sled does today is no mistake where it was usual before the parts were changed.
func TestBelief_GoesByThePartsOfItsDay(t *testing.T) {
	t.Parallel()
	n := sled(30, "A")
	n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: []float64{math.Log(0.1)}, TravelFt: 30}}
	note(n, "A", 0, 300, func(r *fleet.Figure) { r.MeasuredOn = "2026-05-01" })
	in := believed(n, n.Readings[0])
	assert.InDelta(t, 50, in.LowFt, 1e-9)
	assert.InDelta(t, 1000, in.HighFt, 1e-9)
}
