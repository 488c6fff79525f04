package store

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestReading_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	end, plus, psi, mph, confirmed := 20.125, 8.0, 31.5, 3.2, noon.Add(time.Second)
	first := readingOf(sled, 0, 1)
	full := fleet.Reading{
		ID: "full", Sled: "bluestem", GearID: "bluestem-A", Gear: "A", StartFt: 0.1, DistanceFt: 276.40000000000003,
		Ended: fleet.StoppedShort, EndFt: &end, PlusMinusFt: &plus, MeasuredOn: "2026-05-08", Day: "spring test",
		Place: "the home track", By: "the second hand", Note: "wet\nat the end", MarkedBy: "flag", TakenWith: "wheel",
		Surface: "clay", Weights: "9500", TirePSI: &psi, SpeedMPH: &mph, Replaces: first.ID,
		SetAside:    &fleet.SetAside{Reason: "wheel skipped", At: noon.Add(time.Microsecond)},
		ConfirmedAt: &confirmed, CreatedAt: noon,
	}
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		return tx.AddReadings([]fleet.Reading{first, full})
	})
	read(t, s, func(r *Reads) error {
		got, err := r.Reading("full")
		assert.Equal(t, full, got)
		require.NoError(t, err)
		notes, err := r.Load([]string{"bluestem", "brome"})
		require.NoError(t, err)
		require.Len(t, notes, 1)
		assert.Equal(t, []fleet.Figure{first.Figure(), full.Figure()}, notes[0].Readings)
		sled.Readings = 2
		assert.Equal(t, sled, notes[0].Sled)
		return nil
	})
	write(t, s, func(tx *Tx) error { return tx.SetAside(full, nil) })
	full.SetAside = nil
	read(t, s, func(r *Reads) error {
		got, err := r.Reading("full")
		assert.Equal(t, full, got)
		return err
	})
	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Reading("nothing"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	err = s.Read(context.Background(), func(r *Reads) error { _, _, err := r.Readings("brome", "", 10); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
}

func TestReading_IsOfAGearOfItsOwnSled(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	bluestem, fescue := sledOf("bluestem", "A"), sledOf("fescue", "A")
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(bluestem))
		return tx.AddSled(fescue)
	})
	wrong := readingOf(bluestem, 0, 1)
	wrong.GearID = "fescue-A"
	assert.Error(t, s.Write(context.Background(), func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{wrong}) }))
}

func TestReading_IsListedNewestFirstAndOnce(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	add := func(n int, on string) {
		r := readingOf(sled, 0, n)
		r.MeasuredOn = on
		write(t, s, func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{r}) })
	}
	for n := range 9 { // three a day
		add(n, fmt.Sprintf("2026-05-%02d", 1+n/3))
	}
	var seen []string
	for after, page := "", 0; ; page++ {
		var readings []fleet.Reading
		read(t, s, func(r *Reads) (err error) {
			readings, after, err = r.Readings("bluestem", after, 4)
			return err
		})
		for _, r := range readings {
			seen = append(seen, r.ID)
		}
		if page == 0 {
			add(100, "2026-05-03") // newer than what was read: not on a later page
			add(101, "2026-04-30") // older: on the last one
		}
		if after == "" {
			break
		}
	}
	assert.Equal(t, []string{
		"bluestem-r8", "bluestem-r7", "bluestem-r6", "bluestem-r5", "bluestem-r4", "bluestem-r3",
		"bluestem-r2", "bluestem-r1", "bluestem-r0", "bluestem-r101",
	}, seen)
}

func TestReading_IsCountedForACorrection(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled, other := sledOf("bluestem", "A", "B"), sledOf("fescue", "A")
	at := func(n int, start, end, distance float64) fleet.Reading {
		r := readingOf(sled, n%2, n)
		r.StartFt, r.DistanceFt = start, distance
		if end > 0 {
			r.Ended, r.EndFt = fleet.StoppedShort, &end
		}
		return r
	}
	aside := at(5, 33, 0, 3)
	aside.SetAside = &fleet.SetAside{Reason: "wrong gear", At: noon}
	elsewhere := readingOf(other, 0, 1)
	elsewhere.StartFt, elsewhere.DistanceFt = 40, 1
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		require.NoError(t, tx.AddSled(other))
		return tx.AddReadings([]fleet.Reading{at(1, 0, 0, 250), at(2, 30, 0, 40), at(3, 2, 31, 200), at(4, 0, 20, 5),
			aside, elsewhere})
	})
	read(t, s, func(r *Reads) error {
		for travel, want := range map[float64]int{34: 0, 31: 1, 30: 2, 20: 3, 2: 3} {
			n, err := r.CountReadingsPast("bluestem", "", "", travel)
			require.NoError(t, err)
			assert.Equal(t, want, n, "travel %g", travel)
		}
		for takeUp, want := range map[float64]int{4: 0, 5: 1, 40: 2, 300: 4} {
			n, err := r.CountReadingsWithin("bluestem", takeUp)
			require.NoError(t, err)
			assert.Equal(t, want, n, "take-up %g", takeUp)
		}
		counts, err := r.CountReadingsByGear("bluestem")
		assert.Equal(t, map[string]int{"bluestem-A": 2, "bluestem-B": 3}, counts)
		return err
	})
}

func TestSled_LoadsTogetherWithOthers(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	var ids []string
	write(t, s, func(tx *Tx) error {
		for n := range 1200 { // more than one statement takes
			sled := sledOf(fmt.Sprintf("sled-%04d", n), "A", "B")
			ids = append(ids, sled.ID)
			if err := tx.AddSled(sled); err != nil {
				return err
			}
			if err := tx.AddReadings([]fleet.Reading{readingOf(sled, n%2, 1)}); err != nil {
				return err
			}
		}
		return nil
	})
	read(t, s, func(r *Reads) error {
		touched, _, err := r.Touched(0)
		require.NoError(t, err)
		assert.Equal(t, ids, touched)
		notes, err := r.Load(touched)
		require.Len(t, notes, len(ids))
		for i, n := range notes {
			require.Equal(t, ids[i], n.Sled.ID)
			require.Len(t, n.Readings, 1)
			require.Equal(t, n.Sled.Gears[i%2].ID, n.Readings[0].GearID)
		}
		return err
	})
}
