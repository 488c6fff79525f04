package store

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestGuest_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s, at := openNew(t), time.Date(2026, 11, 28, 12, 0, 0, 123456000, time.UTC)
	want, other := sledOf("fescue", "1", "2"), sledOf("bluestem", "A")
	want.Guest = &fleet.Guest{Owner: "The Ridge Crew", AsOf: at, DayPct: 0.9123456789012345, ReadingPct: 0.6, DayDF: 9,
		AssumedReadingPct: 0.7, WeighingLb: 100, WeighingDF: 3.5}
	readings := []fleet.Reading{
		{ID: "r1", Sled: "fescue", GearID: want.Gears[0].ID, Gear: "1", DistanceFt: 300, Ended: fleet.ToppedOut,
			MeasuredOn: "2026-05-09", Day: "2026-05-09", CreatedAt: at, FromOwner: true,
			SetAside:      &fleet.SetAside{Reason: "here", At: at},
			OwnerSetAside: &fleet.SetAside{Reason: "the tape slipped", At: at.Add(-time.Hour)}},
		{ID: "r2", Sled: "fescue", GearID: want.Gears[1].ID, Gear: "2", DistanceFt: 280, Ended: fleet.ToppedOut,
			MeasuredOn: "2026-05-09", Day: "2026-05-09", CreatedAt: at},
	}
	require.NoError(t, s.Write(context.Background(), func(tx *Tx) error {
		require.NoError(t, tx.AddSled(want))
		require.NoError(t, tx.AddSled(other))
		return tx.AddReadings(readings)
	}))
	read(t, s, func(r *Reads) error {
		got, err := r.Sled("fescue")
		require.NoError(t, err)
		assert.Equal(t, want.Guest, got.Guest)
		all, err := r.AllReadings("fescue")
		require.NoError(t, err)
		assert.Equal(t, readings, all)
		ids := append(slices.Repeat([]string{"none"}, chunk), want.Gears[1].ID, want.Gears[0].ID)
		of, err := r.SledsOfGears(append([]string{other.Gears[0].ID}, ids...))
		require.NoError(t, err)
		assert.Equal(t, []string{"bluestem", "fescue"}, of)
		of, err = r.SledsOfReadings([]string{"none"})
		assert.Empty(t, of)
		return err
	})

	// A newer document has a reading in other words, and its place in the order stays.
	readings[0].Note, readings[0].SetAside, readings[0].OwnerSetAside = "read again", nil, nil
	require.NoError(t, s.Write(context.Background(), func(tx *Tx) error { return tx.ReplaceReading(readings[0]) }))
	read(t, s, func(r *Reads) error {
		all, err := r.AllReadings("fescue")
		assert.Equal(t, readings, all)
		return err
	})
}

func TestGuest_HoldsTheOwnersReasonWithItsOwnReadingsOnly(t *testing.T) {
	t.Parallel()
	s, at := openNew(t), time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	sled := sledOf("fescue", "1")
	aside := &fleet.SetAside{Reason: "the tape slipped", At: at}
	for what, r := range map[string]fleet.Reading{
		"a reading of this crew":    {SetAside: aside, OwnerSetAside: aside},
		"one that is not set aside": {FromOwner: true, OwnerSetAside: aside},
	} {
		r.ID, r.Sled, r.GearID, r.DistanceFt, r.CreatedAt = "r1", "fescue", sled.Gears[0].ID, 300, at
		err := s.Write(context.Background(), func(tx *Tx) error {
			require.NoError(t, tx.AddSled(sled))
			return tx.AddReadings([]fleet.Reading{r})
		})
		assert.Error(t, err, "%s", what)
	}
}
