package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestSled_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	ratio := 1.31
	want := sledOf("bluestem", "A", "3 low", "ü")
	want.Owner, want.Notes, want.TakeUpFt, want.RailMarkFt, want.Retired, want.Revision = "The crew", "two\nlines",
		1.25, 0.25, true, 7
	want.Gears[1].Ratio, want.Gears[1].Range = &ratio, "low"
	want.Driveline = wholeDriveline
	bare := sledOf("fescue", "1")
	bare.TravelFt = nil
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(want))
		return tx.AddSled(bare)
	})
	read(t, s, func(r *Reads) error {
		got, err := r.Sled("bluestem")
		assert.Equal(t, want, got)
		require.NoError(t, err)
		got, err = r.Sled("fescue")
		assert.Equal(t, bare, got)
		return err
	})
	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Sled("brome"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	err = s.Write(context.Background(), func(tx *Tx) error { return tx.AddSled(want) })
	assert.Equal(t, fleet.Conflict, kindOf(t, err))
}

func TestGear_KeepsItsIdAndReadingsUnderAnyLabel(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A", "B", "C")
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		return tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 1), readingOf(sled, 1, 2)})
	})
	want := sled
	want.Name, want.Readings, want.Revision = "Bluestem the second", 2, 2
	want.Gears = []fleet.Gear{{ID: "new", Label: "D"}, {ID: "bluestem-B", Label: "A"}, {ID: "bluestem-A", Label: "B"}}
	write(t, s, func(tx *Tx) error { return tx.ReplaceSled(want) })
	read(t, s, func(r *Reads) error {
		got, err := r.Sled("bluestem")
		assert.Equal(t, want, got)
		require.NoError(t, err)
		reading, err := r.Reading("bluestem-r1")
		assert.Equal(t, "bluestem-A", reading.GearID)
		assert.Equal(t, "B", reading.Gear, "it was A until the labels were swapped")
		return err
	})
	without := want
	without.Gears = want.Gears[:2]
	assert.Error(t, s.Write(context.Background(), func(tx *Tx) error { return tx.ReplaceSled(without) }),
		"the database itself refuses to drop a gear that has readings")
}

func TestSled_IsListedOnceDuringWrites(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	for n := range 10 {
		write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf(fmt.Sprintf("sled-%02d", 2*n), "A")) })
	}
	var seen []string
	for after, page := "", 0; ; page++ {
		var sleds []fleet.Sled
		read(t, s, func(r *Reads) (err error) {
			sleds, after, err = r.Sleds(after, 3)
			return err
		})
		for _, sled := range sleds {
			seen = append(seen, sled.ID)
		}
		if page == 0 { // meanwhile somebody writes, before and after the page just read
			write(t, s, func(tx *Tx) error {
				require.NoError(t, tx.AddSled(sledOf("sled-01", "A")))
				require.NoError(t, tx.AddSled(sledOf("sled-07", "A")))
				return tx.DeleteSled("sled-04") // the last one on that page
			})
		}
		if after == "" {
			break
		}
	}
	assert.Equal(t, []string{"sled-00", "sled-02", "sled-04", "sled-06", "sled-07", "sled-08", "sled-10", "sled-12",
		"sled-14", "sled-16", "sled-18"}, seen)
}

func TestSled_LastListHasNoCursor(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	for n := range 4 {
		write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf(fmt.Sprintf("sled-%d", n), "A")) })
	}
	read(t, s, func(r *Reads) error {
		sleds, next, err := r.Sleds("", 4)
		assert.Len(t, sleds, 4)
		assert.Empty(t, next)
		return err
	})
}
