package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func settingOf(s fleet.Sled, gear int, topOut *float64) fleet.HomeSetting {
	h := fleet.HomeSetting{
		Setting:  fleet.Setting{Sled: s.ID, GearID: s.Gears[gear].ID, Gear: s.Gears[gear].Label, StartFt: 2.5},
		StoodFor: fleet.StoodFor{TopOutFt: topOut, NotedOn: "2026-05-09"},
	}
	if topOut != nil {
		half := 3.7
		h.PlusMinusFt = &half
	}
	return h
}

func classOf(id string, s fleet.Sled, gear int) fleet.Class {
	return fleet.Class{ID: id, Name: "The " + id, Setting: settingOf(s, gear, nil), Revision: 1, CreatedAt: noon,
		UpdatedAt: noon}
}

func TestClass_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	bluestem, fescue := sledOf("bluestem", "A", "B"), sledOf("fescue", "1")
	topOut := 276.4
	want := classOf("farm-9500", bluestem, 0)
	want.Setting = settingOf(bluestem, 0, &topOut)
	off := settingOf(fescue, 0, nil)
	want.PullOff = &off
	want.UsedBy, want.Weights, want.Notes, want.Revision = "The county", "front full", "two\nlines", 3
	bare := classOf("antique", bluestem, 1)
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(bluestem))
		require.NoError(t, tx.AddSled(fescue))
		require.NoError(t, tx.AddClass(want))
		return tx.AddClass(bare)
	})
	get := func(id string) (c fleet.Class) {
		read(t, s, func(r *Reads) (err error) {
			c, err = r.Class(id)
			return err
		})
		return c
	}
	assert.Equal(t, want, get("farm-9500"))
	assert.Equal(t, bare, get("antique"))
	write(t, s, func(tx *Tx) error {
		bluestem.Gears[0].Label = "A1"
		return tx.ReplaceSled(bluestem)
	})
	want.Setting.Gear = "A1"
	assert.Equal(t, want, get("farm-9500"), "under the label its gear has today")

	want.Setting, want.PullOff, want.UsedBy = settingOf(fescue, 0, nil), nil, ""
	write(t, s, func(tx *Tx) error { return tx.ReplaceClass(want) })
	assert.Equal(t, want, get("farm-9500"))
	read(t, s, func(r *Reads) error {
		names, err := r.ClassesByGear("bluestem")
		assert.Equal(t, map[string][]string{"bluestem-B": {"The antique"}}, names)
		return err
	})

	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Class("hot-farm"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	err = s.Write(context.Background(), func(tx *Tx) error { return tx.AddClass(want) })
	assert.Equal(t, fleet.Conflict, kindOf(t, err))
	for name, do := range map[string]func(tx *Tx) error{
		"a class of a gear that is not there": func(tx *Tx) error {
			return tx.AddClass(classOf("x", sledOf("brome", "A"), 0))
		},
		"a gear of another sled": func(tx *Tx) error {
			c := classOf("x", bluestem, 0)
			c.Setting.Sled = "fescue"
			return tx.AddClass(c)
		},
		"dropping a gear that a class is used to": func(tx *Tx) error {
			without := bluestem
			without.Gears = bluestem.Gears[:1]
			return tx.ReplaceSled(without)
		},
		"deleting a sled that a class is used to": func(tx *Tx) error { return tx.DeleteSled("fescue") },
	} {
		assert.Error(t, s.Write(context.Background(), do), "the database itself refuses %s", name)
	}
	write(t, s, func(tx *Tx) error { return tx.DeleteClass("farm-9500") })
	write(t, s, func(tx *Tx) error { return tx.DeleteSled("fescue") })
}

func TestClass_IsListedOnce(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sled))
		for n := range 5 {
			require.NoError(t, tx.AddClass(classOf(fmt.Sprint("class-", n), sled, 0)))
		}
		return nil
	})
	var seen []string
	for after, more := "", true; more; more = after != "" {
		read(t, s, func(r *Reads) (err error) {
			var page []fleet.Class
			page, after, err = r.Classes(after, 2)
			for _, c := range page {
				seen = append(seen, c.ID)
				assert.Equal(t, "A", c.Setting.Gear)
			}
			return err
		})
	}
	assert.Equal(t, []string{"class-0", "class-1", "class-2", "class-3", "class-4"}, seen)
	err := s.Read(context.Background(), func(r *Reads) error {
		_, _, err := r.Classes(encodeCursor(sledCursor, "class-1"), 2)
		return err
	})
	assertFaultAt(t, err, "after")
}

// Classes and shows are of the fleet, but no sled has to be read again for them.
func TestRevision_MovesWithClassesAndShows(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	show := showOf("pull", "2026-07-18", "bluestem", "antique")
	at := ShowClass{"pull", "antique"}
	line := fleet.AsRun{ID: "l", Show: "pull", Class: "antique", Sled: "bluestem", GearID: "bluestem-A", FromHook: 1,
		CreatedAt: noon}
	for i, do := range []func(tx *Tx) error{
		func(tx *Tx) error { return tx.AddClass(classOf("antique", sled, 0)) },
		func(tx *Tx) error { return tx.ReplaceClass(classOf("antique", sled, 0)) },
		func(tx *Tx) error { return tx.AddShow(show) },
		func(tx *Tx) error { return tx.ReplaceShow(show) },
		func(tx *Tx) error { return tx.AddAsRun(line) },
		func(tx *Tx) error { return tx.DeleteAsRun(at, "l") },
		func(tx *Tx) error { return tx.PutOutcome(at, fleet.Outcome{Note: "dry"}) },
		func(tx *Tx) error { return tx.DeleteOutcome(at) },
		func(tx *Tx) error { return tx.AddClosedSheet("pull", closedSheet("{}")) },
		func(tx *Tx) error { return tx.DeleteClosedSheet("pull") },
		func(tx *Tx) error { return tx.DeleteShow("pull") },
		func(tx *Tx) error { return tx.DeleteClass("antique") },
	} {
		write(t, s, do)
		assert.EqualValues(t, 2+i, revisionOf(t, s))
	}
	read(t, s, func(r *Reads) error {
		ids, revision, err := r.Touched(1)
		assert.Empty(t, ids)
		assert.Equal(t, revisionOf(t, s), revision)
		return err
	})
}
