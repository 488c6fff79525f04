package driveline

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// ScatterSD is how far a gear may lie from the sled's line, as a logarithm: rolling radius and slip change with
	// speed. An assumption of our own.
	ScatterSD = 0.005
	// outlierLevel is the chance that any gear of a sled with nothing wrong stands out. An assumption of our own.
	outlierLevel = 0.01
	// slopeLevel is the significance level from which a slope with gear speed is used.
	slopeLevel = 0.01
	// minGearsForSlope gears are needed to tell a slope from one wrong gear.
	minGearsForSlope = 4
)

// Compared is one gear both measured and geared.
type Compared struct {
	Gear     int     // the caller's number for it
	LogRatio float64 // ln(measured/geared way to the top)
	LogSpeed float64 // ln(box feet per foot of ground), geared
}

// Factor is measured over geared for a whole sled: exp(Log + Slope·(logSpeed − Center)).
type Factor struct {
	Log      float64
	Variance float64 // of Log, with that of the measured top-outs; what single gears scatter is not in it
	Slope    float64 // 0 unless the readings show one
	SlopeVar float64
	Center   float64 // mean of the log speeds
	StandOut []StandOut
}

// StandOut is a gear that does not lie on the sled's line.
type StandOut struct {
	Gear int
	Off  float64 // logarithm by which its measured top-out is too far
}

// FitFactor finds the sled's factor from its gears, whose measured logarithms have the given covariance, known to df
// degrees of freedom. The gear that stands out furthest is taken out and the rest is fitted again, until none does, so
// that one wrong gear does not make others stand out. False without a gear.
func FitFactor(gears []Compared, covariance mat.Symmetric, df float64) (Factor, bool) {
	if len(gears) == 0 {
		return Factor{}, false
	}
	in := make([]int, len(gears)) // places of the gears that are fitted
	for i := range in {
		in[i] = i
	}
	var standOut []StandOut
	for len(in) > 2 {
		worst, off := worstOutlier(gears, covariance, in, df)
		if worst < 0 {
			break
		}
		standOut = append(standOut, StandOut{Gear: gears[in[worst]].Gear, Off: off})
		in = slices.Delete(in, worst, worst+1)
	}
	f, _, _ := fitLine(gears, covariance, in, df)
	f.StandOut = standOut
	return f, true
}

// fitLine fits a constant, and a slope where it is sure, by generalized least squares. It also returns the projection
// q = V⁻¹ − V⁻¹X(X′V⁻¹X)⁻¹X′V⁻¹ of the model used, nil where V is singular, and y.
func fitLine(
	gears []Compared, covariance mat.Symmetric, in []int, df float64,
) (f Factor, q *mat.Dense, y *mat.VecDense) {
	n := len(in)
	v := mat.NewDense(n, n, nil)
	y = mat.NewVecDense(n, nil)
	for a, i := range in {
		y.SetVec(a, gears[i].LogRatio)
		f.Center += gears[i].LogSpeed / float64(n)
		for b, j := range in {
			v.Set(a, b, covariance.At(i, j))
		}
		v.Set(a, a, v.At(a, a)+ScatterSD*ScatterSD)
	}
	var vi mat.Dense
	if vi.Inverse(v) != nil {
		return f, nil, y
	}
	// fit returns the coefficients, none where they cannot be told, their covariance and the projection.
	fit := func(columns int) (beta mat.VecDense, c, q mat.Dense) {
		x := mat.NewDense(n, columns, nil)
		for a, i := range in {
			x.SetRow(a, []float64{1, gears[i].LogSpeed - f.Center}[:columns])
		}
		var xv, xvx, h, vx, vxh mat.Dense
		xv.Mul(x.T(), &vi)
		xvx.Mul(&xv, x)
		if c.Inverse(&xvx) != nil {
			return beta, c, q
		}
		h.Mul(&c, &xv)
		beta.MulVec(&h, y)
		vx.Mul(&vi, x)
		vxh.Mul(&vx, &h)
		q.Sub(&vi, &vxh)
		return beta, c, q
	}
	beta, c, proj := fit(1)
	if n >= minGearsForSlope {
		b2, c2, q2 := fit(2)
		if b2.Len() == 2 && math.Abs(b2.AtVec(1))/math.Sqrt(c2.At(1, 1)) > quantile(1-slopeLevel/2, df) {
			beta, c, proj = b2, c2, q2
			f.Slope, f.SlopeVar = b2.AtVec(1), c2.At(1, 1)
		}
	}
	if beta.Len() == 0 {
		return f, nil, y
	}
	f.Log, f.Variance = beta.AtVec(0), c.At(0, 0)
	return f, &proj, y
}

// worstOutlier is the place in in of the gear whose leave-one-out residual is largest beyond its limit, −1 without one,
// and that residual. The limit is corrected for as many comparisons as there are gears (Bonferroni).
func worstOutlier(gears []Compared, covariance mat.Symmetric, in []int, df float64) (worst int, off float64) {
	worst = -1
	_, q, y := fitLine(gears, covariance, in, df)
	if q == nil {
		return worst, 0
	}
	var qy mat.VecDense
	qy.MulVec(q, y)
	limit := quantile(1-outlierLevel/float64(len(gears))/2, df)
	for a := range in {
		if q.At(a, a) < 1e-9 {
			continue
		}
		if z := math.Abs(qy.AtVec(a)) / math.Sqrt(q.At(a, a)); z > limit {
			worst, off, limit = a, qy.AtVec(a)/q.At(a, a), z
		}
	}
	return worst, off
}

// At is the logarithm of measured over geared at a gear's log speed, with its variance: the line's, and what a single
// gear may scatter about it.
func (f Factor) At(logSpeed float64) (log, variance float64) {
	d := logSpeed - f.Center
	return f.Log + f.Slope*d, f.Variance + f.SlopeVar*d*d + ScatterSD*ScatterSD
}

// Interval is the 95 % interval of measured over geared for the whole sled, with covariances known to df degrees of
// freedom.
func (f Factor) Interval(df float64) (low, high float64) {
	half := quantile(0.975, df) * math.Sqrt(f.Variance)
	return math.Exp(f.Log - half), math.Exp(f.Log + half)
}

// quantile of Student's t; of the normal distribution where the degrees of freedom are as good as infinite.
func quantile(p, df float64) float64 {
	if df > 1e6 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Nu: max(df, 1), Sigma: 1}.Quantile(p)
}
