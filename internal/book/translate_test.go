package book

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// usual is a fleet measured as crews do (common practice, no source): a few test days, gears 10 to 20 ft apart.
var usual = calibratetest.Spec{Sleds: 4, Gears: 7, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 3, MostDays: 4,
	Starts: []float64{4}, TapeSD: 0.1}

// storeDrawn stores drawn sleds with their readings.
func storeDrawn(t testing.TB, b *Book, sleds []calibratetest.Sled) {
	t.Helper()
	write(t, b, func(w *Writer) error {
		for _, s := range sleds {
			s.Sled.Gears = append([]fleet.Gear(nil), s.Sled.Gears...)
			stored, err := w.AddSled(s.Sled)
			if err != nil {
				return err
			}
			for _, r := range s.Readings {
				if _, err := w.AddReading(stored.ID, fleet.Reading{
					Gear: s.LabelOf(r), StartFt: r.StartFt, DistanceFt: r.DistanceFt, Ended: r.Ended, EndFt: r.EndFt,
					MeasuredOn: r.MeasuredOn, Day: r.Day,
				}, Answers{}); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// openDrawn is a book of a drawn fleet, on the first of June 2026 at noon.
func openDrawn(t testing.TB, seed uint64, spec calibratetest.Spec) (*Book, *at, []calibratetest.Sled) {
	t.Helper()
	b, clock := openBook(t)
	clock.now = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	sleds := calibratetest.Draw(rand.New(rand.NewPCG(seed, 4)), spec)
	storeDrawn(t, b, sleds)
	return b, clock, sleds
}

func classOf(name, sled, gear string, start float64) fleet.Class {
	return fleet.Class{Name: name, Setting: homeOf(sled, gear, start)}
}

func distanceOf(topOut float64) fleet.HomeSetting {
	return fleet.HomeSetting{StoodFor: fleet.StoodFor{TopOutFt: ft(topOut)}}
}

func homeOf(sled, gear string, start float64) fleet.HomeSetting {
	return fleet.HomeSetting{Setting: fleet.Setting{Sled: sled, Gear: gear, StartFt: start}}
}

func addClass(t testing.TB, b *Book, c fleet.Class) (stored fleet.Class) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.AddClass(c)
		return err
	})
	return stored
}

func addShow(t testing.TB, b *Book, s fleet.Show) (stored fleet.Show) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.AddShow(s)
		return err
	})
	return stored
}

func sheetOf(t testing.TB, b *Book, show, sled string) Sheet {
	t.Helper()
	sheet, err := b.Sheet(context.Background(), show, sled, false)
	require.NoError(t, err)
	return sheet
}

func anyClass(fleet.Class) error { return nil }

func anyShow(fleet.Show) error { return nil }

// openLargeShow has a show of 20 classes on a fleet of 20 sleds; every second class has a pull-off.
func openLargeShow(t testing.TB) *Book {
	t.Helper()
	spec := usual
	spec.Sleds = 20
	b, _, _ := openDrawn(t, 1, spec)
	show := fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Place: "Millbrook", Sled: "sled-3"}
	write(t, b, func(w *Writer) error {
		for i := range 20 {
			c := classOf(fmt.Sprintf("Class %d", i), fmt.Sprintf("sled-%d", i%5), fmt.Sprint(1+i%7), float64(i%3)*2)
			if i%2 == 0 {
				off := homeOf(c.Setting.Sled, fmt.Sprint(1+(i+1)%7), 0)
				c.PullOff = &off
			}
			stored, err := w.AddClass(c)
			if err != nil {
				return err
			}
			show.Classes = append(show.Classes, stored.ID)
		}
		earlier := show
		earlier.Name, earlier.Date = "Spring Pull", "2026-05-02"
		if _, err := w.AddShow(earlier); err != nil {
			return err
		}
		_, err := w.AddShow(show)
		return err
	})
	return b
}

// The sheet of a 20-class show on a 20-sled fleet; it is to take under 5 ms.
func BenchmarkSheet(b *testing.B) {
	book := openLargeShow(b)
	sheetOf(b, book, "harvest-pull-2026-07-18", "") // fits the charts
	for b.Loop() {
		sheetOf(b, book, "harvest-pull-2026-07-18", "")
	}
}

// Ranking 20 sleds for a 20-class show; it is to take under 20 ms.
func BenchmarkCandidates(b *testing.B) {
	book := openLargeShow(b)
	for b.Loop() {
		c, err := book.Candidates(context.Background(), "harvest-pull-2026-07-18")
		require.NoError(b, err)
		require.Len(b, c.Items, 20)
	}
}

// On the sled it is used to, a class sets what it always set, and surely so; and on any sled it means the same top-out
// when its own sled is measured better.
func TestClass_MeansTheTopOutItStoodFor(t *testing.T) {
	t.Parallel()
	b, _, _ := openDrawn(t, 2, usual)
	ctx := context.Background()
	c := addClass(t, b, classOf("Farm 9500", "sled-0", "4", 4))
	require.NotNil(t, c.Setting.TopOutFt)
	show := addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "sled-1", Classes: []string{c.ID}})
	home := sheetOf(t, b, show.ID, "sled-0").Rows[0]
	require.NotNil(t, home.Tonight.Nearest)
	assert.Equal(t, "4", home.Tonight.Nearest.Gear)
	assert.Equal(t, 4.0, home.Tonight.Nearest.StartFt)
	assert.Equal(t, match.Clear, home.Tonight.Nearest.Confidence)
	assert.Zero(t, home.Tonight.Nearest.DifferenceFt)
	before := sheetOf(t, b, show.ID, "").Rows[0]
	assert.InDelta(t, *c.Setting.TopOutFt, before.Tonight.Nearest.TopOutFt-before.Tonight.Nearest.DifferenceFt, 1e-9)

	for range 6 { // its gear is measured again, 12 ft longer
		addReading(t, b, "sled-0", readingOf("4", 4, *c.Setting.TopOutFt+12))
	}
	v, err := b.Class(ctx, c.ID)
	require.NoError(t, err)
	assert.Equal(t, c, v.Class)
	require.NotNil(t, v.TodayFt)
	assert.Greater(t, *v.TodayFt, *c.Setting.TopOutFt+1)
	after := sheetOf(t, b, show.ID, "").Rows[0]
	assert.InDelta(t, *c.Setting.TopOutFt, after.Tonight.Nearest.TopOutFt-after.Tonight.Nearest.DifferenceFt, 1e-9,
		"it means what it meant")
	assert.Equal(t, before.Tonight.Nearest.Gear, after.Tonight.Nearest.Gear)
	moved := sheetOf(t, b, show.ID, "sled-0").Rows[0]
	assert.InDelta(t, *v.TodayFt-*c.Setting.TopOutFt, moved.Tonight.Gears[gearAt(moved.Tonight, "4")].DifferenceFt,
		1e-9,
		"on its own sled too: what was set so far is known to top out elsewhere")
	assert.Equal(t, before.Tonight.Nearest.Gear, moved.Booked.Nearest.Gear)

	views, next, err := b.Classes(ctx, "", 10)
	require.NoError(t, err)
	assert.Empty(t, next)
	assert.Equal(t, []ClassView{v}, views)
}

func gearAt(a match.Answer, label string) int {
	for i, g := range a.Gears {
		if g.Gear == label {
			return i
		}
	}
	return -1
}

// A class noted before its sled was measured goes by the chart as it is, for want of anything better.
func TestClass_OfAnUnmeasuredSled(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	c := addClass(t, b, classOf("Farm 9500", "sedge", "X", 0))
	assert.Nil(t, c.Setting.TopOutFt)
	assert.Nil(t, c.Setting.PlusMinusFt)
	assert.Equal(t, "2026-05-09", c.Setting.NotedOn)
	show := addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "bluestem",
		Classes: []string{c.ID}})
	row := sheetOf(t, b, show.ID, "").Rows[0]
	assert.Nil(t, row.Tonight.Nearest)
	assert.Equal(t, match.AskedUnknown, row.Tonight.Because.Reason)
	assert.Equal(t, "Sedge", row.Tonight.Because.Sled)
	assert.Equal(t, "Sedge", row.HomeSledName)
	addReading(t, b, "sedge", readingOf("X", 0, 281))
	row = sheetOf(t, b, show.ID, "").Rows[0]
	require.NotNil(t, row.Tonight.Nearest)
	assert.Equal(t, "B", row.Tonight.Nearest.Gear)
	assert.InDelta(t, 281, *row.Class.TodayFt, 1)
	assert.Nil(t, row.Class.Setting.TopOutFt)
}
