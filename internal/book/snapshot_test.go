package book

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
)

// Readers ask while a writer writes. The writer notes what the fleet holds at each revision before anybody can see
// it; each answer must be of the revision it claims, and of none older than the last acknowledged before the question.
func TestSnapshot_EveryAnswerIsOfItsRevision(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	type state map[string]int // readings by sled; a sled that is not in it is not there
	var mu sync.Mutex
	states := map[int64]state{2: {"bluestem": 0, "fescue": 0}}
	var acknowledged atomic.Int64
	acknowledged.Store(2)
	stateAt := func(revision int64) state {
		mu.Lock()
		defer mu.Unlock()
		return states[revision]
	}

	ctx, stop := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	var asked atomic.Int64
	for reader := range 4 {
		wg.Go(func() {
			for ctx.Err() == nil {
				asked.Add(1)
				least := acknowledged.Load()
				var revision int64
				found := state{}
				switch reader % 2 {
				case 0:
					table, err := b.Table(context.Background(), "bluestem", 0, "")
					if !assert.NoError(t, err) {
						return
					}
					revision = table.Revision
					for _, s := range append(table.Sleds, table.Reference) {
						found[s.ID] = s.Readings
					}
				default:
					chart, err := b.Chart(context.Background(), "bluestem", nil, "", "")
					if !assert.NoError(t, err) {
						return
					}
					revision = chart.Revision
					found = state{"bluestem": chart.Sled.Readings}
					for id, n := range stateAt(revision) {
						if id != "bluestem" {
							found[id] = n
						}
					}
					if chart.Sled.Readings > 0 {
						assert.Equal(t, fleet.Measured, chart.Gears[0].TopOuts[0].Basis,
							"the chart is fitted to these readings")
					}
				}
				assert.GreaterOrEqual(t, revision, least)
				assert.Equal(t, stateAt(revision), found, "at revision %d", revision)
			}
		})
	}

	random := rand.New(rand.NewPCG(1, 2))
	now := state{"bluestem": 0, "fescue": 0}
	for revision := int64(3); revision < 120; revision++ {
		next := state{}
		for id, n := range now {
			next[id] = n
		}
		var do func(w *Writer) error
		switch random.IntN(4) {
		case 0: // a sled comes, or goes while it has no readings
			if n, there := now["brome"]; there && n == 0 {
				delete(next, "brome")
				do = func(w *Writer) error { _, _, err := w.RemoveSled("brome", whatever); return err }
				break
			} else if !there {
				next["brome"] = 0
				do = func(w *Writer) error { _, err := w.AddSled(sledOf("Brome", ft(35), "A")); return err }
				break
			}
			fallthrough
		case 1:
			next["fescue"]++
			do = func(w *Writer) error {
				_, err := w.AddReading("fescue", readingOf("A", 0, 290+random.Float64()), Answers{})
				return err
			}
		default:
			next["bluestem"] += 2
			do = func(w *Writer) error {
				for range 2 {
					if _, err := w.AddReading("bluestem", readingOf("A", 0, 300+random.Float64()),
						Answers{}); err != nil {
						return err
					}
				}
				return nil
			}
		}
		mu.Lock()
		states[revision] = next
		mu.Unlock()
		write(t, b, do)
		got, err := b.Revision(context.Background())
		require.NoError(t, err)
		require.Equal(t, revision, got)
		acknowledged.Store(revision)
		now = next
	}
	stop()
	wg.Wait()
	assert.Greater(t, asked.Load(), int64(20), "there were questions meanwhile")
}

func TestSnapshot_FitsOnlyWhatAWriteTouches(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	ctx := context.Background()
	addReading(t, b, "bluestem", readingOf("A", 0, 300))
	addReading(t, b, "fescue", readingOf("A", 0, 290))
	before, err := b.current(ctx)
	require.NoError(t, err)
	again, err := b.current(ctx)
	require.NoError(t, err)
	assert.Same(t, before, again)
	bluestem, fescue := before.sledState("bluestem").chart(), before.sledState("fescue").chart()

	// One reading of another gear from another start says nothing of how repeatable measuring is.
	write(t, b, func(w *Writer) error { _, err := w.AddSled(sledOf("Brome", nil, "A")); return err })
	addReading(t, b, "fescue", readingOf("B", 0, 270))
	after, err := b.current(ctx)
	require.NoError(t, err)
	require.Equal(t, before.variances, after.variances)
	assert.Same(t, bluestem, after.sledState("bluestem").chart())
	assert.NotSame(t, fescue, after.sledState("fescue").chart())
	assert.Same(t, fescue, before.sledState("fescue").chart(), "an answer under way keeps its own")

	// Repeats that lie far apart move the variances, and with them every chart.
	for _, d := range []float64{300, 270, 330, 250, 320} {
		addReading(t, b, "bluestem", readingOf("A", 0, d))
	}
	later, err := b.current(ctx)
	require.NoError(t, err)
	require.NotEqual(t, after.variances, later.variances)
	assert.NotSame(t, after.sledState("fescue").chart(), later.sledState("fescue").chart())
}

// The same data give the same answer, whether they came one by one under questions or were read at a fresh start.
func TestSnapshot_AfterARestartGivesTheSameAnswers(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	ctx := context.Background()
	for i, r := range manyReadings(24) {
		r.DistanceFt += float64(i%5) * 0.7
		addReading(t, b, r.Sled, r)
		_, err := b.Table(ctx, "bluestem", 0, "")
		require.NoError(t, err)
	}
	fresh := New(b.store, Options{Now: b.now, Assumed: assumed})
	for _, ask := range []func(*Book) (any, error){
		func(b *Book) (any, error) { return b.Table(ctx, "bluestem", 0, "") },
		func(b *Book) (any, error) { return b.Chart(ctx, "fescue", []float64{0, 4}, "", "") },
		func(b *Book) (any, error) { return b.Equivalents(ctx, Question{Sled: "fescue", Gear: "B", StartFt: 2}) },
		func(b *Book) (any, error) {
			svg, _, err := b.DrawChart(ctx, "bluestem", "", plotting.Style{})
			return string(svg), err
		},
	} {
		want, err := ask(b)
		require.NoError(t, err)
		got, err := ask(fresh)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

func TestSnapshot_ACanceledQuestionLeavesNoTrace(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := b.Table(ctx, "bluestem", 0, "")
	assert.ErrorIs(t, err, context.Canceled)
	_, err = b.Table(context.Background(), "bluestem", 0, "")
	assert.NoError(t, err)
}

// openLarge has sleds of five gears with twenty readings each.
func openLarge(t testing.TB, sleds int) *Book {
	t.Helper()
	b, _ := openBook(t)
	write(t, b, func(w *Writer) error {
		for n := range sleds {
			s, err := w.AddSled(sledOf(fmt.Sprintf("Sled %d", n), ft(34), "A", "B", "C", "D", "E"))
			if err != nil {
				return err
			}
			for i := range 20 {
				r := readingOf(s.Gears[i%5].Label, float64(i/10)*4,
					300-float64(i%5)*12-float64(i/10)*30+float64((i*n)%7)*0.4)
				if _, err := w.AddReading(s.ID, r, Answers{}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	return b
}

// What a write costs the next question, by what it asks.
func BenchmarkAfterAWrite(b *testing.B) {
	ctx := context.Background()
	for _, sleds := range []int{6, 300} {
		for name, ask := range map[string]func(*Book) error{
			"nothing":   func(b *Book) error { _, err := b.current(ctx); return err },
			"one chart": func(b *Book) error { _, err := b.Chart(ctx, "sled-1", nil, "", ""); return err },
			"one answer": func(b *Book) error {
				_, err := b.Equivalents(ctx, Question{Sled: "sled-1", Gear: "C", On: []string{"sled-2"}})
				return err
			},
			"the table": func(b *Book) error { _, err := b.Table(ctx, "sled-1", 0, ""); return err },
		} {
			b.Run(fmt.Sprintf("%d sleds/%s", sleds, name), func(b *testing.B) {
				book := openLarge(b, sleds)
				r := addReading(b, book, "sled-0", readingOf("A", 0, 300))
				why := []*string{&r.ID, nil} // left out and brought back: the sled stays as large as it is
				for n := 0; b.Loop(); n++ {
					b.StopTimer()
					write(b, book, func(w *Writer) error { _, err := w.SetAside(r.ID, why[n%2]); return err })
					b.StartTimer()
					require.NoError(b, ask(book))
				}
			})
		}
	}
}
