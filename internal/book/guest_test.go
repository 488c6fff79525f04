package book

import (
	"bytes"
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// openCrew is a crew with two sleds that it measured its own way, and another one that it did not.
func openCrew(t testing.TB) (*Book, *at) {
	t.Helper()
	b, clock := openBook(t)
	for i, name := range []string{"Bluestem", "Fescue", "Timothy"} {
		s := sledOf(name, ft(34.5-float64(i)), "A", "B", "C")
		s.Owner = "The Ridge Crew"
		s.Driveline = fleet.Driveline{SprocketTeeth: 12, ChainPitchIn: 2, AxleRatio: 4.88, FinalRatio: 5.29,
			TireCircumferenceFt: 10.2}
		s.Loading = fleet.Loading{TandemToPanFt: ft(28), EmptyBoxLb: ft(5000),
			Blocks: []fleet.Block{{Lb: 2000, Count: 8}}}
		id := addSled(t, b, s).ID
		for day, on := range []string{"2025-05-10", "2025-06-14", "2026-05-09"} {
			for gear, label := range []string{"A", "B", "C"} {
				for _, start := range []float64{0, 4} {
					wobble := 1 + 0.011*math.Sin(float64(7*i+3*day+1)) + 0.006*math.Sin(float64(5*gear+11*day)+start)
					r := readingOf(label, start, math.Round(10*(300-22*float64(gear))*(1-start/34.5)*wobble)/10)
					r.MeasuredOn, r.By = on, "Bo"
					addReading(t, b, id, r)
				}
			}
		}
		weigh(t, b, id, [3]float64{0, 0, 10_720}, [3]float64{32, 12_000, 27_740}, [3]float64{17, 8_000, 18_020},
			[3]float64{0, 16_000, 11_900}, [3]float64{20, 0, 14_000})
	}
	clock.now = clock.now.AddDate(0, 1, 0)
	write(t, b, func(w *Writer) error {
		_, err := w.AddChange("fescue", fleet.Change{MadeOn: "2026-01-15", What: "13 teeth",
			Driveline: fleet.Driveline{SprocketTeeth: 13}, Effect: fleet.ByRatio})
		return err
	})
	return b, clock
}

func given(t testing.TB, b *Book, sled string) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.ExportSled(context.Background(), sled, &out))
	return out.String()
}

// takeSled reads a document and takes it in.
func takeSled(w *Writer, document, as string) (TakenIn, error) {
	d, err := w.b.ReadSled(strings.NewReader(document))
	if err != nil {
		return TakenIn{}, err
	}
	return w.TakeSled(d, as)
}

func takeIn(t testing.TB, b *Book, document, as string) (in TakenIn) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		in, err = takeSled(w, document, as)
		return err
	})
	return in
}

// near holds two answers together, number by number.
func near(t testing.TB, want, got any) {
	t.Helper()
	var walk func(at string, a, b reflect.Value)
	walk = func(at string, a, b reflect.Value) {
		require.Equal(t, a.Kind(), b.Kind(), "%s", at)
		switch a.Kind() {
		case reflect.Float64:
			x, y := a.Float(), b.Float()
			assert.True(t, x == y || math.Abs(x-y) <= 1e-9*max(1, math.Abs(x)), "%s: %v, %v", at, x, y)
		case reflect.Pointer, reflect.Interface:
			if require.Equal(t, a.IsNil(), b.IsNil(), "%s", at); !a.IsNil() {
				walk(at, a.Elem(), b.Elem())
			}
		case reflect.Slice:
			require.Equal(t, a.Len(), b.Len(), "%s", at)
			for i := range a.Len() {
				walk(at, a.Index(i), b.Index(i))
			}
		case reflect.Struct:
			for i := range a.NumField() {
				if a.Type().Field(i).IsExported() {
					walk(at+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i))
				}
			}
		default:
			assert.Equal(t, a.Interface(), b.Interface(), "%s", at)
		}
	}
	walk("", reflect.ValueOf(want), reflect.ValueOf(got))
}

// The answers between two sleds of one crew are the same where that crew measures, and where both are guests of a crew
// that measures ten times worse.
func TestGuest_AnswersAsWithItsOwnCrew(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, _ := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(0, 2, 0)
	addSled(t, here, sledOf("Rough", ft(30), "1", "2"))
	for i := range 12 {
		r := readingOf([]string{"1", "2"}[i%2], 0, (300-30*float64(i%2))*(1+0.05*math.Sin(float64(5*i))))
		r.MeasuredOn = time.Date(2026, 5, 1+i/3, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
		write(t, here, func(w *Writer) error {
			_, err := w.AddReading("rough", r, Answers{KeepUnlikely: true})
			return err
		})
	}
	before, err := here.Chart(ctx, "rough", nil, "", "")
	require.NoError(t, err)
	for _, sled := range []string{"bluestem", "fescue"} {
		in := takeIn(t, here, given(t, owner, sled), "")
		assert.True(t, in.New)
		assert.Equal(t, 18, in.Readings)
		assert.Equal(t, 5, in.Weighings)
		assert.Equal(t, 18, in.Sled.Readings)
	}
	after, err := here.Chart(ctx, "rough", nil, "", "")
	require.NoError(t, err)
	assert.Equal(t, before.Repeatability, after.Repeatability, "guests stay out of the pool")
	assert.Equal(t, before.Gears, after.Gears)

	for _, of := range []string{"bluestem", "fescue"} {
		want, err := owner.Chart(ctx, of, nil, "", "")
		require.NoError(t, err)
		got, err := here.Chart(ctx, of, nil, "", "")
		require.NoError(t, err)
		near(t, want.Gears, got.Gears)
		assert.NotEqual(t, after.Repeatability.UsedDayPct, got.Repeatability.UsedDayPct)
		assert.InDelta(t, want.Repeatability.UsedDayPct, got.Repeatability.UsedDayPct, 1e-12)
		for _, gear := range []string{"A", "B", "C"} {
			for _, start := range []float64{0, 2.5} {
				on := map[string]string{"bluestem": "fescue", "fescue": "bluestem"}[of]
				q := Question{Sled: of, Gear: gear, StartFt: start, On: []string{on}}
				want, err := owner.Equivalents(ctx, q)
				require.NoError(t, err)
				got, err := here.Equivalents(ctx, q)
				require.NoError(t, err)
				near(t, want.Asked, got.Asked)
				require.Len(t, got.Answers, 1)
				near(t, want.Answers, got.Answers)
			}
		}
		pan, err := owner.PanLoad(ctx, PanQuestion{Sled: of, InBoxLb: 12_000})
		require.NoError(t, err)
		panHere, err := here.PanLoad(ctx, PanQuestion{Sled: of, InBoxLb: 12_000})
		require.NoError(t, err)
		near(t, pan.Places, panHere.Places)
	}
}

func TestGuest_OfANewerDocumentBringsWhatIsNewAndTakesNothingBack(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, theirs := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	first := given(t, owner, "fescue")
	takeIn(t, here, first, "")
	again := takeIn(t, here, first, "")
	assert.False(t, again.changes(), "%+v", again)

	readings, _, err := here.Readings(ctx, "fescue", "", 100)
	require.NoError(t, err)
	here1, both, owners := readings[0].ID, readings[1].ID, readings[2].ID
	why, theirWhy := "we saw it slip", "the tape slipped"
	aside := func(b *Book, id string, reason *string) {
		write(t, b, func(w *Writer) error { _, err := w.SetAside(id, reason); return err })
	}
	aside(here, here1, &why)
	aside(here, both, &why)
	theirs.now = theirs.now.AddDate(0, 0, 1)
	aside(owner, both, &theirWhy)
	aside(owner, owners, &theirWhy)
	addReading(t, owner, "fescue", readingOf("A", 0, 299))
	write(t, owner, func(w *Writer) error {
		s, err := w.tx.Sled("fescue")
		require.NoError(t, err)
		s.Notes = "new marks"
		_, err = w.CorrectSled("fescue", whatever, Correction{Sled: s})
		return err
	})
	second := given(t, owner, "fescue")
	d, err := here.ReadSled(strings.NewReader(second))
	require.NoError(t, err)
	dry, err := here.CheckSled(ctx, d, "")
	require.NoError(t, err)
	in := takeIn(t, here, second, "")
	assert.Equal(t, []int{1, 2, 2, 0, 0}, []int{in.Readings, in.Mended, in.StillAside, in.Changes, in.Weighings})
	assert.Equal(t, []int{1, 2, 2, 0, 0}, []int{dry.Readings, dry.Mended, dry.StillAside, dry.Changes, dry.Weighings})
	assert.True(t, in.Corrected)
	reasons := func() map[string]string {
		out := map[string]string{}
		all, _, err := here.Readings(ctx, "fescue", "", 100)
		require.NoError(t, err)
		for _, r := range all {
			if r.SetAside != nil {
				out[r.ID] = r.SetAside.Reason
			}
		}
		return out
	}
	assert.Equal(t, map[string]string{here1: why, both: why, owners: theirWhy}, reasons())
	aside(here, here1, nil)
	aside(here, both, nil)
	assert.Equal(t, map[string]string{both: theirWhy, owners: theirWhy}, reasons(), "the owner's own reason is left")
	e := refused(t, here, func(w *Writer) error { _, err := w.SetAside(owners, nil); return err })
	assert.Contains(t, e.Detail, "owner set this reading aside")

	theirs.now = theirs.now.AddDate(0, 0, 1)
	aside(owner, owners, nil)
	write(t, owner, func(w *Writer) error {
		changes, err := w.tx.Timeline("fescue")
		require.NoError(t, err)
		return w.RemoveChange(changes.Changes[0].ID)
	})
	in = takeIn(t, here, given(t, owner, "fescue"), "")
	assert.Equal(t, 1, in.Changes, "one is gone")
	assert.Equal(t, map[string]string{both: theirWhy}, reasons(), "what its owner brings back counts again")
	e = refused(t, here, func(w *Writer) error { _, err := takeSled(w, first, ""); return err })
	assert.Contains(t, e.Detail, "is newer")
	found, err := here.Check(ctx)
	require.NoError(t, err)
	assert.Empty(t, found)
}

func correctNow(id string, as func(s *fleet.Sled)) func(w *Writer) error {
	return func(w *Writer) error { return correct(id, as)(w, ids{}) }
}

func TestGuest_IsNotEditedHere(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, _ := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	takeIn(t, here, given(t, owner, "fescue"), "")
	readings, _, err := here.Readings(ctx, "fescue", "", 1)
	require.NoError(t, err)
	timeline, err := here.Sled(ctx, "fescue")
	require.NoError(t, err)
	changes, _, err := here.Changes(ctx, "fescue")
	require.NoError(t, err)
	correcting := readingOf("A", 0, 299)
	correcting.Replaces = readings[0].ID
	for what, do := range map[string]func(w *Writer) error{
		"its travel": correctNow("fescue", func(s *fleet.Sled) { s.TravelFt = ft(33) }),
		"its gears":  correctNow("fescue", func(s *fleet.Sled) { s.Gears = append(s.Gears, fleet.Gear{Label: "D"}) }),
		"which of its gears is which": func(w *Writer) error {
			s, err := w.tx.Sled("fescue")
			require.NoError(t, err)
			_, err = w.CorrectSled("fescue", whatever, Correction{Sled: s, Was: []string{"B", "A"}})
			return err
		},
		"a reading": func(w *Writer) error { _, err := w.AddReading("fescue", correcting, Answers{}); return err },
		"that a reading counts": func(w *Writer) error {
			_, err := w.Confirm(readings[0].ID, true)
			return err
		},
		"a change": func(w *Writer) error {
			_, err := w.AddChange("fescue", changeOn("2026-05-01", fleet.UnknownEffect))
			return err
		},
		"a change taken back": func(w *Writer) error { return w.RemoveChange(changes[0].ID) },
		"a weighing": func(w *Writer) error {
			_, err := w.AddWeighing("fescue", weighingOf(0, 0, 12_000))
			return err
		},
		"given on": func(w *Writer) error {
			return here.ExportSled(ctx, "fescue", new(bytes.Buffer))
		},
	} {
		e := refused(t, here, do)
		assert.Contains(t, e.Error(), "owner", "%s", what)
	}
	write(t, here, func(w *Writer) error {
		return errors.Join(correct("fescue", func(s *fleet.Sled) { s.Name = "Their Fescue" })(w, ids{}),
			correct("fescue", func(s *fleet.Sled) { s.Retired = true })(w, ids{}),
			correct("fescue", func(s *fleet.Sled) { s.Retired = false })(w, ids{}))
	})
	write(t, here, func(w *Writer) error { // a form may give every gear the label that it has
		s, err := w.tx.Sled("fescue")
		require.NoError(t, err)
		_, err = w.CorrectSled("fescue", whatever, Correction{Sled: s, Was: []string{"A", " B", ""}})
		return err
	})
	is, err := here.Sled(ctx, "fescue")
	require.NoError(t, err)
	assert.Equal(t, "Their Fescue", is.Name)
	assert.Equal(t, timeline.Guest, is.Guest)
}

func TestGuest_ListsOwnReadingsWithHowTheyFitAndKeepsItsChart(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, _ := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	takeIn(t, here, given(t, owner, "fescue"), "")
	before, err := here.Chart(ctx, "fescue", []float64{0, 4}, "", "")
	require.NoError(t, err)
	e := before.Gears[0].TopOuts[0]
	good := addReading(t, here, "fescue", readingOf("A", 0, math.Round(e.TopOutFt)))
	off := addReading(t, here, "fescue", readingOf("A", 0, math.Round(e.TonightHighFt+10)))
	after, err := here.Chart(ctx, "fescue", []float64{0, 4}, "", "")
	require.NoError(t, err)
	assert.Equal(t, before.Gears, after.Gears)
	assert.Equal(t, before.Checks, after.Checks)
	require.Len(t, after.Own, 2)
	assert.Equal(t, []string{good.ID, off.ID}, []string{after.Own[0].ID, after.Own[1].ID})
	assert.Equal(t, []bool{true, false}, []bool{after.Own[0].Fits, after.Own[1].Fits})
	assert.Equal(t, &e, after.Own[0].Expected)
	all, _, err := here.Readings(ctx, "fescue", "", 100)
	require.NoError(t, err)
	assert.Len(t, all, 20, "beside the owner's")
}

func TestGuest_AsksAboutANameThatIsTaken(t *testing.T) {
	t.Parallel()
	owner, _ := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	mine := addSled(t, here, sledOf("Fescue", ft(30), "X"))
	document := given(t, owner, "fescue")
	for _, as := range []string{"", "FESCUE"} {
		e := refused(t, here, func(w *Writer) error {
			_, err := takeSled(w, document, as)
			return err
		})
		assert.Equal(t, fleet.Conflict, e.Kind)
		assert.Equal(t, []fleet.FaultCode{fleet.NameTaken}, e.Codes)
	}
	e := refused(t, here, func(w *Writer) error { _, err := takeSled(w, document, " –"); return err })
	assert.Equal(t, fleet.Invalid, e.Kind)
	in := takeIn(t, here, document, "Ridge Fescue")
	assert.Equal(t, "ridge-fescue", in.Sled.ID)
	stays, err := here.Sled(context.Background(), "fescue")
	require.NoError(t, err)
	assert.Equal(t, mine, stays)
	in = takeIn(t, here, document, "")
	assert.Equal(t, "ridge-fescue", in.Sled.ID, "it is known again under its name here")
	e = refused(t, owner, func(w *Writer) error { _, err := takeSled(w, document, ""); return err })
	assert.Contains(t, e.Detail, "this crew's own")
	half := strings.Replace(document, `"id":"fescue"`, `"id":"fescue-2"`, 1)
	gears, err := owner.Sled(context.Background(), "fescue")
	require.NoError(t, err)
	for _, g := range gears.Gears {
		half = strings.ReplaceAll(half, g.ID, "x"+g.ID)
	}
	half = strings.ReplaceAll(half, `"sled":"fescue"`, `"sled":"fescue-2"`)
	e = refused(t, here, func(w *Writer) error { _, err := takeSled(w, half, "Half"); return err })
	assert.Contains(t, e.Detail, "which is another sled")
}

func TestGuest_NeedsAnOwner(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Brome", nil, "A"))
	err := b.ExportSled(context.Background(), "brome", new(bytes.Buffer))
	assert.ErrorContains(t, err, "whose sled Brome is")
	assert.True(t, isKind(b.ExportSled(context.Background(), "none", new(bytes.Buffer)), fleet.NotFound))
}

func TestGuest_ComesThroughTheArchiveOfTheFleet(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, theirs := openCrew(t)
	here, clock := openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	in := takeIn(t, here, given(t, owner, "fescue"), "")
	why := "we saw it slip"
	write(t, owner, func(w *Writer) error {
		_, err := w.SetAside(in.addReadings[4].ID, &why)
		_, err2 := w.SetWeighingAside(in.addWeighings[0].ID, &why)
		return errors.Join(err, err2)
	})
	theirs.now = theirs.now.AddDate(0, 0, 1)
	newer := takeIn(t, here, given(t, owner, "fescue"), "")
	require.Equal(t, []int{1, 1}, []int{newer.Mended, newer.Weighings}, "which are in the history as changed")
	write(t, here, func(w *Writer) error { _, err := w.SetAside(in.addReadings[3].ID, &why); return err })
	addReading(t, here, "fescue", readingOf("A", 0, 299))
	document := exported(t, here)
	next, clock2 := openBook(t)
	clock2.now = clock.now
	write(t, next, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	want, err := here.Chart(ctx, "fescue", nil, "", "")
	require.NoError(t, err)
	got, err := next.Chart(ctx, "fescue", nil, "", "")
	require.NoError(t, err)
	assert.Equal(t, want.Sled.Guest, got.Sled.Guest)
	near(t, want.Gears, got.Gears)
	assert.Equal(t, want.Own, got.Own)
	assert.Equal(t, document, exported(t, next))
}

func TestGuest_CanBeLeftOut(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, _ := openCrew(t)
	here, clock, _ := openShow(t)
	document := strings.ReplaceAll(given(t, owner, "fescue"), "2026-06-09", clock.now.Format(time.DateOnly))
	takeIn(t, here, document, "Ridge")
	count := func(g Guests) int {
		h, err := here.HowAlike(ctx, "bluestem", false, g)
		require.NoError(t, err)
		return len(h.Items)
	}
	assert.Equal(t, count(WithGuests)-1, count(WithoutGuests))
	addShow(t, here, fleet.Show{Name: "Ridge Pull", Date: "2026-08-01", Sled: "ridge", Classes: []string{"antique"}})
	shows := func(g Guests) int {
		s, err := here.Season(ctx, "", "", g)
		require.NoError(t, err)
		return s.Shows
	}
	assert.Equal(t, shows(WithGuests)-1, shows(WithoutGuests))
}

func TestGuest_HasTheVariancesOfItsCrewToTheLastBit(t *testing.T) {
	t.Parallel()
	owner, _ := openCrew(t)
	snap, err := owner.current(context.Background())
	require.NoError(t, err)
	for _, v := range []calibrate.Variances{snap.variances, {Day: snap.variances.Day, Reading: snap.variances.Reading,
		DayDF: math.Inf(1), ReadingDF: 9, AssumedReading: snap.variances.Reading}} {
		var g fleet.Guest
		calibrate.MarkOf(v, &g)
		assert.Equal(t, v, calibrate.VariancesOf(g))
	}
}
