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

func weighingOf(sled string, n int, on string) fleet.Weighing {
	return fleet.Weighing{
		ID: fmt.Sprintf("%s-w%d", sled, n), Sled: sled, WeighedOn: on, BoxAtFt: float64(n), InBoxLb: 12_000,
		PanLb: 10_720 + float64(n), CreatedAt: noon,
	}
}

func TestWeighing_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	sled.Loading = fleet.Loading{
		TandemToPanFt: new(28.0), TandemToPanPlusMinusFt: new(0.2), EmptyBoxLb: new(5000.0),
		EmptyBoxPlusMinusLb: new(120.0), BoxAheadOfTandemFt: new(-2.75), BoxAheadOfTandemPlusMinusFt: new(0.1),
		Blocks:      []fleet.Block{{Lb: 2000, Count: 8}, {Lb: 512.5, Count: 2}},
		MostInBoxLb: new(16_000.0), MostOnPanLb: new(32_000.0), MostOnTandemLb: new(40_000.0),
	}
	first := weighingOf("bluestem", 1, "2026-05-08")
	full := fleet.Weighing{
		ID: "full", Sled: "bluestem", WeighedOn: "2026-05-08", BoxAtFt: 14.999999999999998, InBoxLb: 12_000.5,
		OnPanLb: 500,
		PanLb:   18_700, TandemLb: new(20_000.0), TotalLb: new(38_700.0), Scale: "the yard's truck scale",
		ScaleStepLb: new(20.0), Place: "the yard", By: "the second hand", Note: "level\nwithin an inch",
		SetAside: &fleet.SetAside{Reason: "brake dragged", At: noon.Add(time.Microsecond)}, CreatedAt: noon,
	}
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		return tx.AddWeighings([]fleet.Weighing{first, full})
	})
	read(t, s, func(r *Reads) error {
		got, err := r.Weighing("full")
		require.NoError(t, err)
		assert.Equal(t, full, got)
		notes, err := r.Load([]string{"bluestem"})
		require.NoError(t, err)
		assert.Equal(t, []fleet.Weighing{first, full}, notes[0].Weighings)
		sled.Weighings = 2
		assert.Equal(t, sled, notes[0].Sled)
		alone, err := r.Sled("bluestem")
		assert.Equal(t, sled, alone)
		return err
	})
	write(t, s, func(tx *Tx) error { return tx.SetWeighingAside(full, nil) })
	full.SetAside = nil
	read(t, s, func(r *Reads) error {
		got, err := r.Weighing("full")
		assert.Equal(t, full, got)
		return err
	})
	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Weighing("nothing"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	err = s.Read(context.Background(), func(r *Reads) error { _, _, err := r.Weighings("brome", "", 10); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
}

func TestWeighing_IsListedNewestFirstAndOnce(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		return tx.AddWeighings([]fleet.Weighing{
			weighingOf("bluestem", 1, "2026-05-08"), weighingOf("bluestem", 2, "2026-05-09"),
			weighingOf("bluestem", 3, "2026-05-08"), weighingOf("bluestem", 4, "2026-05-07"),
		})
	})
	read(t, s, func(r *Reads) error {
		var ids []string
		for after := ""; ; {
			some, next, err := r.Weighings("bluestem", after, 1)
			require.NoError(t, err)
			ids = append(ids, some[0].ID)
			if after = next; next == "" {
				break
			}
		}
		assert.Equal(t, []string{"bluestem-w2", "bluestem-w3", "bluestem-w1", "bluestem-w4"}, ids)
		_, _, err := r.Weighings("bluestem", encodeCursor(readingCursor, datedPosition("2026-05-08", 1)), 1)
		assert.Equal(t, fleet.Invalid, kindOf(t, err), "the cursor of another list")
		past, err := r.CountWeighingsPast("bluestem", "2026-05-08", "2026-05-09", 1)
		require.NoError(t, err)
		assert.Equal(t, 1, past)
		first, err := r.FirstWeighingOn("bluestem")
		assert.Equal(t, "2026-05-07", first)
		return err
	})
}

func TestWeighing_GoesWithADemoThatIsRemoved(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		return tx.AddWeighings([]fleet.Weighing{weighingOf("bluestem", 1, "2026-05-08")})
	})
	write(t, s, func(tx *Tx) error { return tx.DeleteBatch(Batch{Sleds: []string{"bluestem"}}) })
	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Weighing("bluestem-w1"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
}
