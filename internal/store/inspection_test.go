package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func inspectionOf(sled string, n int) fleet.Inspection {
	return fleet.Inspection{ID: fmt.Sprintf("i%d", n), Sled: sled, Item: "chain", What: "Chains", Well: true,
		On: "2026-05-09", By: "Ann", SignedBy: "Crew", CreatedAt: noon}
}

func TestInspection_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	list := fleet.InspectionList{Sled: "bluestem", Items: []fleet.InspectionItem{
		{ID: "chain", What: "Chains – “pins” too", EveryShows: 2, Calibration: true},
		{ID: "belt", What: "Belts", EveryDays: 30},
	}, Revision: 3, CreatedAt: noon, UpdatedAt: noon}
	well, bad := inspectionOf("bluestem", 1), inspectionOf("bluestem", 2)
	bad.Well, bad.Note, bad.Done, bad.Show = false, "a link is cracked", "a new link;\nas the maker says", "pull"
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		require.NoError(t, tx.AddSled(sledOf("fescue", "1")))
		require.NoError(t, tx.AddShow(showOf("pull", "2026-07-18", "bluestem")))
		require.NoError(t, tx.PutInspectionList(fleet.InspectionList{Sled: "bluestem", Revision: 1}))
		require.NoError(t, tx.PutInspectionList(list))
		return tx.AddInspections([]fleet.Inspection{well, bad, inspectionOf("fescue", 3)})
	})
	read(t, s, func(r *Reads) error {
		got, err := r.InspectionList("bluestem")
		require.NoError(t, err)
		assert.Equal(t, list, got)
		none, err := r.InspectionList("fescue")
		require.NoError(t, err)
		assert.Equal(t, fleet.InspectionList{Sled: "fescue", Items: []fleet.InspectionItem{}}, none)
		all, err := r.AllInspections("bluestem")
		require.NoError(t, err)
		assert.Equal(t, []fleet.Inspection{well, bad}, all)
		first, next, err := r.Inspections("bluestem", "", "", 1)
		require.NoError(t, err)
		assert.Equal(t, []fleet.Inspection{bad}, first)
		second, next, err := r.Inspections("bluestem", "", next, 1)
		require.NoError(t, err)
		assert.Equal(t, []fleet.Inspection{well}, second)
		assert.Empty(t, next)
		n, err := r.CountInspectionsFor("pull")
		require.NoError(t, err)
		assert.Equal(t, 1, n)
		used, err := r.SledInUse("fescue")
		require.NoError(t, err)
		assert.True(t, used)
		booked, err := r.ShowsOn("bluestem")
		require.NoError(t, err)
		assert.Len(t, booked, 1)
		return nil
	})
	write(t, s, func(tx *Tx) error { return tx.DeleteInspection("i3") })
	read(t, s, func(r *Reads) error {
		_, err := r.Inspection("i3")
		var e *fleet.Error
		require.ErrorAs(t, err, &e)
		assert.Equal(t, fleet.NotFound, e.Kind)
		return nil
	})
}

func TestInspection_NeedsItsSledAndItsShow(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	astray := inspectionOf("bluestem", 1)
	astray.Show = "pull"
	for _, one := range []fleet.Inspection{inspectionOf("fescue", 1), astray} {
		assert.Error(t, s.Write(context.Background(),
			func(tx *Tx) error { return tx.AddInspections([]fleet.Inspection{one}) }))
	}
}

// Those of a sled of one's own stay when a fleet that came as a whole goes, and keep their date.
func TestInspection_OutlivesABatchThatItNames(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	own, theirs := inspectionOf("bluestem", 1), inspectionOf("fescue", 2)
	own.Show, theirs.Show = "pull", "pull"
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		require.NoError(t, tx.AddSled(sledOf("fescue", "1")))
		require.NoError(t, tx.AddShow(showOf("pull", "2026-07-18", "fescue")))
		require.NoError(t, tx.PutInspectionList(fleet.InspectionList{Sled: "fescue", Revision: 1}))
		require.NoError(t, tx.AddInspections([]fleet.Inspection{own, theirs}))
		return tx.DeleteBatch(Batch{Sleds: []string{"fescue"}, Shows: []string{"pull"}})
	})
	own.Show = ""
	read(t, s, func(r *Reads) error {
		var all []fleet.Inspection
		err := r.EachInspection(func(i fleet.Inspection) error {
			all = append(all, i)
			return nil
		})
		assert.Equal(t, []fleet.Inspection{own}, all)
		return err
	})
}
