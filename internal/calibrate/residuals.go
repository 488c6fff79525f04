package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// residuals are a model's leave-one-out residuals: how far each reading, and each day, lies from what all the others
// say of it, in units of the standard uncertainty of just that.
type residuals struct {
	m      *model
	r      []float64 // y − Xβ
	dayZ   []float64 // each day against the others; 0 where there is nothing to compare it with
	dayGap []float64 // estimated offset of the day against the others, logarithm
	z      []float64 // each reading against the others; 0 where there is nothing to compare it with
	gap    []float64 // by how much, logarithm
}

// residuals with Q = V⁻¹ − V⁻¹X(X′V⁻¹X)⁻¹X′V⁻¹: leaving row i out leaves (Qy)_i/Q_ii with variance σ_r²/Q_ii (Haslett
// and Hayes, Journal of the Royal Statistical Society B 60, 1998, 201–215); a day is the same with the sum of its rows.
func (m *model) residuals() *residuals {
	d, rho := m.d, m.v.rho()
	sr := math.Sqrt(m.v.Reading)
	out := &residuals{m: m, z: make([]float64, d.n), gap: make([]float64, d.n)}
	var wr []float64
	out.r, wr = d.left(m.beta)
	pull := make([]float64, d.p)
	v, cv := mat.NewVecDense(d.p, pull), mat.NewVecDense(d.p, nil)
	form := func() float64 { // v′(X′V⁻¹X)⁻¹v
		cv.MulVec(m.spread.inverse, v)
		return mat.Dot(v, cv)
	}
	for i, w := range d.w {
		m.sums.pull(d, i, rho, pull)
		k := rho / (1 + rho*m.sums.s[d.day[i]])
		if q := w - k*w*w - form(); q > 1e-9*w {
			qy := w * (out.r[i] - k*wr[d.day[i]])
			out.gap[i], out.z[i] = qy/q, qy/math.Sqrt(q)/sr
		}
	}
	out.dayZ, out.dayGap = make([]float64, len(wr)), make([]float64, len(wr))
	for j, s := range m.sums.s {
		f := 1 / (1 + rho*s)
		floats.ScaleTo(pull, f, m.sums.of(j))
		if q := s*f - form(); q > 1e-9*s*f {
			out.dayZ[j], out.dayGap[j] = wr[j]*f/math.Sqrt(q)/sr, wr[j]*f/q
		}
	}
	return out
}

// besideTapes is the z of reading i with what the tapes may have done to it, and with how a straight shape may bend
// where no other reading has tried it.
func (out *residuals) besideTapes(i int) float64 {
	m, d, k := out.m, out.m.d, len(out.m.tapes)
	if out.z[i] == 0 || k == 0 {
		return out.z[i]
	}
	by := func(l int) []float64 { // how far each tape moves the residual of row l
		moved := slices.Clone(m.jac[l*k : (l+1)*k])
		m.slide(d.row(l), moved)
		return moved
	}
	own, day := by(i), make([]float64, k)
	for l := slices.Index(d.day, d.day[i]); l < d.n && d.day[l] == d.day[i]; l++ {
		floats.AddScaled(day, d.w[l], by(l))
	}
	sd, tapes, rho := out.gap[i]/out.z[i], 0.0, m.v.rho()
	for j, t := range m.tapes {
		moved := own[j] - rho/(1+rho*m.sums.s[d.day[i]])*day[j] // the day takes its share
		tapes += math.Pow(t.sd*d.w[i]*moved*sd*sd/m.v.Reading, 2)
	}
	if at, only := m.o.onlyStart(i); only && m.tapes[0].kind == travelTape && m.curve == nil {
		tapes += math.Pow(bendSD*(m.o.list[i].start-at), 2)
	}
	return out.z[i] / math.Sqrt(1+tapes/(sd*sd))
}

// apart turns a residual in units of its standard uncertainty, taken with variances that it is itself part of, into one
// taken with variances that it is not: t = z √((ν − 1)/(ν − z²)) is Student's with ν − 1 degrees of freedom (Cook and
// Weisberg, Residuals and Influence in Regression, 1982, section 2.2).
func apart(z, df float64) (t, left float64) {
	switch {
	case math.IsInf(df, 1):
		return z, df
	case df < 2:
		return 0, 1
	case z*z >= df:
		return math.Copysign(math.Inf(1), z), df - 1
	}
	return z * math.Sqrt((df-1)/(df-z*z)), df - 1
}
