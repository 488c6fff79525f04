package book

import (
	"context"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestShow_IsOverFromNoonOfTheNextDay(t *testing.T) {
	t.Parallel()
	west := time.FixedZone("six hours behind", -6*3600)
	for says, c := range map[string]struct {
		now  time.Time
		want string
	}{
		"a minute before noon": {time.Date(2026, 7, 19, 11, 59, 0, 0, west), "2026-07-17"},
		"at noon":              {time.Date(2026, 7, 19, 12, 0, 0, 0, west), "2026-07-18"},
		"at midnight":          {time.Date(2026, 8, 1, 0, 0, 0, 0, west), "2026-07-30"},
		"late in the evening":  {time.Date(2026, 3, 1, 23, 0, 0, 0, west), "2026-02-28"},
	} {
		assert.Equal(t, c.want, lastOverDate(c.now.UTC(), west), says)
	}
}

// A show is over by the clock of its place, for two programs in different zones over one database, and the dates of its
// classes and of what is due on its sled are those of the place.
func TestShow_GoesByTheZoneOfItsPlace(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t)
	assert.Equal(t, "UTC", s.Zone, "the server's")
	zone := func(name string) *time.Location {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		return zone
	}
	other := New(b.store, Options{Now: b.now, Assumed: assumed, Zone: zone("Asia/Tokyo")})
	s.Zone = "Pacific/Honolulu"
	write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, s); return err })
	s.Zone = ""
	write(t, other, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, s); return err })
	honolulu := zone("Pacific/Honolulu") // ten hours behind UTC
	for says, c := range map[string]struct {
		now  time.Time
		over bool
	}{
		"noon of the next day has passed at both servers": {time.Date(2026, 7, 19, 13, 0, 0, 0, time.UTC), false},
		"a minute before noon at the show":                {time.Date(2026, 7, 19, 11, 59, 0, 0, honolulu), false},
		"noon at the show":                                {time.Date(2026, 7, 19, 12, 0, 0, 0, honolulu), true},
	} {
		clock.now = c.now
		for _, b := range []*Book{b, other} {
			got, err := b.Show(context.Background(), s.ID)
			require.NoError(t, err)
			assert.Equal(t, c.over, got.Over, says)
			assert.Equal(t, "Pacific/Honolulu", got.Zone)
		}
	}

	clock.now = time.Date(2026, 7, 19, 9, 0, 0, 0, time.UTC) // July 18, 23:00 at the show
	for _, b := range []*Book{b, other} {
		write(t, b, func(w *Writer) error {
			c, err := w.ReplaceClass("antique", anyClass, classOf("Antique", "bluestem", "C", 0), true)
			assert.Equal(t, "2026-07-18", c.Setting.NotedOn)
			return err
		})
		due, err := b.Due(context.Background(), "fescue", "", "")
		require.NoError(t, err)
		assert.Equal(t, []any{"2026-07-18", s.ID}, []any{due.On, due.Show.ID})
		of := addClass(t, b, classOf("Class at "+b.zone.String(), "bluestem", "C", 0))
		assert.Equal(t, "2026-07-19", of.Setting.NotedOn, "of no show: where the program runs")
		open, err := b.Show(context.Background(), s.ID)
		require.NoError(t, err)
		assert.False(t, open.Over, "a write there has not closed it")
	}
	clock.now = time.Date(2026, 7, 20, 9, 0, 0, 0, time.UTC)
	write(t, b, func(w *Writer) error {
		c, err := w.ReplaceClass("antique", anyClass, classOf("Antique", "bluestem", "C", 0), true)
		assert.Equal(t, "2026-07-19", c.Setting.NotedOn, "the last show that listed it is over")
		return err
	})
}

// asClosed is what a closed sheet shows, as JSON.
func asClosed(t testing.TB, s Sheet) string {
	t.Helper()
	s.Rows = slices.Clone(s.Rows)
	for i := range s.Rows {
		// The page does not show who wrote a class when.
		s.Rows[i].Class.Revision, s.Rows[i].Class.CreatedAt, s.Rows[i].Class.UpdatedAt = 0, time.Time{}, time.Time{}
	}
	text, err := json.Marshal(map[string]any{"sled": s.Sled.ID, "name": s.Sled.Name, "rows": s.Rows})
	require.NoError(t, err)
	return string(text)
}

// upset changes everything that a sheet is made from.
func upset(t testing.TB, b *Book) {
	t.Helper()
	for _, sled := range []string{"bluestem", "fescue"} {
		s, err := b.Sled(context.Background(), sled)
		require.NoError(t, err)
		for range 5 {
			addReading(t, b, sled, readingOf(s.Gears[1].Label, 0, 320))
		}
	}
	write(t, b, func(w *Writer) error {
		next := sledOf("Red Fescue", ft(30), "9", "8", "7")
		_, err := w.CorrectSled("fescue", whatever, Correction{Sled: next, Was: []string{"1", "2", "3"}})
		return err
	})
	write(t, b, func(w *Writer) error {
		c := classOf("Very Antique", "bluestem", "A", 3)
		c.Weights = "all off"
		_, err := w.ReplaceClass("antique", anyClass, c, true)
		return err
	})
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("fescue", whatever); return err })
}

func TestShow_ThatIsOverHasAClosedSheet(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]func(b *Book, clock *at, s fleet.Show){
		"because somebody says so": func(b *Book, _ *at, s fleet.Show) {
			s.Over = true
			write(t, b, func(w *Writer) error {
				got, err := w.ReplaceShow(s.ID, anyShow, s)
				assert.True(t, got.Over)
				return err
			})
		},
		"because of its date": func(_ *Book, clock *at, _ fleet.Show) {
			clock.now = time.Date(2026, 7, 19, 12, 0, 0, 0, time.UTC)
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b, clock, s := openShow(t)
			before := asClosed(t, sheetOf(t, b, s.ID, ""))
			end(b, clock, s)
			over := sheetOf(t, b, s.ID, "")
			assert.True(t, over.Show.Over)
			upset(t, b)
			after := sheetOf(t, b, s.ID, "")
			assert.Equal(t, before, asClosed(t, after), "to the last digit")
			assert.Equal(t, "Fescue", after.Sled.Name)
			assert.Equal(t, "Antique", after.Rows[1].Class.Name)
			fresh := New(b.store, Options{Now: b.now, Assumed: assumed})
			assert.Equal(t, after, sheetOf(t, fresh, s.ID, ""))

			// Asked of another sled, it is worked out today, beside what was planned.
			timothy := sheetOf(t, b, s.ID, "timothy")
			assert.Equal(t, "Very Antique", timothy.Rows[1].Class.Name)
			assert.Equal(t, after.Rows[1].Tonight, *timothy.Rows[1].Booked)
			// What was run may still be noted, against the sled as it is now.
			write(t, b, func(w *Writer) error {
				_, err := w.AddAsRun(s.ID, "antique", fleet.AsRun{FromHook: 1, Gear: "9"}, nil)
				return err
			})
			assert.Len(t, sheetOf(t, b, s.ID, "").Rows[1].AsRun, 1)

			// Its words may still be put right, its sled and classes only once it is opened again.
			got, err := b.Show(context.Background(), s.ID)
			require.NoError(t, err)
			got.Place = "Milbrook"
			write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, got); return err })
			assert.Equal(t, before, asClosed(t, sheetOf(t, b, s.ID, "")))
			got.Sled = "bluestem"
			e := refused(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, got); return err })
			assert.Equal(t, fleet.Conflict, e.Kind)
			assert.Contains(t, e.Detail, "open it again")
			got.Over = false
			write(t, b, func(w *Writer) error {
				again, err := w.ReplaceShow(s.ID, anyShow, got)
				assert.False(t, again.Over, "by choice, whatever its date")
				return err
			})
			addReading(t, b, "bluestem", readingOf("A", 0, 300)) // a write, before which what is due is closed
			opened := sheetOf(t, b, s.ID, "")
			assert.False(t, opened.Show.Over)
			assert.Equal(t, "bluestem", opened.Sled.ID)
			assert.Equal(t, "Very Antique", opened.Rows[1].Class.Name)
		})
	}
}

// A show that was over when it was first noted, and one that is put off, go by their dates.
func TestShow_ClosesByItsDate(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t)
	past := addShow(t, b, fleet.Show{Name: "Spring Pull", Date: "2026-05-01", Sled: "bluestem",
		Classes: []string{"antique"}})
	assert.True(t, past.Over)
	before := asClosed(t, sheetOf(t, b, past.ID, ""))
	said := addShow(t, b, fleet.Show{Name: "Autumn Pull", Date: "2026-09-01", Sled: "bluestem",
		Classes: []string{"antique"}, Over: true})
	assert.True(t, said.Over)
	autumn := asClosed(t, sheetOf(t, b, said.ID, ""))
	upset(t, b)
	assert.Equal(t, before, asClosed(t, sheetOf(t, b, past.ID, "")))
	assert.Equal(t, autumn, asClosed(t, sheetOf(t, b, said.ID, "")))

	clock.now = time.Date(2026, 7, 20, 12, 0, 0, 0, time.UTC)
	s.Date, s.Over = "2026-08-01", false
	var put fleet.Show
	write(t, b, func(w *Writer) (err error) {
		put, err = w.ReplaceShow(s.ID, anyShow, s)
		return err
	})
	assert.False(t, put.Over)
	assert.Equal(t, "harvest-pull-2026-07-18", put.ID)
	clock.now = time.Date(2026, 8, 2, 12, 0, 0, 0, time.UTC)
	got, err := b.Show(context.Background(), s.ID)
	require.NoError(t, err)
	assert.True(t, got.Over, "put off, it is over a day after its new date")
	shows, _, err := b.Shows(context.Background(), "", 10)
	require.NoError(t, err)
	assert.True(t, shows[1].Over)
	write(t, b, func(w *Writer) error { return w.RemoveShow(s.ID, anyShow) })
}

// A write that fails has closed nothing.
func TestShow_IsNotClosedByAFailedWrite(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t)
	clock.now = time.Date(2026, 7, 19, 12, 0, 0, 0, time.UTC)
	before, err := b.Revision(context.Background())
	require.NoError(t, err)
	refused(t, b, func(w *Writer) error { return w.RemoveShow("nothing", anyShow) })
	revision, err := b.Revision(context.Background())
	require.NoError(t, err)
	assert.Equal(t, before, revision)
	planned := asClosed(t, sheetOf(t, b, s.ID, ""))
	upset(t, b)
	assert.Equal(t, planned, asClosed(t, sheetOf(t, b, s.ID, "")))
}
