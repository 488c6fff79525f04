package calibrate

import (
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// shapeLevel is how often a sled whose shape is right loses it all the same. An assumption of our own.
	shapeLevel = 0.002
	// travelRange is how far from the tape, as a ratio, an implied travel is still believed. An assumption of our own.
	travelRange = 1.5
)

// shaped is the outcome: the first shape that the readings do not reject.
type shaped struct {
	*model
	implied *model // straight with the travel the readings imply, nil where they imply none
}

// shapedBy takes a model with what else the readings imply.
func shapedBy(m *model) *shaped {
	if m.fitted {
		return &shaped{m, m}
	}
	implied, _ := m.o.implied(m.v, len(m.column), m.o.travel)
	return &shaped{m, implied}
}

// rejected tests whether the readings, by start position and by kind, lie where the shape puts them: each start
// position and the readings that stopped short get a level of their own, and a Wald test asks whether all are zero,
// with the variances in use, what the tape may do, and degrees of freedom by Welch and Satterthwaite.
func (m *model) rejected() bool {
	extra := m.levelColumns()
	q := len(extra)
	if q == 0 {
		return false
	}
	wide := *m
	wide.d = m.d.with(extra)
	if wide.solve() != nil {
		return false
	}
	levels := make([]point, q)
	for i := range levels {
		levels[i] = wide.coefficient(m.d.p + i)
	}
	total := mat.NewSymDense(q, nil)
	day, reading := mat.NewSymDense(q, nil), mat.NewSymDense(q, nil)
	for i := range q {
		for j := range i + 1 {
			s := wide.covariance(levels[i], levels[j])
			day.SetSym(i, j, s.Day)
			reading.SetSym(i, j, s.Reading)
			total.SetSym(i, j, s.Total())
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(total) {
		return false
	}
	level := mat.NewVecDense(q, wide.beta[m.d.p:])
	var solved mat.VecDense
	if chol.SolveVecTo(&solved, level) != nil {
		return false
	}
	f := mat.Dot(level, &solved) / float64(q)
	fromDay, fromReading := traceOfSolve(&chol, day)/float64(q), traceOfSolve(&chol, reading)/float64(q)
	df := m.v.df(Spread{Day: fromDay, Reading: fromReading, Other: 1 - fromDay - fromReading})
	return survivalF(f, float64(q), df) < shapeLevel
}

func traceOfSolve(chol *mat.Cholesky, s *mat.SymDense) float64 {
	var x mat.Dense
	if chol.SolveTo(&x, s) != nil {
		return 0
	}
	return mat.Trace(&x)
}

// survivalF is P(F > f); with infinite second degrees of freedom q F is chi-squared.
func survivalF(f, d1, d2 float64) float64 {
	if d2 > 1e6 {
		return distuv.ChiSquared{K: d1}.Survival(f * d1)
	}
	return distuv.F{D1: d1, D2: d2}.Survival(f)
}

// levelColumns are the indicators of each start position and of stopping short that the model leaves open: those
// that its own columns and the ones before do not already span.
func (m *model) levelColumns() [][]float64 {
	var columns [][]float64
	for _, s := range m.o.starts {
		columns = append(columns, m.o.indicator(func(o observation) bool { return o.top && o.start == s }))
	}
	columns = append(columns, m.o.indicator(func(o observation) bool { return !o.top }))
	return m.d.independent(columns)
}

func (o *observations) indicator(in func(observation) bool) []float64 {
	column := make([]float64, len(o.list))
	for i, obs := range o.list {
		if in(obs) {
			column[i] = 1
		}
	}
	return column
}

// independent keeps the columns that add to the rank of X, in order.
func (d *design) independent(columns [][]float64) [][]float64 {
	var spanned basis
	for c := range d.p {
		spanned.add(d.column(c))
	}
	var kept [][]float64
	for _, column := range columns {
		if spanned.add(column) {
			kept = append(kept, column)
		}
	}
	return kept
}

// dayDF is rank [X Z] − rank X of a design that was solved, and so has an X of full rank. Beside Z, which spans every
// day's mean, X adds what its columns are less these.
func (d *design) dayDF() int {
	var within basis
	for c := range d.p {
		column := d.column(c)
		size := floats.Norm(column, 2)
		for first := 0; first < d.n; {
			last, mean := first, 0.0
			for ; last < d.n && d.day[last] == d.day[first]; last++ {
				mean += column[last]
			}
			floats.AddConst(-mean/float64(last-first), column[first:last])
			first = last
		}
		within.addOf(column, size)
	}
	return d.days() + len(within) - d.p
}

func (d *design) column(c int) []float64 {
	column := make([]float64, d.n)
	for i := range column {
		column[i] = d.x[i*d.p+c]
	}
	return column
}

// basis is an orthonormal basis of the columns added to it, by Gram and Schmidt.
type basis [][]float64

// add says whether a column adds to the rank.
func (b *basis) add(column []float64) bool { return b.addOf(column, floats.Norm(column, 2)) }

// addOf is add of what is left of a column of some size.
func (b *basis) addOf(column []float64, size float64) bool {
	rest := slices.Clone(column)
	// twice is enough (Giraud, Langou and Rozložník, Computers & Mathematics with Applications 50, 2005)
	for range 2 {
		for _, v := range *b {
			floats.AddScaled(rest, -floats.Dot(v, rest), v)
		}
	}
	after := floats.Norm(rest, 2)
	if !(after > 1e-7*size) {
		return false
	}
	floats.Scale(1/after, rest)
	*b = append(*b, rest)
	return true
}

// with is the design with columns added.
func (d *design) with(columns [][]float64) *design {
	wide := &design{n: d.n, p: d.p + len(columns), y: d.y, w: d.w, day: d.day}
	wide.x = make([]float64, wide.n*wide.p)
	for i := range d.n {
		row := wide.row(i)
		copy(row, d.row(i))
		for c, column := range columns {
			row[d.p+c] = column[i]
		}
	}
	return wide
}
