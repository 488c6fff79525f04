package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

func TestUnlikely_AsksInBothUnits(t *testing.T) {
	t.Parallel()
	ladder := calibrate.Range{LowFt: 175, HighFt: 393, ExpectedFt: 262, FastestFt: 221.4, SlowestFt: 279.8}
	for _, c := range []struct {
		r    fleet.Reading
		in   calibrate.Range
		want string
	}{
		{fleet.Reading{Gear: "B", DistanceFt: 2620}, ladder,
			"2620 ft (798.6 m)? This sled's slowest gear tops out near 280 ft (85.3 m)."},
		{fleet.Reading{Gear: "B", DistanceFt: 25.4}, ladder,
			"25.4 ft (7.7 m)? This sled's fastest gear tops out near 221 ft (67.4 m)."},
		{
			fleet.Reading{Gear: "B", DistanceFt: 2620, StartFt: 4}, ladder,
			"2620 ft (798.6 m)? This sled's slowest gear tops out near 280 ft (85.3 m) from 4 ft (1.2 m) forward.",
		},
		{
			fleet.Reading{Gear: "E", DistanceFt: 262}, calibrate.Range{LowFt: 80, HighFt: 180, ExpectedFt: 120,
				Own: true, FastestFt: 120, SlowestFt: 280},
			"262 ft (79.9 m)? Gear E tops out near 120 ft (36.6 m).",
		},
		{fleet.Reading{Gear: "B", DistanceFt: 2620}, calibrate.Range{LowFt: 50, HighFt: 1000},
			"2620 ft (798.6 m)? A box drive tops out at 50 to 1000 ft (15.2 to 304.8 m)."},
		{
			fleet.Reading{Gear: "B", DistanceFt: 12, Ended: fleet.StoppedShort}, ladder,
			"12 ft (3.7 m)? By the way its box moved, a pull in gear B comes about 262 ft (79.9 m).",
		},
		{
			fleet.Reading{Gear: "B", DistanceFt: 100, Ended: fleet.PastTop}, ladder,
			"100 ft (30.5 m)? Gear B tops out near 262 ft (79.9 m); a pull that went past the top ended farther on.",
		},
	} {
		assert.Equal(t, c.want, Unlikely(c.r, c.in))
	}
}

// Whatever the numbers, no question reads "0 ft" or has a number without an end.
func TestUnlikely_HoldsNoNumberThatSaysNothing(t *testing.T) {
	t.Parallel()
	for _, wild := range []float64{0, 1e-300, 0.2, math.Inf(1), math.NaN(), 1e300} {
		for _, ended := range []fleet.Ended{fleet.ToppedOut, fleet.StoppedShort, fleet.PastTop, fleet.Stated} {
			for _, expected := range []float64{0, wild, 200} {
				in := calibrate.Range{LowFt: wild, HighFt: wild, ExpectedFt: expected, FastestFt: wild, SlowestFt: wild}
				assert.NotRegexp(t, `\b0 ft|Inf|NaN|[0-9]{7}`,
					Unlikely(fleet.Reading{Gear: "B", DistanceFt: 7, Ended: ended}, in))
			}
		}
	}
}

func TestEntry_AsksAboutDatesAndRepeatedRows(t *testing.T) {
	t.Parallel()
	r := fleet.Reading{Gear: "3 low", StartFt: 4, DistanceFt: 262.5, MeasuredOn: "2025-07-15", Day: "Harvest Pull"}
	assert.Equal(t, "Jul 15, 2025? It is more than a year ago, and this sled has no other reading within 30 days of "+
		"it. Is the year right?",
		plain(OddDate(r, 30)))
	assert.Equal(t, "is stored already: 262.5 ft (80 m) in gear 3 low from 4 ft (1.2 m) forward on Harvest Pull",
		Repeated(r))
}
