package store

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func changeOf(id, sled, madeOn string) fleet.Change {
	return fleet.Change{ID: id, Sled: sled, MadeOn: madeOn, What: "a new part", Effect: fleet.ByRatio, CreatedAt: noon}
}

// wholeDriveline has a number in every place, none of them round in binary.
var wholeDriveline = fleet.Driveline{
	SprocketTeeth: 12, ChainPitchIn: 1.1, BoxFtPerTurn: 2.0 / 3,
	AxleRatios: map[string]float64{"low": 6.6, "high": 4.88},
	FinalRatio: 5.29, OtherRatio: 0.1, TireCircumferenceFt: 5280.0 / 507,
}

func TestChange_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	ratio, travel := 1.31, 34.1
	sled := sledOf("bluestem", "A", "B")
	sled.Driveline, sled.Gears[0].Range, sled.Gears[1].Ratio = wholeDriveline, "low", &ratio
	change := changeOf("c", "bluestem", "2026-06-01")
	change.Driveline, change.TravelFt, change.Effect = wholeDriveline, &travel, fleet.UnknownEffect
	change.Gears = []fleet.Gear{{ID: "bluestem-B", Label: "B", Ratio: &ratio, Range: "high"}}
	bare := changeOf("d", "bluestem", "2026-05-01")
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		require.NoError(t, tx.AddSled(sledOf("fescue", "1")))
		require.NoError(t, tx.AddChange(change))
		return tx.AddChange(bare)
	})
	read(t, s, func(r *Reads) error {
		got, err := r.Timeline("bluestem")
		require.NoError(t, err)
		assert.Equal(t, fleet.Timeline{Base: sled, Changes: []fleet.Change{bare, change}}, got)
		got, err = r.Timeline("fescue")
		require.NoError(t, err)
		assert.Empty(t, got.Changes)
		notes, err := r.Load([]string{"bluestem", "fescue"})
		require.NoError(t, err)
		assert.Equal(t, []fleet.Change{bare, change}, notes[0].Timeline.Changes)
		assert.Equal(t, travel, *notes[0].Sled.TravelFt)
		of, err := r.SledOfChange("c")
		assert.Equal(t, "bluestem", of)
		return err
	})
	for _, err := range []error{
		s.Read(context.Background(), func(r *Reads) error { _, err := r.SledOfChange("none"); return err }),
		s.Read(context.Background(), func(r *Reads) error { _, err := r.Timeline("brome"); return err }),
	} {
		assert.Equal(t, fleet.NotFound, kindOf(t, err))
	}

	change.Driveline, change.TravelFt, change.Gears = fleet.Driveline{FinalRatio: 5.9}, nil, nil
	write(t, s, func(tx *Tx) error { return tx.ReplaceChange(change) })
	read(t, s, func(r *Reads) error {
		got, err := r.Timeline("bluestem")
		assert.Equal(t, []fleet.Change{bare, change}, got.Changes)
		return err
	})
}

// Everybody reads a sled as it is today, whichever way it is asked for, and a change touches its sled.
func TestSled_IsReadWithItsPartsOfToday(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	sled.Driveline.FinalRatio = 5.29
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	change := changeOf("c", "bluestem", "2026-06-01")
	change.Driveline.FinalRatio = 5.9
	final := func(want float64) {
		t.Helper()
		read(t, s, func(r *Reads) error {
			one, err := r.Sled("bluestem")
			require.NoError(t, err)
			page, _, err := r.Sleds("", 5)
			require.NoError(t, err)
			notes, err := r.Load([]string{"bluestem"})
			require.NoError(t, err)
			assert.Equal(t, []float64{want, want, want},
				[]float64{one.Driveline.FinalRatio, page[0].Driveline.FinalRatio, notes[0].Sled.Driveline.FinalRatio})
			return err
		})
	}
	touched := func(do func(tx *Tx) error) {
		t.Helper()
		before := revisionOf(t, s)
		write(t, s, do)
		read(t, s, func(r *Reads) error {
			ids, revision, err := r.Touched(before)
			assert.Equal(t, []string{"bluestem"}, ids)
			assert.Equal(t, before+1, revision)
			return err
		})
	}
	touched(func(tx *Tx) error { return tx.AddChange(change) })
	final(5.9)
	change.Driveline.FinalRatio = 6
	touched(func(tx *Tx) error { return tx.ReplaceChange(change) })
	final(6)
	touched(func(tx *Tx) error { return tx.DeleteChange("bluestem", "c") })
	final(5.29)
	write(t, s, func(tx *Tx) error { return tx.AddChange(change) })
	touched(func(tx *Tx) error { return tx.DeleteSled("bluestem") })
	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.SledOfChange("c"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err), "a sled's changes go with it")
}

// Changes are put in by date, then as they were entered, then by id, whatever the order in which they are stored.
func TestChange_IsAppliedInOrder(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		for i, c := range []struct {
			id, madeOn string
			minutes    int
		}{{"e", "2026-07-01", 0}, {"d", "2026-06-01", 2}, {"c", "2026-06-01", 1}, {"b", "2026-06-01", 1},
			{"a", "2026-05-01", 9}} {
			change := changeOf(c.id, "bluestem", c.madeOn)
			change.CreatedAt = noon.Add(time.Duration(c.minutes) * time.Minute)
			change.Driveline.FinalRatio = 5 + float64(i)/10
			require.NoError(t, tx.AddChange(change))
		}
		return nil
	})
	read(t, s, func(r *Reads) error {
		got, err := r.Timeline("bluestem")
		ids := ""
		for _, c := range got.Changes {
			ids += c.ID
		}
		assert.Equal(t, "abcde", ids)
		for day, want := range map[string]float64{"2026-04-30": 0, "2026-05-01": 5.4, "2026-05-31": 5.4,
			"2026-06-01": 5.1, "2026-07-01": 5, "2027-01-01": 5} {
			assert.Equal(t, want, got.Until(day).Today().Driveline.FinalRatio, day)
		}
		stages := got.Stages()
		require.Len(t, stages, 6)
		assert.Equal(t, got.Base, stages[0])
		assert.Equal(t, got.Today(), stages[5])
		return err
	})
}

func TestReading_IsCountedBetweenDates(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	first := func() (date string) {
		read(t, s, func(r *Reads) (err error) {
			date, err = r.FirstReadingOn("bluestem")
			return err
		})
		return date
	}
	assert.Empty(t, first())
	var readings []fleet.Reading
	for n, date := range []string{"2026-06-01", "2026-05-01", "2026-07-01"} {
		r := readingOf(sled, 0, n)
		r.MeasuredOn, r.StartFt = date, 20
		readings = append(readings, r)
	}
	write(t, s, func(tx *Tx) error { return tx.AddReadings(readings) })
	assert.Equal(t, "2026-05-01", first())
	for span, want := range map[[2]string]int{{"", ""}: 3, {"", "2026-06-01"}: 1, {"2026-06-01", ""}: 2,
		{"2026-06-01", "2026-07-01"}: 1, {"2026-07-02", ""}: 0} {
		read(t, s, func(r *Reads) error {
			n, err := r.CountReadingsPast("bluestem", span[0], span[1], 20)
			assert.Equal(t, want, n, "%v", span)
			return err
		})
	}
}
