package calibrate

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread is a variance (or covariance) of logarithms split by where it comes from, because each part is known to
// its own degrees of freedom.
type Spread struct {
	Day     float64 // what days do
	Reading float64 // what single readings do
	Other   float64 // tapes, moved starts, stated figures: taken as known
}

// Total is the whole variance.
func (s Spread) Total() float64 { return s.Day + s.Reading + s.Other }

// Plus adds the variances of independent things.
func (s Spread) Plus(o Spread) Spread {
	return Spread{s.Day + o.Day, s.Reading + o.Reading, s.Other + o.Other}
}

// Times scales.
func (s Spread) Times(f float64) Spread { return Spread{s.Day * f, s.Reading * f, s.Other * f} }

// HalfWidth is half a two-sided 95 % interval: Student t with effective degrees of freedom times the standard
// uncertainty.
func (v Variances) HalfWidth(s Spread) float64 {
	total := s.Total()
	if !(total > 0) {
		return 0
	}
	return t95(v.df(s)) * math.Sqrt(total)
}

// df are the effective degrees of freedom of a variance: ν = total² / Σ u⁴/ν (Welch and Satterthwaite; JCGM 100:2008,
// G.4.1, equation G.2b).
func (v Variances) df(s Spread) float64 {
	total, sum := s.Total(), 0.0
	if s.Day > 0 {
		sum += s.Day * s.Day / v.DayDF
	}
	if s.Reading > 0 {
		sum += s.Reading * s.Reading / v.ReadingDF
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return total * total / sum
}

// t95 is the 97.5 % quantile of Student's t; JCGM 100:2008, Table G.2. Every interval asks for it, so it is read off a
// curve through exact values, to 1e-7 of itself.
func t95(df float64) float64 { return t95Curve().Predict(1 / max(df, 1)) }

var t95Curve = sync.OnceValue(func() *interp.FritschButland {
	const knots = 256
	x, y := make([]float64, knots+1), make([]float64, knots+1)
	for i := range x {
		x[i] = float64(i) / knots // 1/df; 0 is the normal distribution
		y[i] = quantile(0.975, 1/x[i])
	}
	curve := new(interp.FritschButland)
	if err := curve.Fit(x, y); err != nil {
		panic(err) // the knots are constants
	}
	return curve
})

// quantile of Student's t; of the normal distribution where the degrees of freedom are as good as infinite.
func quantile(p, df float64) float64 {
	if df > 1e6 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Nu: max(df, 1), Sigma: 1}.Quantile(p)
}
