package calibrate_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// sensible asks the chart everything and finds no number that is not one.
func sensible(t *testing.T, n *calibrate.Notebook) *calibrate.Chart {
	t.Helper()
	rep, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	require.True(t, v.Day > 0 && v.Reading > 0 && !math.IsInf(v.Day, 0) && !math.IsInf(v.Reading, 0), "%+v", v)
	require.False(t, math.IsNaN(rep.UsedDayPct) || math.IsNaN(rep.UsedReadingPct))
	for _, m := range []*calibrate.MeasuredRepeatability{rep.Measured, rep.Pooled} {
		require.False(t, m != nil && math.IsNaN(m.DayPct+m.ReadingPct), "%+v", m)
	}
	c := calibrate.Fit(*n, v)
	travel := math.Inf(1)
	if in := c.TravelFt(); in != nil {
		travel = *in // the taped one or, where that disagrees, the one the readings imply
	}
	for g := range n.Sled.Gears {
		for _, s := range append(c.Starts(), 0, 1, 5, 29.99, 30, 200) {
			e := c.At(g, s)
			if !e.Known() {
				continue
			}
			for _, x := range []float64{e.TopOutFt, e.LowFt, e.HighFt} {
				require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "%+v", e)
			}
			require.LessOrEqual(t, e.LowFt, e.TopOutFt)
			require.LessOrEqual(t, e.TopOutFt, e.HighFt)
			require.Less(t, s, travel)
			if share, ok := c.BoxShare(g, s, e.TopOutFt/2); ok {
				require.True(t, share >= 0 && share <= 1, "%g", share)
			}
			if back, ok := c.StartFor(g, e.TopOutFt); ok {
				require.False(t, math.IsNaN(back) || back < 0)
			}
		}
		if b := c.BoxSpeed(g).BoxSpeed; b != nil {
			require.False(t, math.IsNaN(*b) || math.IsInf(*b, 0))
		}
	}
	for _, r := range n.Readings {
		night := c.On(r.Day).Night()
		require.False(t, math.IsNaN(night.Offset+night.SD) || math.IsInf(night.Offset, 0), "%+v", night)
	}
	if i := c.ImpliedTravel(); i != nil {
		require.False(t, math.IsNaN(i.TravelFt+i.LowFt+i.HighFt) || math.IsInf(i.HighFt, 0), "%+v", i)
	}
	for _, k := range c.Checks(time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)) {
		for _, x := range []float64{k.DistanceFt, k.ExpectedFt, k.LowFt, k.HighFt, k.DifferenceFt, k.DifferencePct} {
			require.False(t, math.IsNaN(x), "%+v", k)
		}
	}
	return c
}

func TestNotebook_ThatIsDegenerateGivesAChartOrNone(t *testing.T) {
	t.Parallel()
	for name, build := range map[string]func() *calibrate.Notebook{
		"no reading at all": func() *calibrate.Notebook { return sled(30, "A") },
		"one reading": func() *calibrate.Notebook {
			n := sled(30, "A")
			note(n, "A", 0, 240)
			return n
		},
		"identical values": func() *calibrate.Notebook {
			n := sled(30, "A", "B")
			for range 5 {
				note(n, "A", 0, 240)
				note(n, "B", 0, 240, on("2026-05-10"))
			}
			return n
		},
		"distances from 1 to 10,000 ft": func() *calibrate.Notebook {
			n := sled(30, "A", "B")
			for i, d := range []float64{1, 10, 100, 1000, 10000} {
				note(n, "A", float64(5*i), d, on(fmt.Sprintf("2026-05-%02d", i+1)))
				note(n, "B", float64(5*i), 10001-d)
			}
			return n
		},
		"a day a reading": func() *calibrate.Notebook {
			n := sled(30, "A")
			for i := range 9 {
				note(n, "A", 0, 240+float64(i), on(fmt.Sprintf("2026-05-%02d", i+1)))
			}
			return n
		},
		"repeats that agree to the foot": func() *calibrate.Notebook {
			n := sled(0, "A")
			note(n, "A", 4, 170)
			note(n, "A", 4, 170, on("2026-05-16"))
			note(n, "A", 4, 170, on("2026-05-16"))
			note(n, "A", 0, 203, on("2026-05-16"))
			return n
		},
		"no residual at all": func() *calibrate.Notebook {
			n := sled(30, "A", "B")
			for _, s := range []float64{0, 3, 6} {
				note(n, "A", s, 240*(1-s/30))
				note(n, "B", s, 200*(1-s/30), on("2026-05-16"))
			}
			return n
		},
		"only readings that stopped short": func() *calibrate.Notebook {
			n := sled(30, "A")
			note(n, "A", 0, 100, short(20))
			note(n, "A", 5, 90, short(24), on("2026-05-10"))
			return n
		},
		"only readings past the top": func() *calibrate.Notebook {
			n := sled(30, "A")
			note(n, "A", 0, 300, pastTop)
			return n
		},
		"later from further forward": func() *calibrate.Notebook {
			n := sled(30, "A")
			for _, d := range []string{"2026-05-09", "2026-05-16", "2026-05-23"} {
				note(n, "A", 0, 200, on(d))
				note(n, "A", 6, 240, on(d))
				note(n, "A", 12, 260, on(d))
			}
			return n
		},
		"a start a hair before the top": func() *calibrate.Notebook {
			n := sled(30, "A")
			note(n, "A", 0, 240)
			note(n, "A", 29.999999, 0.001)
			return n
		},
		"a distance a hair beyond the take-up": func() *calibrate.Notebook {
			n := sled(30, "A")
			n.Sled.TakeUpFt = 4
			note(n, "A", 0, math.Nextafter(4, 5))
			note(n, "A", 0, 240)
			return n
		},
		"stopped short among measured starts of a sled without travel": func() *calibrate.Notebook {
			n := sled(0, "A", "B")
			note(n, "A", 0, 240)
			note(n, "A", 10, 160)
			note(n, "A", 20, 80)
			note(n, "B", 2, 100, short(18))
			return n
		},
		"a gear that only stopped short beside a shape with a flat piece": func() *calibrate.Notebook {
			n := sled(0, "A", "B")
			note(n, "A", 0, 240)
			note(n, "A", 10, 240)
			note(n, "A", 20, 240)
			note(n, "B", 2, 100, short(18))
			return n
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			sensible(t, build())
		})
	}
}

// Such a reading bends the shape until nothing is left of the way that its box moved.
func TestNotebook_WithAStoppedShortReadingMisnotedKeepsItsGears(t *testing.T) {
	t.Parallel()
	n := sled(0, "A", "B", "C")
	note(n, "B", 4, 5, short(8)) // about 35 ft would be right
	note(n, "A", 4, 248)
	note(n, "A", 4, 232, on("2026-05-11"))
	note(n, "C", 12, 179, on("2026-05-10"))
	note(n, "B", 0, 253)
	note(n, "C", 8, 188)
	note(n, "A", 0, 229, on("2026-05-10"))
	note(n, "A", 12, 181)
	c := sensible(t, n)
	for g := range n.Sled.Gears {
		assert.True(t, c.At(g, 0).Known(), "gear %d", g)
	}
	unused := only(c.Checks(time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)), fleet.ReadingUnused)
	require.Len(t, unused, 1)
	assert.Equal(t, "r00", unused[0].Reading)
}

// FuzzNotebook builds a notebook from bytes: a travel, then readings of eight bytes each.
func FuzzNotebook(f *testing.F) {
	f.Add([]byte{30, 0, 240, 0, 0, 0, 1, 0, 0, 6, 192, 0, 0, 0, 1, 0, 0})
	f.Add([]byte{0, 0, 240, 0, 0, 0, 1, 0, 0, 6, 192, 0, 0, 1, 2, 12, 1})
	f.Add([]byte{33, 1, 1, 39, 16, 1, 3, 20, 1, 9, 255, 255, 2, 2, 1, 8, 0, 3, 9, 3, 0, 3, 1, 1, 9})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 || len(data) > 400 {
			return
		}
		n := sled(float64(data[0]%60), "A", "B", "C")
		if data[0]%60 < fleet.MinTravelFt {
			n = sled(0, "A", "B", "C")
		}
		n.Sled.TakeUpFt = float64(data[0] / 60)
		for b := data[1:]; len(b) >= 8; b = b[8:] {
			gear := string(rune('A' + b[4]%3))
			start, distance := float64(b[0])/4, float64(binary.BigEndian.Uint16(b[1:]))/10+0.01
			day := fmt.Sprintf("2026-05-%02d", 1+b[5]%5)
			var kind func(*fleet.Figure)
			switch b[3] % 5 {
			case 0, 1:
				kind = func(*fleet.Figure) {}
			case 2:
				kind = short(start + float64(b[6])/5)
			case 3:
				kind = pastTop
			case 4:
				kind = stated("the owner", float64(b[7])+0.5)
			}
			note(n, gear, start, distance, on(day), kind)
			last := n.Readings[len(n.Readings)-1]
			asNoted := fleet.Reading{
				Gear: gear, GearID: last.GearID, StartFt: start, DistanceFt: distance, Ended: last.Ended,
				EndFt: last.EndFt, MeasuredOn: day, Day: day,
			}
			if last.Word != nil {
				asNoted.By, asNoted.PlusMinusFt = last.Word.By, &last.Word.PlusMinusFt
			}
			asNoted.Tidy()
			if asNoted.CheckOn(n.Sled, time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)).Any() {
				n.Readings = n.Readings[:len(n.Readings)-1] // the rules keep such a reading out of any notebook
			}
		}
		sensible(t, n)
	})
}

func TestFleet_ThatIsEmptyHasTheAssumedSpreads(t *testing.T) {
	t.Parallel()
	rep, v := calibrate.Pool(calibrate.Share{}, assumed)
	assert.Nil(t, rep.Measured)
	assert.InEpsilon(t, 1.0, rep.UsedDayPct, 0.01)
	assert.InEpsilon(t, 0.7, rep.UsedReadingPct, 0.01)
	assert.Equal(t, 4.0, v.DayDF)
}
