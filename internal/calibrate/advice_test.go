package calibrate_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
)

func advise(n *calibrate.Notebook, questions ...calibrate.Question) []calibrate.Advice {
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	return calibrate.Advise(*n, v, questions, 5)
}

func TestAdvice_PutsTheLeastKnownFirst(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B", "C")
	for _, day := range []string{"2026-05-09", "2026-05-16"} {
		note(n, "A", 0, 240, on(day))
		note(n, "B", 0, 225, on(day))
	}
	note(n, "B", 0, 225)
	got := advise(n)
	require.NotEmpty(t, got)
	assert.Equal(t, 2, got[0].Gear, "nothing is known of C")
	assert.Nil(t, got[0].Now)
	assert.Positive(t, got[0].Then)
	last := math.Inf(1)
	for _, a := range got {
		assert.Less(t, a.MeanThen, a.MeanNow)
		assert.LessOrEqual(t, a.MeanNow, last+1e-9)
		last = a.MeanThen
		if a.Now != nil {
			assert.Less(t, a.Then, *a.Now)
		}
	}
}

// A gear of which nothing is known comes first on a sled of any length.
func TestAdvice_OnSledsFarFromTheUsual(t *testing.T) {
	t.Parallel()
	for _, full := range []float64{45, 60, 240, 600} {
		n := sled(30, "A", "B", "C", "D")
		for _, day := range []string{"2026-05-09", "2026-05-16"} {
			for gear, share := range map[string]float64{"A": 0.95, "B": 1, "C": 1.05} {
				note(n, gear, 0, full*share, on(day), confirmed)
			}
		}
		got := advise(n)
		require.NotEmpty(t, got, "%g ft", full)
		assert.Equal(t, 3, got[0].Gear, "%g ft", full)
	}
}

// What the advice promises is what measuring brings, whatever the readings turn out to be.
func TestAdvice_NarrowsTheIntervalAsItSays(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	note(n, "B", 0, 225)
	note(n, "B", 0, 226, on("2026-05-16"))
	first := advise(n)[0]
	assert.Equal(t, 0, first.Gear, "A rests on one day")
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	gear := n.Sled.Gears[first.Gear].Label
	note(n, gear, first.StartFt, 241, on("2026-06-20"))
	e := calibrate.Fit(*n, v).At(first.Gear, first.StartFt)
	assert.InDelta(t, first.Then, (e.HighFt-e.LowFt)/2, 0.05)
}

func TestAdvice_ForTheQuestionsOfOneEvening(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	note(n, "B", 0, 225)
	for _, a := range advise(n, calibrate.Question{Gear: 1, StartFt: 0}) {
		assert.Equal(t, 1, a.Gear, "nobody asks about A tonight, and B itself says most of B")
	}
	assert.Empty(t, calibrate.Advise(*n,
		calibrate.Variances{Day: 1e-12, Reading: 1e-12, DayDF: 9, ReadingDF: 9, AssumedReading: 1e-12}, nil, 0))
}

// A reading that counts nowhere until somebody answers is as good as set aside.
func TestAdvice_IsThatOfTheReadingsThatCount(t *testing.T) {
	t.Parallel()
	n := oneSled(40)
	for i := range n.Readings {
		n.Readings[i].ID = fmt.Sprint("r", i)
	}
	n.Readings[7].DistanceFt /= 10 // a lost decimal point
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	require.Equal(t, map[string]bool{"r7": true}, calibrate.Fit(*n, v).LeftOut())
	without := *n
	without.Readings = slices.Clone(n.Readings)
	without.Readings[7].SetAside = true
	assert.Equal(t, calibrate.Advise(without, v, nil, 5), calibrate.Advise(*n, v, nil, 5))
}
