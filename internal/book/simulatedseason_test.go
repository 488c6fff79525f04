package book

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

// offClass is the class whose chart is off.
const offClass = "class-4"

// season is a played season: four sleds, ten classes.
type season struct {
	*Book
	clock *at
	rng   *rand.Rand
	sleds []calibratetest.Sled
	means map[string]float64 // where each class's setting truly tops out, ft
	shows []fleet.Show
}

// openSeason draws four sleds. The gear that one class is used to was measured too short every time, as when its flag
// stands at the wrong mark, so that its chart is offFt off.
func openSeason(t testing.TB, seed uint64, offFt float64) *season {
	t.Helper()
	b, clock := openBook(t)
	s := &season{Book: b, clock: clock, rng: rand.New(rand.NewPCG(seed, 12)), means: map[string]float64{}}
	clock.now = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	spec := usual
	spec.Balanced = true // so that no class but that one has a chart that is off by much
	s.sleds = calibratetest.Draw(s.rng, spec)
	offSled, offGear := &s.sleds[0], 3
	charts, _ := calibratetest.Charts(s.sleds, assumed)
	// All readings of a gear times a factor give its top-out times that factor (method: in logarithms a shift).
	factor := (offSled.TopOut(offGear, 0) - offFt) / charts[0].At(offGear, 0).TopOutFt
	for i := range offSled.Readings {
		if r := &offSled.Readings[i]; r.GearID == offSled.Sled.Gears[offGear].ID {
			r.DistanceFt *= factor
		}
	}
	storeDrawn(t, b, s.sleds)
	for i := range 10 {
		sled, gear := i%4, 1+i%5
		if name := fmt.Sprintf("class-%d", i); name == offClass {
			sled, gear = 0, offGear
		} else if sled == 0 && gear == offGear {
			gear++ // no other class comes from the gear that is off
		}
		c := addClass(t, b, classOf(fmt.Sprint("Class ", i), fmt.Sprint("sled-", sled), fmt.Sprint(gear+1), 0))
		s.means[c.ID] = s.sleds[sled].TopOut(gear, 0)
	}
	return s
}

// book makes show number n, a week after the one before, on the sleds in turn.
func (s *season) book(t testing.TB, n int) fleet.Show {
	t.Helper()
	show := fleet.Show{
		Name: fmt.Sprint("Pull ", n), Sled: fmt.Sprint("sled-", n%4),
		Date: time.Date(2026, 6, 6, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 7*n).Format(time.DateOnly),
	}
	for i := range 10 {
		show.Classes = append(show.Classes, fmt.Sprintf("class-%d", i))
	}
	stored := addShow(t, s.Book, show)
	s.shows = append(s.shows, stored)
	return stored
}

// run plays a show. Where a class's chart is 5 ft off or more its operator sees it on the test pull and sets what makes
// up for it; else one in three is moved a little for reasons of its own, and the rest run as planned.
func (s *season) run(t testing.TB, show fleet.Show) {
	t.Helper()
	s.clock.now = dayOf(t, show).Add(20 * time.Hour)
	sheet := sheetOf(t, s.Book, show.ID, "")
	write(t, s.Book, func(w *Writer) error {
		for _, row := range sheet.Rows {
			n := row.Tonight.Nearest
			line := fleet.AsRun{FromHook: 1, Gear: n.Gear, StartFt: n.StartFt}
			by := s.means[row.Class.ID] - *row.Class.Setting.TopOutFt
			if math.Abs(by) < 5 {
				by = 0
				if s.rng.IntN(3) == 0 {
					by = 3 * s.rng.NormFloat64()
				}
			}
			if by != 0 {
				line.Gear, line.StartFt = s.settingFor(sheet.Sled, n.TopOutFt+by)
				line.Note = "the test pull was off"
			}
			if _, err := w.AddAsRun(show.ID, row.Class.ID, line, &sheet.Show.Revision); err != nil {
				return err
			}
		}
		return nil
	})
}

func dayOf(t testing.TB, show fleet.Show) time.Time {
	t.Helper()
	day, err := time.Parse(time.DateOnly, show.Date)
	require.NoError(t, err)
	return day
}

// settingFor is the gear and the mark on the rails that the chart has nearest to a top-out.
func (s *season) settingFor(sled fleet.Sled, ft float64) (gear string, start float64) {
	snap, err := s.current(context.Background())
	if err != nil {
		panic(err)
	}
	best := math.Inf(1)
	for g := range sled.Gears {
		for mark := 0.0; mark <= 6; mark += sled.RailMarkFt {
			if e := snap.sledState(sled.ID).chart().At(g, mark); e.Known() && math.Abs(e.TopOutFt-ft) < best {
				best, gear, start = math.Abs(e.TopOutFt-ft), sled.Gears[g].Label, mark
			}
		}
	}
	return gear, start
}

func (s *season) pointedOut(t testing.TB, until string) (ids []string, found Season) {
	t.Helper()
	found, err := s.Season(context.Background(), "", until, WithGuests)
	require.NoError(t, err)
	for _, c := range found.Classes {
		if c.Moved.OneWay {
			ids = append(ids, c.ID)
		}
	}
	return ids, found
}

// A class whose chart is 8 ft off, and whose operator corrects it each time, is pointed out by the sixth show, and no
// other ever is.
func TestSeason_PointsOutAClassThatIsMovedOneWay(t *testing.T) {
	t.Parallel()
	for seed := range uint64(6) {
		t.Run(fmt.Sprint("season ", seed), func(t *testing.T) {
			t.Parallel()
			s := openSeason(t, seed, 8)
			for n := range 12 {
				show := s.book(t, n)
				s.run(t, show)
				ids, found := s.pointedOut(t, show.Date)
				require.Equal(t, n+1, found.Shows)
				if n+1 < 6 {
					assert.Subset(t, []string{offClass}, ids, "after %d shows", n+1)
					continue
				}
				require.Equal(t, []string{offClass}, ids, "after %d shows", n+1)
				c := found.Classes[4]
				moves := s.moves(found, offClass)
				require.Len(t, moves, n+1)
				// Now and then what makes up for it is the very moved start that the sheet offers: then nothing was
				// moved.
				later := 0
				for _, m := range moves {
					if m != 0 {
						assert.InDelta(t, 8, m, 2, "marks are half a foot apart, about 4 ft of ground")
						later++
					}
				}
				assert.GreaterOrEqual(t, later, 2*len(moves)/3)
				assert.Equal(t, later, c.Moved.Times)
				assert.Equal(t, len(moves), c.Moved.Shows)
				assert.Equal(t, words.Suspect{Sled: "Sled 0"}, c.Suspect,
					"the class is used to that sled, and was moved on several")
			}
		})
	}
}

func TestSeason_WithNothingWrongPointsOutNothing(t *testing.T) {
	t.Parallel()
	s := openSeason(t, 7, 0)
	for n := range 12 {
		show := s.book(t, n)
		s.run(t, show)
		ids, _ := s.pointedOut(t, show.Date)
		assert.Empty(t, ids, "after %d shows", n+1)
	}
}

// Twelve shows are booked, six are over; the sled of the seventh breaks and another comes. Nothing else changes.
func TestShow_SwapOfTheSledChangesOnlyWhatItShould(t *testing.T) {
	t.Parallel()
	s := openSeason(t, 3, 8)
	ctx := context.Background()
	for n := range 12 {
		s.book(t, n)
	}
	for _, show := range s.shows[:6] {
		s.run(t, show)
	}
	seventh := s.shows[6]
	s.clock.now = dayOf(t, seventh).Add(19 * time.Hour)
	write(t, s.Book, func(w *Writer) error { // hooked once before the sled breaks
		_, err := w.AddAsRun(seventh.ID, "class-0", fleet.AsRun{FromHook: 1, Gear: "3"}, nil)
		return err
	})
	all := func() (sheets map[string]Sheet, classes []ClassView, season Season) {
		sheets = map[string]Sheet{}
		for _, show := range s.shows {
			sheet := sheetOf(t, s.Book, show.ID, "")
			sheet.Revision = 0
			sheets[show.ID] = sheet
		}
		classes, _, err := s.Classes(ctx, "", 100)
		require.NoError(t, err)
		season, err = s.Season(ctx, "", "", WithGuests)
		require.NoError(t, err)
		season.Revision = 0
		return sheets, classes, season
	}
	sheets, classes, season := all()
	would := sheetOf(t, s.Book, seventh.ID, "sled-3")

	swapped := seventh
	swapped.Sled = "sled-3"
	write(t, s.Book, func(w *Writer) error { _, err := w.ReplaceShow(seventh.ID, anyShow, swapped); return err })
	sheetsAfter, classesAfter, seasonAfter := all()
	assert.Equal(t, classes, classesAfter)
	for _, show := range s.shows {
		if show.ID != seventh.ID {
			assert.Equal(t, sheets[show.ID], sheetsAfter[show.ID], show.Name)
		}
	}
	after := sheetsAfter[seventh.ID]
	assert.Equal(t, "sled-3", after.Sled.ID)
	assert.EqualValues(t, 2, after.Show.Revision)
	for i, row := range after.Rows {
		before := sheets[seventh.ID].Rows[i]
		assert.Equal(t, would.Rows[i].Tonight, row.Tonight, "what was shown before the swap")
		assert.Equal(t, before.Tonight, *would.Rows[i].Booked)
		assert.Equal(t, before.Class, row.Class)
		assert.Equal(t, before.AsRun, row.AsRun, "what was run was run")
	}
	assert.Equal(t, "sled-2", after.Rows[0].AsRun[0].Sled)

	require.Len(t, seasonAfter.Classes, len(season.Classes))
	for i, c := range seasonAfter.Classes {
		require.Len(t, c.Lines, 12)
		for k, line := range c.Lines {
			if k != 6 {
				assert.Equal(t, season.Classes[i].Lines[k], line)
			}
		}
		assert.Equal(t, "sled-3", c.Lines[6].Sled)
		assert.Nil(t, c.Lines[6].MovedFt)
	}
	assert.NotNil(t, season.Classes[0].Lines[6].Set)
	assert.Nil(t, seasonAfter.Classes[0].Lines[6].Set, "it was set on another sled, for another plan")
	assert.Equal(t, 6, len(s.moves(season, "class-0"))-1, "the six shows before and the one line of this")
	assert.Len(t, s.moves(seasonAfter, "class-0"), 6)
}

func (s *season) moves(found Season, class string) (moves []float64) {
	for _, c := range found.Classes {
		for _, line := range c.Lines {
			if c.ID == class && line.MovedFt != nil {
				moves = append(moves, *line.MovedFt)
			}
		}
	}
	return moves
}
