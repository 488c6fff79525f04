package calibrate

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// design is the linear model of one sled,
//
//	y = Xβ + Zδ + ε,   δ ~ N(0, σ_d² I),   ε ~ N(0, σ_r² W⁻¹),
//
// with Z the day of each row. Rows of one day stand together.
type design struct {
	n, p int
	x    []float64 // n×p, by rows
	y    []float64 // logarithms of distances less what the shape takes off
	w    []float64 // weights, 1 for a topped-out reading
	day  []int     // 0, 1, … ascending
}

func (d *design) row(i int) []float64 { return d.x[i*d.p : (i+1)*d.p] }

func (d *design) days() int { return d.day[d.n-1] + 1 }

// sums are the sufficient statistics of a design. Everything that depends on ρ = σ_d²/σ_r² follows from them: with
// V = W⁻¹ + ρZZ′ block-diagonal by day, each block's inverse is W − k ww′, k = ρ/(1 + ρ Σw) (Sherman and Morrison,
// Annals of Mathematical Statistics 21, 1950, 124–127).
type sums struct { // of one row at least
	p     int
	xx    []float64 // X′WX, p×p
	xy    []float64 // X′Wy
	yy    float64   // y′Wy
	logW  float64   // Σ ln w
	days  int
	s     []float64 // Σw of each day
	b     []float64 // Σ w x of each day, days×p
	u     []float64 // Σ w y of each day
	shift []float64 // taken off y by column before summing, added back to β
}

// of is Σ w x of one day.
func (t *sums) of(day int) []float64 { return t.b[day*t.p : (day+1)*t.p] }

// pull writes a row of V⁻¹X: w (x − k b).
func (t *sums) pull(d *design, i int, rho float64, into []float64) {
	k := rho / (1 + rho*t.s[d.day[i]])
	b := t.of(d.day[i])
	for c, x := range d.row(i) {
		into[c] = d.w[i] * (x - k*b[c])
	}
}

// left is y − Xβ of each row, and the sum of its w (y − Xβ) of each day.
func (d *design) left(beta []float64) (rows, days []float64) {
	rows, days = make([]float64, d.n), make([]float64, d.days())
	for i := range d.n {
		rows[i] = d.y[i]
		for c, x := range d.row(i) {
			rows[i] -= x * beta[c]
		}
		days[d.day[i]] += d.w[i] * rows[i]
	}
	return rows, days
}

// sum takes the statistics. The first gears columns are indicators that cover every row; y is centered by them first,
// because a residual sum of squares taken from raw logarithms would lose half of its digits.
func (d *design) sum(gears int) *sums {
	t := &sums{p: d.p, days: d.days(), xx: make([]float64, d.p*d.p), xy: make([]float64, d.p)}
	t.s, t.u, t.b = make([]float64, t.days), make([]float64, t.days), make([]float64, t.days*d.p)
	t.shift = make([]float64, d.p)
	column := make([]int, d.n)
	weight := make([]float64, gears)
	for i := range d.n {
		column[i] = slices.Index(d.row(i)[:gears], 1)
		t.shift[column[i]] += d.w[i] * d.y[i]
		weight[column[i]] += d.w[i]
	}
	floats.Div(t.shift[:gears], weight)
	for i := range d.n {
		row, w, y := d.row(i), d.w[i], d.y[i]-t.shift[column[i]]
		b := t.of(d.day[i])
		for j, xj := range row {
			if xj == 0 {
				continue
			}
			t.xy[j] += w * xj * y
			b[j] += w * xj
			for l, xl := range row[:j+1] {
				t.xx[j*d.p+l] += w * xj * xl
			}
		}
		t.yy += w * y * y
		t.logW += math.Log(w)
		t.s[d.day[i]] += w
		t.u[d.day[i]] += w * y
	}
	return t
}

var errSingular = errors.New("the readings do not determine every parameter")

// solution is the generalized least-squares solution at one ρ.
type solution struct {
	beta    []float64 // without the shift
	chol    []float64 // lower Cholesky factor of X′V⁻¹X
	rss     float64   // (y − Xβ)′V⁻¹(y − Xβ)
	logDet  float64   // ln|V| + ln|X′V⁻¹X|
	dRSS    float64   // derivatives by ρ
	dLogDet float64
	work    []float64
}

// solve minimizes at ρ, into sol so that a profile over ρ allocates once.
func (t *sums) solve(rho float64, sol *solution) error {
	p := t.p
	sol.chol, sol.beta = append(sol.chol[:0], t.xx...), append(sol.beta[:0], t.xy...)
	yy, logDet := t.yy, -t.logW
	for j := range t.days {
		k := rho / (1 + rho*t.s[j])
		b := t.of(j)
		for r, br := range b {
			if br == 0 {
				continue
			}
			sol.beta[r] -= k * t.u[j] * br
			for c, bc := range b[:r+1] {
				sol.chol[r*p+c] -= k * br * bc
			}
		}
		yy -= k * t.u[j] * t.u[j]
		logDet += math.Log1p(rho * t.s[j])
	}
	if !cholesky(sol.chol, p) {
		return errSingular
	}
	for r := range p {
		logDet += 2 * math.Log(sol.chol[r*p+r])
	}
	sol.work = append(sol.work[:0], sol.beta...)
	cholSolve(sol.chol, p, sol.beta)
	rss := yy
	for r := range p {
		rss -= sol.work[r] * sol.beta[r]
	}
	sol.rss, sol.logDet = max(rss, 0), logDet
	sol.dRSS, sol.dLogDet = 0, 0
	for j := range t.days {
		r, h := t.u[j], 0.0
		for c, bc := range t.of(j) {
			r -= bc * sol.beta[c]
		}
		sol.work = append(sol.work[:0], t.of(j)...)
		cholForward(sol.chol, p, sol.work)
		for _, v := range sol.work {
			h += v * v
		}
		f := 1 / (1 + rho*t.s[j])
		sol.dRSS -= f * f * r * r
		sol.dLogDet += f*t.s[j] - f*f*h
	}
	return nil
}

// cholesky replaces the lower triangle of the p×p matrix a by its factor, false where a is not safely positive
// definite.
func cholesky(a []float64, p int) bool {
	for j := range p {
		top := a[j*p+j]
		v := top
		for k := range j {
			v -= a[j*p+k] * a[j*p+k]
		}
		if !(v > 1e-11*top) || math.IsInf(v, 0) {
			return false
		}
		a[j*p+j] = math.Sqrt(v)
		for i := j + 1; i < p; i++ {
			v := a[i*p+j]
			for k := range j {
				v -= a[i*p+k] * a[j*p+k]
			}
			a[i*p+j] = v / a[j*p+j]
		}
	}
	return true
}

// cholForward solves Lz = b in place; cholSolve solves LL′z = b in place.
func cholForward(l []float64, p int, b []float64) {
	for i := range p {
		v := b[i]
		for k := range i {
			v -= l[i*p+k] * b[k]
		}
		b[i] = v / l[i*p+i]
	}
}

func cholSolve(l []float64, p int, b []float64) {
	cholForward(l, p, b)
	for i := p - 1; i >= 0; i-- {
		v := b[i]
		for k := i + 1; k < p; k++ {
			v -= l[k*p+i] * b[k]
		}
		b[i] = v / l[i*p+i]
	}
}

// spread splits the covariance of the estimates by where it comes from:
// Cov(β) = σ_d² day + σ_r² reading, exactly, for whatever ρ the weights were taken at.
type spread struct {
	day, reading *mat.SymDense
	inverse      *mat.SymDense // (X′V⁻¹X)⁻¹
}

func (t *sums) spread(rho float64, sol *solution) spread {
	p := t.p
	inverse := mat.NewSymDense(p, nil)
	column := make([]float64, p)
	for c := range p {
		clear(column)
		column[c] = 1
		cholSolve(sol.chol, p, column)
		for r := range c + 1 {
			inverse.SetSym(r, c, column[r])
		}
	}
	// With M = X′V⁻¹: MZ has the columns b/(1 + ρs), and MW⁻¹M′ = X′WX − Σ (2k − k²s) bb′.
	day, reading := mat.NewSymDense(p, nil), mat.NewSymDense(p, nil)
	for r := range p {
		for c := range r + 1 {
			reading.SetSym(r, c, t.xx[r*p+c])
		}
	}
	for j := range t.days {
		b := mat.NewVecDense(p, t.of(j))
		f := 1 / (1 + rho*t.s[j])
		k := rho * f
		day.SymRankOne(day, f*f, b)
		reading.SymRankOne(reading, -(2*k - k*k*t.s[j]), b)
	}
	return spread{day: sandwich(inverse, day), reading: sandwich(inverse, reading), inverse: inverse}
}

// sandwich is CSC for symmetric C and S.
func sandwich(c, s *mat.SymDense) *mat.SymDense {
	n := c.SymmetricDim()
	var cs, csc mat.Dense
	cs.Mul(c, s)
	csc.Mul(&cs, c)
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			out.SetSym(i, j, (csc.At(i, j)+csc.At(j, i))/2)
		}
	}
	return out
}
