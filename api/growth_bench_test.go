package main

import (
	"context"
	"flag"
	"fmt"
	"image/color"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
)

var curves = flag.String("curves", "", "with -bench Growth, the `folder` to draw its curves into")

// BenchmarkGrowth is what a fleet's size costs: five gears a sled, six readings a gear on two days.
//
//   - write and ask: a reading is set aside or brought back, then its sled's gear is asked for on one other sled
//   - table: the whole fleet from one sled, after a write
//   - start: from starting the program until /readyz answers and a first question has been answered
//   - memory: what the program holds once every chart has been fitted
//
// A file first, then a PostgreSQL server of the benchmark's own on this machine. With -curves it draws them.
//
//	go test -run '^$' -bench Growth -benchtime 50x ./api -args -curves ../testdata/growth
func BenchmarkGrowth(b *testing.B) {
	all := map[string][]curve{} // by what was measured
	for place, on := range []struct {
		name string
		db   func() string
	}{
		{"a file", func() string { return filepath.Join(b.TempDir(), "fleet.db") }},
		{"a server", func() string { return storetest.Postgres(b).URL(b) }},
	} {
		for _, sleds := range []int{10, 100, 1000, 4000} {
			db := on.db()
			fillFleet(b, db, sleds)
			b.Run(fmt.Sprintf("%s/%d sleds", on.name, sleds), func(b *testing.B) {
				for what, value := range grownTo(b, db, sleds) {
					if len(all[what]) == place {
						all[what] = append(all[what], curve{on: on.name})
					}
					points := &all[what][place].points
					*points = append(*points, plotter.XY{X: float64(sleds), Y: value})
				}
			})
		}
	}
	if *curves != "" {
		drawCurves(b, all)
	}
}

// curve is one measure by the number of sleds.
type curve struct {
	on     string // what the database is
	points plotter.XYs
}

// grownTo measures a program over a database with so many sleds and returns what it reports, by what it is.
func grownTo(b *testing.B, db string, sleds int) map[string]float64 {
	before := heap()
	began := time.Now()
	address := benchProgram(b, db)
	askOnce(b, address, "/readyz")
	ready := time.Since(began)
	askOnce(b, address, "/v1/sleds/sled-1/chart")
	first := time.Since(began)
	writes := fidgetOn(b, address, "sled-1")
	question := dialled(b, address, "/v1/equivalents?sled=sled-1&gear=C&on=sled-2", "")
	var both, table time.Duration
	for b.Loop() {
		began := time.Now()
		writes.write(b)
		require.NoError(b, question.ask())
		both += time.Since(began)
		require.Equal(b, http.StatusOK, question.status)
	}
	const tables = 3
	for range tables {
		writes.write(b)
		began := time.Now()
		askOnce(b, address, "/v1/table?reference=sled-1")
		table += time.Since(began) / tables
	}
	held := float64(heap()-before) / float64(sleds)
	out := map[string]float64{}
	for _, of := range []struct {
		what, unit string
		value      float64
	}{
		{"write and ask, ms", "ms/write+ask", both.Seconds() * 1e3 / float64(b.N)},
		{"table, ms", "ms/table", table.Seconds() * 1e3},
		{"start until ready, ms", "ms/ready", ready.Seconds() * 1e3},
		{"start until the first answer, ms", "ms/first-answer", first.Seconds() * 1e3},
		{"memory, kB per sled", "kB/sled", held / 1e3},
	} {
		b.ReportMetric(of.value, of.unit)
		out[of.what] = of.value
	}
	return out
}

// fillFleet stores sleds with thirty readings each.
func fillFleet(b *testing.B, db string, sleds int) {
	b.Helper()
	st, err := store.Open(b.Context(), db, store.Options{})
	require.NoError(b, err)
	defer func() { require.NoError(b, st.Close()) }()
	of := book.New(st, book.Options{Assumed: usualAssumption})
	travel := 34.0
	labels := []string{"A", "B", "C", "D", "E"}
	const atATime = 200
	for from := 0; from < sleds; from += atATime {
		require.NoError(b, of.Write(context.Background(), fleet.TheProgram(), func(w *book.Writer) error {
			for n := from; n < min(from+atATime, sleds); n++ {
				s := fleet.Sled{Name: fmt.Sprintf("Sled %d", n+1), TravelFt: &travel,
					RailMarkFt: fleet.DefaultRailMarkFt}
				for _, label := range labels {
					s.Gears = append(s.Gears, fleet.Gear{Label: label})
				}
				stored, err := w.AddSled(s)
				if err != nil {
					return err
				}
				if _, err := w.AddReadings(thirtyReadings(stored, n), book.Request{}); err != nil {
					return err
				}
			}
			return nil
		}))
	}
}

func thirtyReadings(s fleet.Sled, n int) func(yield func(fleet.Row[fleet.Reading]) bool) {
	return func(yield func(fleet.Row[fleet.Reading]) bool) {
		for i := range 30 {
			g, start, day := i%5, float64(i/15)*4, i/5%2
			ft := (290 - 12*float64(g) + float64(n%11)) * (34 - start) / 34
			ft *= 1 + 0.008*float64((n+day*7)%5-2)/2 + 0.006*float64((i*n+i)%7-3)/3
			date := fmt.Sprintf("2026-05-%02d", 9+7*day)
			r := fleet.Reading{Sled: s.ID, Gear: s.Gears[g].Label, StartFt: start, DistanceFt: ft,
				Ended: fleet.ToppedOut, MeasuredOn: date, Day: date}
			if !yield(fleet.Row[fleet.Reading]{Number: i + 1, Record: r}) {
				return
			}
		}
	}
}

func askOnce(b *testing.B, address, question string) {
	b.Helper()
	c := dialled(b, address, question, "")
	require.NoError(b, c.ask())
	require.Equal(b, http.StatusOK, c.status, question)
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// drawCurves draws each measure against the number of sleds, both on logarithmic scales; the second curve is dashed.
func drawCurves(b *testing.B, all map[string][]curve) {
	b.Helper()
	require.NoError(b, os.MkdirAll(*curves, 0o755))
	for what, of := range all {
		p := plot.New()
		p.Title.Text = what
		p.X.Label.Text = "sleds"
		p.X.Scale, p.Y.Scale = plot.LogScale{}, plot.LogScale{}
		p.X.Tick.Marker, p.Y.Tick.Marker = plot.LogTicks{Prec: -1}, plot.LogTicks{Prec: -1}
		p.Add(plotter.NewGrid())
		for place, c := range of {
			line, dots, err := plotter.NewLinePoints(c.points)
			require.NoError(b, err)
			line.Color = color.RGBA{R: 0x7b, G: 0x24, B: 0x60, A: 0xff}
			dots.Color = line.Color
			if place > 0 {
				line.Dashes, dots.Shape = []vg.Length{vg.Points(4), vg.Points(3)}, draw.CrossGlyph{}
			}
			p.Add(line, dots)
			p.Legend.Add(c.on, line, dots)
		}
		p.Legend.Top, p.Legend.Left = true, true
		p.Y.Min, p.Y.Max = p.Y.Min/2, p.Y.Max*2
		canvas := vgsvg.New(12*vg.Centimeter, 8*vg.Centimeter)
		p.Draw(draw.New(canvas))
		file, err := os.Create(filepath.Join(*curves, strings.NewReplacer(" ", "-", ",", "").Replace(what)+".svg"))
		require.NoError(b, err)
		_, err = canvas.WriteTo(file)
		require.NoError(b, err)
		require.NoError(b, file.Close())
	}
}
