package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
)

func TestScratchTonight(t *testing.T) {
	if os.Getenv("SCRATCH") == "" {
		t.Skip()
	}
	a := calibrate.Assumption{DayPct: 1, ReadingPct: 0.7, DF: 2}
	for _, plan := range []string{"default", "advised", "sparse"} {
		for _, daySD := range []float64{0.5, 1, 2, 3} {
			for _, n := range []int{1, 5, 8} {
				rng := rand.New(rand.NewPCG(uint64(10*daySD), uint64(n)))
				spec := calibratetest.Spec{Sleds: n, Gears: 5, DaySD: daySD / 100, ReadingSD: 0.007, LeastDays: 2, MostDays: 4, Starts: []float64{4, 8}, TapeSD: 0.1}
				switch plan {
				case "advised":
					spec.Plan = calibratetest.Advised()
				case "sparse":
					spec.Plan = calibratetest.Sparse()
				}
				in, all, inAvg, inDay, allDay := 0, 0, 0, 0, 0
				width, widthDay, wAvg := 0.0, 0.0, 0.0
				for range 1500 / n {
					fl := calibratetest.Draw(rng, spec)
					night := make([]float64, n)
					for i := range fl {
						night[i] = daySD / 100 * rng.NormFloat64()
					}
					charts, _ := calibratetest.Charts(fl, a)
					for i := range fl {
						for g := range 5 {
							e := charts[i].At(g, 0)
							next := fl[i].TopOut(g, 0) * math.Exp(night[i]+0.007*rng.NormFloat64())
							all++
							if e.TonightLowFt <= next && next <= e.TonightHighFt {
								in++
							}
							if tr := fl[i].TopOut(g, 0); e.LowFt <= tr && tr <= e.HighFt {
								inAvg++
							}
							width += e.TonightHighFt - e.TonightLowFt
							wAvg += e.HighFt - e.LowFt
						}
						// three pulls tonight
						s := fl[i]
						for k := range 3 {
							s.Add(rng, 0.007, night[i], 20, k+1, 0)
						}
						fl[i] = s
					}
					charts, _ = calibratetest.Charts(fl, a)
					for i := range fl {
						c := charts[i].On("2026-05-21")
						for g := range 5 {
							e := c.At(g, 0)
							next := fl[i].TopOut(g, 0) * math.Exp(night[i]+0.007*rng.NormFloat64())
							allDay++
							if e.TonightLowFt <= next && next <= e.TonightHighFt {
								inDay++
							}
							widthDay += e.TonightHighFt - e.TonightLowFt
						}
					}
				}
				fmt.Printf("%-8s day %.1f%% %d sleds: average %.1f (± %.1f) tonight %.1f (± %.1f) after 3 pulls %.1f (± %.1f)\n", plan, daySD, n, 100*float64(inAvg)/float64(all), wAvg/float64(all)/2, 100*float64(in)/float64(all), width/float64(all)/2, 100*float64(inDay)/float64(allDay), widthDay/float64(allDay)/2)
			}
		}
	}
	// bend
	for _, start := range []float64{4, 8, 12} {
		in, all := 0, 0
		rng := rand.New(rand.NewPCG(5, 5))
		for range 300 {
			spec := calibratetest.Spec{Sleds: 4, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4, TapeSD: 0.1,
				Bend: func(x float64) float64 { return 1 - (x+0.05*x*x)/1.05 }}
			fl := calibratetest.Draw(rng, spec)
			charts, _ := calibratetest.Charts(fl, a)
			for i := range fl {
				for g := range 5 {
					e := charts[i].At(g, start)
					tr := fl[i].TopOut(g, start)
					all++
					if e.LowFt <= tr && tr <= e.HighFt {
						in++
					}
				}
			}
		}
		fmt.Printf("bend at %g: average %.1f\n", start, 100*float64(in)/float64(all))
	}
}
