package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func closedSheet(document string) fleet.ClosedSheet {
	return fleet.ClosedSheet{Format: 1, Document: json.RawMessage(document)}
}

func showOf(id, date, sled string, classes ...string) Show {
	return Show{Show: fleet.Show{ID: id, Name: "The " + id, Date: date, Zone: "America/Chicago", Sled: sled,
		Classes: classes, Revision: 1,
		CreatedAt: noon, UpdatedAt: noon}}
}

// openShows has two sleds and four classes.
func openShows(t testing.TB) *Store {
	t.Helper()
	s := openNew(t)
	bluestem := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(bluestem))
		require.NoError(t, tx.AddSled(sledOf("fescue", "1", "2")))
		for _, id := range []string{"antique", "farm", "stock", "hot"} {
			require.NoError(t, tx.AddClass(classOf(id, bluestem, 0)))
		}
		return nil
	})
	return s
}

func TestShow_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	s := openShows(t)
	want := showOf("pull", "2026-07-18", "bluestem", "stock", "antique", "farm")
	want.Place, want.Promoter, want.Notes, want.Reopened, want.Revision = "Millbrook", "The county",
		"gates\nat four", true, 4
	write(t, s, func(tx *Tx) error { return tx.AddShow(want) })
	get := func() (got Show) {
		read(t, s, func(r *Reads) (err error) {
			got, err = r.Show("pull")
			return err
		})
		return got
	}
	assert.Equal(t, want, get())
	want.Classes, want.Sled, want.Reopened, want.Revision = []string{"farm", "hot", "stock"}, "fescue", false, 5
	write(t, s, func(tx *Tx) error { return tx.ReplaceShow(want) })
	assert.Equal(t, want, get(), "in the new running order")
	want.Classes = nil
	write(t, s, func(tx *Tx) error { return tx.ReplaceShow(want) })
	assert.Equal(t, want, get())

	err := s.Read(context.Background(), func(r *Reads) error { _, err := r.Show("none"); return err })
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	err = s.Write(context.Background(), func(tx *Tx) error { return tx.AddShow(want) })
	assert.Equal(t, fleet.Conflict, kindOf(t, err))
	for name, do := range map[string]func(tx *Tx) error{
		"an unknown sled": func(tx *Tx) error { return tx.AddShow(showOf("x", "2026-07-18", "brome")) },
		"an unknown class": func(tx *Tx) error {
			return tx.AddShow(showOf("x", "2026-07-18", "fescue", "none"))
		},
		"deleting a sled that is booked": func(tx *Tx) error { return tx.DeleteSled("fescue") },
		"two sheets of one show": func(tx *Tx) error {
			require.NoError(t, tx.AddClosedSheet("pull", closedSheet("{}")))
			return tx.AddClosedSheet("pull", closedSheet("{}"))
		},
		"a sheet of a show that is not here": func(tx *Tx) error {
			return tx.AddClosedSheet("none",
				closedSheet("{}"))
		},
	} {
		assert.Error(t, s.Write(context.Background(), do), "the database itself refuses %s", name)
	}
	assert.Equal(t, want, get())
}

func TestShow_IsListedOnceDuringWrites(t *testing.T) {
	t.Parallel()
	s := openShows(t)
	for i, date := range []string{"2026-07-18", "2026-07-18", "2025-07-19", "2026-08-01", "2026-07-18"} {
		write(t, s, func(tx *Tx) error { return tx.AddShow(showOf(fmt.Sprint("pull-", i), date, "bluestem", "farm")) })
	}
	var seen []string
	for after, page := "", 0; ; page++ {
		var shows []Show
		read(t, s, func(r *Reads) (err error) {
			shows, after, err = r.Shows(after, 2)
			return err
		})
		for _, show := range shows {
			seen = append(seen, show.ID)
			assert.Equal(t, []string{"farm"}, show.Classes)
		}
		if page == 0 { // meanwhile somebody writes, before and after the page just read
			write(t, s, func(tx *Tx) error {
				require.NoError(t, tx.AddShow(showOf("newest", "2026-12-01", "bluestem")))
				require.NoError(t, tx.AddShow(showOf("pull-3b", "2026-07-18", "bluestem", "farm")))
				return tx.DeleteShow("pull-0") // the last one on that page
			})
		}
		if after == "" {
			break
		}
	}
	assert.Equal(t, []string{"pull-3", "pull-0", "pull-1", "pull-3b", "pull-4", "pull-2"}, seen)
	for _, position := range []string{"", "pull", "2026-07-18", "2026-07-18:", "2026-99-01:pull"} {
		err := s.Read(context.Background(), func(r *Reads) error {
			_, _, err := r.Shows(encodeCursor(showCursor, position), 2)
			return err
		})
		assertFaultAt(t, err, "after")
	}
}

func TestShow_IsFoundByDatePlaceAndClass(t *testing.T) {
	t.Parallel()
	s := openShows(t)
	read(t, s, func(r *Reads) error {
		date, err := r.NewestShow()
		assert.Empty(t, date)
		return err
	})
	at := func(id, date, place string, reopened bool, classes ...string) Show {
		show := showOf(id, date, "bluestem", classes...)
		show.Place, show.Reopened = place, reopened
		return show
	}
	write(t, s, func(tx *Tx) error {
		for _, show := range []Show{
			at("a", "2024-07-20", "Millbrook", false, "farm", "stock"),
			at("b", "2025-07-19", "MILLBROOK", false, "farm", "antique"),
			at("c", "2026-05-02", "Oakfield", true, "farm", "antique", "stock"),
			at("d", "2026-07-18", "Millbrook", false, "farm"),
			at("e", "2026-07-18", "Millbrook", false, "farm"),
		} {
			require.NoError(t, tx.AddShow(show))
		}
		return tx.AddClosedSheet("a", closedSheet(`{"rows":[]}`))
	})
	ids := func(shows []Show) (ids []string) {
		for _, show := range shows {
			ids = append(ids, show.ID)
		}
		return ids
	}
	read(t, s, func(r *Reads) error {
		newest, err := r.NewestShow()
		require.NoError(t, err)
		assert.Equal(t, "2026-07-18", newest)
		open, err := r.OpenShows("2026-07-17")
		require.NoError(t, err)
		assert.Equal(t, []string{"b"}, ids(open), "a keeps its sheet, c was opened again, d is to come")
		between, err := r.ShowsBetween("2025-07-19", "2026-05-02")
		require.NoError(t, err)
		assert.Equal(t, []string{"b", "c"}, ids(between))
		some, err := r.ShowsByID([]string{"e", "a", "none"})
		require.NoError(t, err)
		assert.Equal(t, []string{"a", "e"}, ids(some))
		assert.True(t, some[0].Over)
		places, err := r.Places("2026-07-18")
		require.NoError(t, err)
		assert.ElementsMatch(t, []string{"Millbrook", "MILLBROOK", "Oakfield"}, places)
		anywhere, err := r.LastShows([]string{"farm", "antique", "hot"}, "2026-07-18", nil)
		require.NoError(t, err)
		assert.Equal(t, map[string]string{"farm": "c", "antique": "c"}, anywhere)
		here, err := r.LastShows([]string{"farm", "antique", "stock"}, "2026-07-18", []string{"Millbrook", "MILLBROOK"})
		require.NoError(t, err)
		assert.Equal(t, map[string]string{"farm": "b", "antique": "b", "stock": "a"}, here)
		last, err := r.LastShows([]string{"farm"}, "2026-07-19", nil)
		require.NoError(t, err)
		assert.Equal(t, map[string]string{"farm": "e"}, last)
		sheets, err := r.ClosedSheets([]string{"a", "b"})
		require.NoError(t, err)
		assert.Equal(t, map[string]fleet.ClosedSheet{"a": closedSheet(`{"rows":[]}`)}, sheets)
		of, err := r.ShowsOfClass("antique")
		require.NoError(t, err)
		assert.Len(t, of, 2)
		assert.Equal(t, "The c", of[0].Name)
		return nil
	})
	// The look for what is due comes before every write: it must not read every show there ever was.
	plan := planOf(t, s, "SELECT * FROM shows WHERE NOT closed AND NOT reopened AND date <= '2026-07-17' "+
		"ORDER BY date, id")
	assert.Contains(t, plan, "shows_open")
}

// planOf is how the database would answer a query if the tables were large.
func planOf(t *testing.T, s *Store, query string) string {
	t.Helper()
	var steps []string
	read(t, s, func(r *Reads) error {
		if s.server == nil {
			var plan []struct{ Detail string }
			err := r.db.Raw("EXPLAIN QUERY PLAN " + query).Scan(&plan).Error
			for _, step := range plan {
				steps = append(steps, step.Detail)
			}
			return err
		}
		if err := r.db.Exec("SET LOCAL enable_seqscan = off").Error; err != nil {
			return err
		}
		return r.db.Raw("EXPLAIN " + query).Scan(&steps).Error
	})
	require.NotEmpty(t, steps)
	return strings.Join(steps, "\n")
}

func TestShow_ReturnsWhatIsNotedOfIt(t *testing.T) {
	t.Parallel()
	s := openShows(t)
	topOut, longest, hooks, full := 254.3, 311.4, 12, 3
	write(t, s, func(tx *Tx) error { return tx.AddShow(showOf("pull", "2026-07-18", "fescue", "farm", "stock")) })
	line := func(id string, hook int) fleet.AsRun {
		return fleet.AsRun{ID: id, Show: "pull", Class: "farm", Sled: "fescue", GearID: "fescue-2", Gear: "2",
			StartFt: 0.5, FromHook: hook, CreatedAt: noon}
	}
	third, first, second := line("third", 9), line("first", 1), line("second", 9)
	third.PullOff, third.Weights, third.Note, third.TopOutFt, third.Changed = true, "all in", "two\nlines",
		&topOut, true
	went := fleet.Outcome{LongestFt: &longest, Hooks: &hooks, FullPulls: &full, Felt: fleet.Hard, Note: "dry"}
	at := ShowClass{"pull", "farm"}
	write(t, s, func(tx *Tx) error {
		for _, a := range []fleet.AsRun{second, first, third} {
			require.NoError(t, tx.AddAsRun(a))
		}
		require.NoError(t, tx.PutOutcome(at, fleet.Outcome{Felt: fleet.Soft}))
		return tx.PutOutcome(at, went)
	})
	read(t, s, func(r *Reads) error {
		lines, err := r.AsRun([]string{"pull", "none"})
		require.NoError(t, err)
		assert.Equal(t, map[ShowClass][]fleet.AsRun{at: {first, second, third}}, lines, "by hook, then as written")
		counts, err := r.CountAsRunByGear("fescue")
		require.NoError(t, err)
		assert.Equal(t, map[string]int{"fescue-2": 3}, counts)
		outcomes, err := r.Outcomes([]string{"pull"})
		assert.Equal(t, map[ShowClass]fleet.Outcome{at: went}, outcomes)
		return err
	})
	for name, do := range map[string]func(tx *Tx) error{
		"a line of a class that is not listed": func(tx *Tx) error {
			a := line("x", 1)
			a.Class = "hot"
			return tx.AddAsRun(a)
		},
		"an outcome of such a class": func(tx *Tx) error { return tx.PutOutcome(ShowClass{"pull", "hot"}, went) },
		"taking a class with notes off": func(tx *Tx) error {
			return tx.ReplaceShow(showOf("pull", "2026-07-18", "fescue", "stock"))
		},
		"deleting a show with notes": func(tx *Tx) error { return tx.DeleteShow("pull") },
	} {
		assert.Error(t, s.Write(context.Background(), do), "the database itself refuses %s", name)
	}
	err := s.Write(context.Background(), func(tx *Tx) error {
		return tx.DeleteAsRun(ShowClass{"pull", "stock"}, "first")
	})
	assert.Equal(t, fleet.NotFound, kindOf(t, err))
	read(t, s, func(r *Reads) error {
		used, err := r.SledInUse("fescue")
		assert.True(t, used)
		return err
	})
	write(t, s, func(tx *Tx) error {
		for _, id := range []string{"first", "second", "third"} {
			require.NoError(t, tx.DeleteAsRun(at, id))
		}
		require.NoError(t, tx.DeleteOutcome(at))
		require.NoError(t, tx.AddClosedSheet("pull", closedSheet("{}")))
		return tx.DeleteShow("pull")
	})
	read(t, s, func(r *Reads) error {
		used, err := r.SledInUse("fescue")
		assert.False(t, used)
		return err
	})
}
