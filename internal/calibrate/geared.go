package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// geared predicts a gear without a reading from its ratio and the sled's other gears: the logarithm of its way to the
// top stands to theirs as the logarithms of the ratios do. Gears that stand out from the others have no say.
func (c *Chart) geared(gear int, start float64) (Prediction, bool) {
	slow, ok := c.o.slow(gear)
	if !ok {
		return Prediction{}, false
	}
	compared, points := c.againstRatios(start)
	if len(compared) == 0 {
		return Prediction{}, false
	}
	cov := mat.NewSymDense(len(points), nil)
	for i := range points {
		for j := range i + 1 {
			cov.SetSym(i, j, c.covariance(points[i], points[j]).Total())
		}
	}
	f, _ := driveline.FitFactor(compared, cov, math.Inf(1))
	out := map[int]bool{}
	for _, s := range f.StandOut {
		out[s.Gear] = true
	}
	// The factor is a weighted mean of the gears it was fitted to; with equal weights its covariance with every other
	// prediction of the chart is plain, and what that costs is small: the gears of one sled are measured alike.
	p := point{gear: -1, start: start, a: make([]float64, c.shaped.d.p), q: make([]float64, len(c.shaped.tapes)+1)}
	n := float64(len(compared) - len(out))
	for i, k := range compared {
		if out[k.Gear] {
			continue
		}
		p.eta += (k.LogRatio + f.Slope*(-k.LogSpeed-slow)) / n
		for j, a := range points[i].a {
			p.a[j] += a / n
		}
		for j, q := range points[i].q {
			p.q[j] += q / n
		}
		p.bent += points[i].bent / n
	}
	p.eta += slow
	if !(math.Abs(p.eta) < beyondAnyTrack) {
		return Prediction{}, false
	}
	scatter := driveline.ScatterSD*driveline.ScatterSD*(1+1/n) + f.SlopeVar*math.Pow(f.Center+slow, 2)
	return c.predicted(start, fleet.Geared, p, scatter)
}

// againstRatios compares every measured gear whose ratio is known: LogRatio is the logarithm of its measured way to the
// top less its slowness.
func (c *Chart) againstRatios(start float64) (compared []driveline.Compared, points []point) {
	for _, g := range c.o.gears {
		slow, known := c.o.slow(g)
		p, ok := c.shaped.at(g, start)
		if !known || !ok {
			continue
		}
		compared = append(compared, driveline.Compared{Gear: g, LogRatio: p.eta - slow, LogSpeed: -slow})
		points = append(points, p)
	}
	return compared, points
}
