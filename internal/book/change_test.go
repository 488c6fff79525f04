package book

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

// ordinary is a drive line of ordinary parts: invented.
var ordinary = fleet.Driveline{SprocketTeeth: 12, ChainPitchIn: 1.75, AxleRatio: 4.1, FinalRatio: 5.29,
	TireCircumferenceFt: 10.5}

// partedSled has gears 1, 2, … of these ratios and a drive line.
func partedSled(name string, travel *float64, d fleet.Driveline, ratios ...float64) fleet.Sled {
	s := fleet.Sled{Name: name, TravelFt: travel, Driveline: d}
	for i := range ratios {
		s.Gears = append(s.Gears, fleet.Gear{Label: fmt.Sprint(i + 1), Ratio: &ratios[i]})
	}
	return s
}

func readingOn(date, gear string, start, distance float64) fleet.Reading {
	r := readingOf(gear, start, distance)
	r.MeasuredOn = date
	return r
}

func changeOn(date string, effect fleet.Effect) fleet.Change {
	return fleet.Change{MadeOn: date, What: "a new part", Effect: effect}
}

func finalChange(date string, ratio float64) fleet.Change {
	c := changeOn(date, fleet.ByRatio)
	c.Driveline.FinalRatio = ratio
	return c
}

func addChange(t require.TestingT, b *Book, sled string, c fleet.Change) (v ChangeView) {
	require.NoError(t, b.Write(context.Background(), manager, func(w *Writer) (err error) {
		v, err = w.AddChange(sled, c)
		return err
	}))
	return v
}

func removeChange(t require.TestingT, b *Book, id string) {
	require.NoError(t, b.Write(context.Background(), manager, func(w *Writer) error { return w.RemoveChange(id) }))
}

func correctSled(t testing.TB, b *Book, id string, s fleet.Sled) {
	t.Helper()
	write(t, b, func(w *Writer) error {
		_, err := w.CorrectSled(id, whatever, Correction{Sled: s})
		return err
	})
}

// chartOf is a chart without what moves with every write.
func chartOf(t require.TestingT, b *Book, sled, asOf string) Chart {
	c, err := b.Chart(context.Background(), sled, []float64{0, 2, 4}, asOf, "")
	require.NoError(t, err)
	c.Revision, c.Sled.Revision, c.Sled.UpdatedAt = 0, 0, time.Time{}
	return c
}

func openFuture(t testing.TB) *Book {
	b, clock := openBook(t)
	clock.now = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)
	return b
}

// Any change by ratio moves every way to the top by exactly that ratio, whichever parts are changed; the day before,
// the chart was as it had been; and taken back, it is as before to the last bit.
func TestChange_ByRatioMovesEveryTopOut(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		id := fmt.Sprint("sled-", n)
		ratio := rapid.Float64Range(0.5, 8)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 9))
		s := partedSled(fmt.Sprint("Sled ", n), ft(rapid.Float64Range(25, 40).Draw(t, "travel")), ordinary, 1.3, 1.15,
			1, 0.9)
		s.TakeUpFt = rapid.Float64Range(0, 3).Draw(t, "take-up")
		require.NoError(t, b.Write(context.Background(), manager, func(w *Writer) error {
			if _, err := w.AddSled(s); err != nil {
				return err
			}
			for day := range 3 {
				for g := range 3 { // the last gear from its ratio
					for _, start := range []float64{0, 4} {
						top := (300 - 20*float64(g)) * (1 - start/(*s.TravelFt)) * math.Exp(0.01*rng.NormFloat64())
						if _, err := w.AddReading(id, readingOn(fmt.Sprintf("2026-05-%02d", day+1), fmt.Sprint(g+1),
							start, top), Answers{}); err != nil {
							return err
						}
					}
				}
			}
			return nil
		}))
		before := chartOf(t, b, id, "")

		c := changeOn("2026-06-01", fleet.ByRatio)
		want := 1.0
		for i, p := range []struct {
			name  string
			draw  func()
			moves func() float64
		}{
			{"final", func() { c.Driveline.FinalRatio = ratio.Draw(t, "final") },
				func() float64 { return c.Driveline.FinalRatio / ordinary.FinalRatio }},
			{"axle", func() { c.Driveline.AxleRatio = ratio.Draw(t, "axle") },
				func() float64 { return ordinary.AxleRatio / c.Driveline.AxleRatio }},
			{"other", func() { c.Driveline.OtherRatio = ratio.Draw(t, "other") },
				func() float64 { return c.Driveline.OtherRatio }},
			{"tire", func() { c.Driveline.TireCircumferenceFt = rapid.Float64Range(5, 15).Draw(t, "tire") },
				func() float64 { return c.Driveline.TireCircumferenceFt / ordinary.TireCircumferenceFt }},
			{"teeth", func() { c.Driveline.SprocketTeeth = rapid.IntRange(8, 20).Draw(t, "teeth") },
				func() float64 { return 12 / float64(c.Driveline.SprocketTeeth) }},
			{"pitch", func() { c.Driveline.ChainPitchIn = rapid.Float64Range(1, 2.5).Draw(t, "pitch") },
				func() float64 { return 1.75 / c.Driveline.ChainPitchIn }},
		} {
			if i == n%6 || rapid.Bool().Draw(t, p.name+" changes") {
				p.draw()
				want *= p.moves()
			}
		}
		if math.Abs(want-1) < 1e-6 {
			return // nothing was changed, which is refused
		}
		v := addChange(t, b, id, c)
		require.NotNil(t, v.MovesPct)
		assert.InEpsilon(t, 100*(want-1), *v.MovesPct, 1e-6)
		after := chartOf(t, b, id, "")
		for g := range before.Gears {
			for i, was := range before.Gears[g].TopOuts {
				is := after.Gears[g].TopOuts[i]
				require.True(t, was.Known() && is.Known())
				assert.InEpsilon(t, want, (is.TopOutFt-s.TakeUpFt)/(was.TopOutFt-s.TakeUpFt), 1e-9)
			}
		}
		assert.Equal(t, fleet.Carried, after.Gears[0].TopOuts[0].Basis)
		earlier := chartOf(t, b, id, "2026-05-31")
		assert.Equal(t, before.Gears, earlier.Gears)
		removeChange(t, b, v.ID)
		assert.Equal(t, before, chartOf(t, b, id, ""), "taken back")
	})
}

// Whatever the order in which readings and changes are entered, and with a change in between that is taken back, the
// chart is the same to the last bit, today's and every earlier one.
func TestChange_EnteredLateIsAsIfEnteredInTime(t *testing.T) {
	t.Parallel()
	shorter := changeOn("2026-06-01", fleet.ByRatio)
	shorter.TravelFt, shorter.Gears = ft(33), []fleet.Gear{{Label: "2", Ratio: ft(1.1)}}
	lost := changeOn("2026-06-10", fleet.UnknownEffect)
	lost.Driveline.TireCircumferenceFt = 10.2
	sprocket := changeOn("2026-07-01", fleet.ByRatio)
	sprocket.Driveline.SprocketTeeth = 13
	var writes []func(w *Writer) error
	for _, c := range []fleet.Change{shorter, lost, sprocket, finalChange("2026-07-01", 5.9)} {
		writes = append(writes, func(w *Writer) error { _, err := w.AddChange("bluestem", c); return err })
	}
	for _, date := range []string{"2026-05-01", "2026-06-01", "2026-06-20", "2026-07-02"} {
		for i, gear := range []string{"1", "2", "3"} {
			if date == "2026-07-02" && i > 0 {
				continue
			}
			writes = append(writes, func(w *Writer) error {
				_, err := w.AddReading("bluestem", readingOn(date, gear, float64(i), 300-20*float64(i)), Answers{})
				return err
			})
		}
	}
	var want []Chart
	for seed := range uint64(8) {
		b, clock := openBook(t)
		clock.now = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)
		addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15, 1))
		addReading(t, b, "bluestem", readingOn("2026-04-30", "1", 0, 301)) // the sled's first day
		order := rand.New(rand.NewPCG(seed, 3)).Perm(len(writes))
		for i, k := range order {
			clock.now = clock.now.Add(time.Minute)
			write(t, b, writes[k])
			if i == len(order)/2 {
				c := finalChange("2026-06-15", 8)
				removeChange(t, b, addChange(t, b, "bluestem", c).ID)
			}
		}
		var got []Chart
		for _, asOf := range []string{"", "2026-05-31", "2026-06-01", "2026-06-12", "2026-07-01", "2026-07-02"} {
			c := chartOf(t, b, "bluestem", asOf)
			// These name ids, which are not the same twice.
			c.Checks, c.Sled.Gears, c.Sled.CreatedAt = nil, nil, time.Time{}
			got = append(got, c)
		}
		if want == nil {
			want = got
		}
		require.Equal(t, want, got)
	}
	assert.Equal(t, 5.9, want[0].Sled.Driveline.FinalRatio)
	assert.Equal(t, 33.0, *want[0].Sled.TravelFt)
	assert.Equal(t, 34.5, *want[1].Sled.TravelFt)
	assert.Equal(t, fleet.Measured, want[0].Gears[0].TopOuts[0].Basis)
	assert.Equal(t, fleet.Carried, want[0].Gears[1].TopOuts[0].Basis)
	assert.Equal(t, fleet.Measured, want[2].Gears[0].TopOuts[0].Basis,
		"readings of the day of a change count as made after it")
	assert.False(t, want[3].Gears[0].TopOuts[0].Known(),
		"after a change of unknown effect nothing counts until it is measured again")
}

// A crew that knows no other part still has the exact ratio of the one it changed.
func TestChange_UnknownPartsThatStayCancel(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", nil, fleet.Driveline{FinalRatio: 5.29}, 1.3, 1.15))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	v := addChange(t, b, "bluestem", finalChange("2026-06-01", 5.9))
	assert.InDelta(t, 100*(5.9/5.29-1), *v.MovesPct, 1e-9)
	c := chartOf(t, b, "bluestem", "")
	assert.InDelta(t, 250*5.9/5.29, c.Gears[0].TopOuts[0].TopOutFt, 1e-6)
	assert.Equal(t, fleet.Carried, c.Gears[0].TopOuts[0].Basis)
	assert.InDelta(t, 250*5.9/5.29*1.15/1.3, c.Gears[1].TopOuts[0].TopOutFt, 1e-6)
	assert.Equal(t, fleet.Geared, c.Gears[1].TopOuts[0].Basis)

	gear := changeOn("2026-06-02", fleet.ByRatio)
	gear.Gears = []fleet.Gear{{Label: "1", Ratio: ft(1.4)}}
	v = addChange(t, b, "bluestem", gear)
	assert.Nil(t, v.MovesPct, "one gear moves and the other does not")
	views, _, err := b.Changes(context.Background(), "bluestem")
	require.NoError(t, err)
	require.Len(t, views, 2)
	assert.Equal(t, v.ID, views[0].ID, "newest first")
	assert.InDelta(t, 250*5.9/5.29*1.4/1.3, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6)
	s, err := b.Sled(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.Equal(t, 1.4, *s.Gears[0].Ratio)
	assert.EqualValues(t, 3, s.Revision, "the document reads differently after each change")
}

// The cut-off was moved: from full back the way grows by 33/30 as well.
func TestChange_OfTravelMovesTheWholeDistance(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", ft(30), ordinary, 1.3, 1.15))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	c := changeOn("2026-06-01", fleet.ByRatio)
	c.TravelFt = ft(33)
	assert.InDelta(t, 10, *addChange(t, b, "bluestem", c).MovesPct, 1e-9)
	assert.InDelta(t, 275, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6)
	// A reading is judged by the travel of its date.
	addReading(t, b, "bluestem", readingOn("2026-06-01", "1", 31, 20))
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddReading("bluestem", readingOn("2026-05-31", "1", 31, 20), Answers{})
		return err
	})
	assert.Equal(t, []string{"start_ft"}, places(e))
	e = refused(t, b, func(w *Writer) error {
		_, err := w.AddReadings(rowsOf([]fleet.Reading{func() fleet.Reading {
			r := readingOn("2026-05-31", "1", 31, 20)
			r.Sled = "bluestem"
			return r
		}()}), Request{})
		return err
	})
	assert.Equal(t, []string{"start_ft"}, places(e))
	// Nor can a later change, or taking one back, leave a reading beyond its travel.
	short := changeOn("2026-06-02", fleet.ByRatio)
	short.TravelFt = ft(29)
	addChange(t, b, "bluestem", short)
	short.MadeOn = "2026-05-20"
	short.TravelFt = ft(28)
	addChange(t, b, "bluestem", short)
	short.MadeOn = "2026-06-01"
	e = refused(t, b, func(w *Writer) error { _, err := w.AddChange("bluestem", short); return err })
	assert.Equal(t, []string{"travel_ft"}, places(e))
	views, _, err := b.Changes(context.Background(), "bluestem")
	require.NoError(t, err)
	e = refused(t, b, func(w *Writer) error { return w.RemoveChange(views[1].ID) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "1 reading since 2026-05-20")
}

// An axle of one speed leaves no gear in a range, and one of two needs them again.
func TestChange_OfTheKindOfAxle(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	ctx := context.Background()
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	two := gearChange(fleet.Gear{Label: "1", Range: "low"}, fleet.Gear{Label: "2", Range: "high"})
	two.Driveline.AxleRatios = map[string]float64{"low": 8.2, "high": 4.1}
	first := addChange(t, b, "bluestem", two)
	assert.Nil(t, first.MovesPct)
	assert.InDelta(t, 125, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6)
	one := drivelineChange(fleet.Driveline{AxleRatio: 4.1})
	one.MadeOn = "2026-07-01"
	addChange(t, b, "bluestem", one)
	s, err := b.Sled(ctx, "bluestem")
	require.NoError(t, err)
	assert.Equal(t, []string{"", ""}, []string{s.Gears[0].Range, s.Gears[1].Range})
	assert.InDelta(t, 250, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6)

	later := gearChange(fleet.Gear{Label: "2", Range: "low"})
	later.MadeOn = "2026-06-15"
	addChange(t, b, "bluestem", later)
	e := refused(t, b, func(w *Writer) error { return w.RemoveChange(first.ID) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "the change of 2026-06-15 (a new part) leaves gear 2 in a range that its axle lacks")
	late := drivelineChange(fleet.Driveline{AxleRatio: 5})
	late.MadeOn = "2026-06-10"
	e = refused(t, b, func(w *Writer) error { _, err := w.AddChange("bluestem", late); return err })
	assert.Contains(t, places(e), "made_on")
}

// A change of parts, and its being taken back, leaves a sheet that is kept and what a class stands for as they were;
// the sheet of a show to come follows the chart.
func TestChange_LeavesClosedSheetsAndClassesAlone(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t)
	ctx := context.Background()
	clock.now = time.Date(2026, 8, 1, 12, 0, 0, 0, time.UTC)
	write(t, b, func(*Writer) error { return nil }) // the show is over by its date, and keeps its sheet
	sheet := func(show string) string {
		got, err := b.Sheet(ctx, show, "", false)
		require.NoError(t, err)
		return asClosed(t, got)
	}
	next := addShow(t, b, fleet.Show{Name: "Autumn Pull", Date: "2026-09-19", Sled: "fescue", Classes: s.Classes})
	over, ahead := sheet(s.ID), sheet(next.ID)
	class, err := b.Class(ctx, "farm-9500")
	require.NoError(t, err)
	c := travelChange(35)
	c.MadeOn = "2026-07-20"
	v := addChange(t, b, "fescue", c)
	addChange(t, b, "bluestem", c)
	assert.Equal(t, over, sheet(s.ID))
	assert.NotEqual(t, ahead, sheet(next.ID))
	after, err := b.Class(ctx, "farm-9500")
	require.NoError(t, err)
	assert.Equal(t, class.Class, after.Class)
	assert.NotEqual(t, *class.TodayFt, *after.TodayFt)
	removeChange(t, b, v.ID)
	assert.Equal(t, over, sheet(s.ID))
}

// A reading from before a change does not lie on the line that is drawn, so it is not drawn beside it.
func TestChart_DrawingShowsTheReadingsSinceTheLastChange(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	addReading(t, b, "bluestem", readingOn("2026-06-01", "1", 0, 279))
	addChange(t, b, "bluestem", finalChange("2026-06-01", 5.9))
	snap, err := b.current(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []plotting.ReadingPoint{{DistanceFt: 279}},
		snap.sledState("bluestem").drawing(fleet.InFeet).Gears[0].Points)
}

func TestChange_RefusesAWrongDate(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	_, err := b.Chart(context.Background(), "bluestem", []float64{-1}, "last May", "")
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"start_ft", "as_of"}, places(e))
	before, err := b.Chart(context.Background(), "bluestem", nil, "2026-05-08", "")
	require.NoError(t, err)
	assert.False(t, before.Gears[0].TopOuts[0].Known(), "nothing was measured by then")
	assert.Zero(t, before.Sled.Readings)
	today, err := b.Chart(context.Background(), "bluestem", nil, "2026-05-09", "")
	require.NoError(t, err)
	now, err := b.Chart(context.Background(), "bluestem", nil, "", "")
	require.NoError(t, err)
	assert.Equal(t, now.Gears, today.Gears)
}
