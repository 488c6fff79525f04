package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
)

func oneSled(readings int) *calibrate.Notebook {
	rng := rand.New(rand.NewPCG(1, 1))
	s := calibratetest.Draw(rng, calibratetest.Spec{
		Sleds: 1, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 10, MostDays: 10, Starts: []float64{2, 4,
			8}, Balanced: true,
	})[0]
	s.Readings = s.Readings[:readings]
	return &s.Notebook
}

// BenchmarkFit fits one sled of 200 readings on ten days, beside the dense route for its estimate alone: build V,
// invert, multiply.
func BenchmarkFit(b *testing.B) {
	n := oneSled(200)
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	b.Run("by day", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			calibrate.Fit(*n, v)
		}
	})
	b.Run("dense", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			dense(n, v)
		}
	})
}

// BenchmarkAdvise asks what to measure next on a sled of 12 gears whose notebook of 200 readings has one in five off by
// 10 to 70 %, beside one fit of it.
func BenchmarkAdvise(b *testing.B) {
	rng := rand.New(rand.NewPCG(3, 3))
	s := calibratetest.Draw(rng, calibratetest.Spec{
		Sleds: 1, Gears: 12, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 5, MostDays: 5, Starts: []float64{2, 4, 8},
		Balanced: true,
	})[0]
	n := s.Notebook
	n.Readings = n.Readings[:200]
	for i := range n.Readings {
		if i%5 == 0 {
			n.Readings[i].DistanceFt *= 1 + 0.1*float64(1+i%7)
		}
	}
	_, v := calibrate.Pool(calibrate.ShareOf(n, assumed), assumed)
	b.Run("advice", func(b *testing.B) {
		for b.Loop() {
			calibrate.Advise(n, v, nil, 15)
		}
	})
	b.Run("fit", func(b *testing.B) {
		for b.Loop() {
			calibrate.Fit(n, v)
		}
	})
}

func dense(n *calibrate.Notebook, v calibrate.Variances) {
	k := len(n.Readings)
	cov, x := mat.NewSymDense(k, nil), mat.NewDense(k, 5, nil)
	for i, r := range n.Readings {
		for j, q := range n.Readings[:i+1] {
			if r.Day == q.Day {
				cov.SetSym(i, j, v.Day)
			}
		}
		cov.SetSym(i, i, v.Day+v.Reading)
		x.Set(i, n.Sled.GearPlace(r.GearID), 1)
	}
	var vi, xv, xvx, c mat.Dense
	_ = vi.Inverse(cov)
	xv.Mul(x.T(), &vi)
	xvx.Mul(&xv, x)
	_ = c.Inverse(&xvx)
}

// BenchmarkPool re-estimates a whole fleet of 30 readings a sled from kept shares, and takes the shares anew.
func BenchmarkPool(b *testing.B) {
	for _, sleds := range []int{20, 200, 2000} {
		rng := rand.New(rand.NewPCG(2, 2))
		drawn := calibratetest.Draw(rng, calibratetest.Spec{
			Sleds: sleds, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 3, MostDays: 3, Starts: []float64{4},
			Balanced: true,
		})
		shares := make([]calibrate.Share, sleds)
		for i, s := range drawn {
			shares[i] = calibrate.ShareOf(s.Notebook, assumed)
		}
		b.Run(fmt.Sprintf("%d sleds", sleds), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				calibrate.Pool(calibrate.Total(shares), assumed)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(30*sleds), "ns/reading")
		})
		b.Run(fmt.Sprintf("%d shares", sleds), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for _, s := range drawn {
					calibrate.ShareOf(s.Notebook, assumed)
				}
			}
		})
	}
}

// BenchmarkDrift looks for drift on a sled of 1,000 and of 10,000 readings on a hundred days: what it allocates grows
// with the days and not with the square of the readings.
func BenchmarkDrift(b *testing.B) {
	for _, readings := range []int{1000, 10_000} {
		rng := rand.New(rand.NewPCG(3, 3))
		n := sled(30, "A", "B", "C", "D", "E")
		for i := range readings {
			day := time.Date(2020, 1, 1+7*(i%100), 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
			note(n, n.Sled.Gears[i/100%5].Label, 0, 200*math.Exp(0.007*rng.NormFloat64()), on(day))
		}
		_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
		chart := calibrate.Fit(*n, v)
		b.Run(fmt.Sprintf("%d readings", readings), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				chart.Drift()
			}
		})
	}
}
