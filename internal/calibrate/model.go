package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"evenpull/internal/fleet"
)

// model is one sled's readings fitted under one shape at one pair of variances.
//
// ln(T(g, s) − c) = γ_g + ln φ(s). The columns of the design are the gears that have observations, then what the
// shape fits: the travel, or the levels of a measured shape.
type model struct {
	o      *observations
	v      Variances
	shape  fleet.Shape
	travel float64 // in use; 0 when unknown
	fitted bool    // the travel is fitted, not taped
	curve  *curve  // of a measured shape
	column []int   // gear → column, −1 without observations

	standing []standing // by part of the curve, once fitted

	d      *design
	sums   *sums // of d, as last solved
	beta   []float64
	spread spread
	rss    float64 // (y − Xβ)′V⁻¹(y − Xβ), in units of the reading variance

	tapes []tape     // what was taped, and how well
	slip  *mat.Dense // effect of each tape's error on β: p×len(tapes)
	jac   []float64  // n×len(tapes): how far each tape moves each row's offset
}

// tape is one length that was taped once and used wherever it occurs, one change of parts whose ratio was used so, or
// the shape itself where nothing has tried it.
type tape struct {
	kind tapeKind
	at   float64 // start position of a mark
	back int     // of a change: how many back from today, from 1
	sd   float64
}

type tapeKind int

const (
	travelTape tapeKind = iota
	markTape
	changeTape
	bendTape // by how much φ bends away from straight, a logarithm a foot; at is the one start position measured
)

// bendSD is how much a box drive may bend away from a straight shape, standard, a logarithm a foot of distance from the
// one start position that was measured. An assumption of our own.
const bendSD = 0.0012

// base starts a model: one column a gear, offsets to be taken off y by the shape, room for extra columns.
func (o *observations) base(v Variances, gears, extra int) *model {
	m := &model{o: o, v: v, column: slices.Repeat([]int{-1}, gears)}
	for c, g := range o.gears {
		m.column[g] = c
	}
	n, p := len(o.list), len(o.gears)+extra
	m.d = &design{n: n, p: p, x: make([]float64, n*p), y: make([]float64, n), w: make([]float64, n),
		day: make([]int, n)}
	for i, obs := range o.list {
		m.d.row(i)[m.column[obs.gear]] = 1
		m.d.y[i], m.d.w[i], m.d.day[i] = obs.y, obs.w, obs.day
	}
	return m
}

// straight fits φ(s) = 1 − s/L with a given travel.
func (o *observations) straight(v Variances, gears int, travel float64) (*model, error) {
	m := o.base(v, gears, 0)
	m.shape, m.travel = fleet.Straight, travel
	for i, obs := range o.list {
		m.d.y[i] -= math.Log((obs.endAt(travel) - obs.start) / travel)
	}
	m.layTapes(true)
	return m, m.solve()
}

// endAt is where the box was when the distance was taken.
func (obs observation) endAt(travel float64) float64 {
	if obs.top {
		return travel + obs.longer
	}
	return obs.end
}

// layTapes lists what was taped, the travel only where it is, and how far each moves each row's offset. Full back is a
// stop and needs no tape.
func (m *model) layTapes(travelTaped bool) {
	m.tapes = nil
	if travelTaped {
		m.tapes = append(m.tapes, tape{kind: travelTape, sd: travelSD})
	}
	for _, s := range m.o.starts {
		if s > 0 {
			m.tapes = append(m.tapes, tape{kind: markTape, at: s, sd: startMarkSD})
		}
	}
	most := 0
	for _, obs := range m.o.list {
		most = max(most, obs.since)
	}
	for back := range most {
		m.tapes = append(m.tapes, tape{kind: changeTape, back: back + 1, sd: carriedSD})
	}
	if at, only := m.o.onlyStart(-1); travelTaped && m.curve == nil && only {
		m.tapes = append(m.tapes, tape{kind: bendTape, at: at, sd: bendSD})
	}
	k := len(m.tapes)
	m.jac = make([]float64, m.d.n*k)
	for i, obs := range m.o.list {
		for j, t := range m.tapes {
			m.jac[i*k+j] = m.moves(t, obs)
		}
	}
}

// moves is the derivative of a row's offset by a tape. The marks of a reading that stopped short are in its weight, and
// the levels of a measured shape were fitted where they were measured.
func (m *model) moves(t tape, obs observation) float64 {
	switch {
	case t.kind == changeTape && obs.since >= t.back:
		return 1
	case m.curve != nil:
		return 0
	case t.kind == travelTape:
		return obs.byTravel(m.travel)
	case t.kind == markTape && t.at == obs.start && obs.top:
		return -1 / (obs.endAt(m.travel) - obs.start)
	}
	return 0
}

// byTravel is the derivative of a row's offset ln((e − s)/L) by the travel.
func (obs observation) byTravel(travel float64) float64 {
	if obs.top {
		return 1/(obs.endAt(travel)-obs.start) - 1/travel
	}
	return -1 / travel
}

// mark is the place of a start position's tape among the effects of all, the last where no reading has it.
func (m *model) mark(start float64) int {
	j := slices.IndexFunc(m.tapes, func(t tape) bool { return t.kind == markTape && t.at == start })
	if j < 0 {
		return len(m.tapes)
	}
	return j
}

// implied fits φ(s) = 1 − s/L with L from the readings, by Gauss and Newton from a first guess. An error says that
// the readings do not determine a travel.
func (o *observations) implied(v Variances, gears int, guess float64) (*model, error) {
	least := 0.0 // the travel must be longer than this
	for _, obs := range o.list {
		least = max(least, obs.start-obs.longer, obs.start)
		if !obs.top {
			least = max(least, obs.end)
		}
	}
	if guess <= least {
		guess = least + 10
	}
	m := o.base(v, gears, 1)
	m.shape, m.fitted = fleet.Straight, true
	travel := guess
	for range 60 {
		for i, obs := range o.list {
			slope := obs.byTravel(travel)
			m.d.row(i)[m.d.p-1] = slope
			m.d.y[i] = obs.y - math.Log((obs.endAt(travel)-obs.start)/travel)
		}
		if err := m.solve(); err != nil {
			return nil, err
		}
		step := m.beta[m.d.p-1]
		next := min(max(travel+step, least+(travel-least)/3), 2*travel)
		if next > 20*fleet.MaxTravelFt {
			return nil, errSingular
		}
		if math.Abs(next-travel) < 1e-9*travel {
			m.travel = next
			m.beta[m.d.p-1] = 0 // the step left over; γ is taken at next
			m.layTapes(false)
			m.slipBy()
			return m, nil
		}
		travel = next
	}
	return nil, errSingular
}

// without fits the same shape without one reading of those it was fitted to.
func (m *model) without(reading *fleet.Figure) (*model, error) {
	return m.refit(m.o.filter(func(obs observation) bool { return obs.reading != reading }))
}

// refit fits the same shape to other observations of the same sled.
func (m *model) refit(o *observations) (*model, error) {
	switch {
	case len(o.list) == 0:
		return nil, errSingular
	case m.curve != nil:
		return o.measured(m.v, len(m.column))
	case m.fitted:
		return o.implied(m.v, len(m.column), m.travel)
	}
	return o.straight(m.v, len(m.column), m.travel)
}

// rho is the ratio of variances that weighs the readings.
func (v Variances) rho() float64 { return v.Day / v.Reading }

// solve estimates β, its spread and what the tapes do to it.
func (m *model) solve() error {
	t := m.d.sum(len(m.o.gears))
	var sol solution
	if err := t.solve(m.v.rho(), &sol); err != nil {
		return err
	}
	if math.IsNaN(sol.rss) || math.IsInf(sol.rss, 0) {
		return errSingular
	}
	m.sums, m.beta, m.rss = t, sol.beta, sol.rss
	for c, s := range t.shift {
		m.beta[c] += s
	}
	m.spread = t.spread(m.v.rho(), &sol)
	m.slipBy()
	return nil
}

// slipBy finds −HJ, the effect of each tape's error on β, with H = (X′V⁻¹X)⁻¹X′V⁻¹.
func (m *model) slipBy() {
	k := len(m.tapes)
	if k == 0 {
		m.slip = nil
		return
	}
	mj, pull := mat.NewDense(m.d.p, k, nil), make([]float64, m.d.p)
	for i := range m.d.n {
		m.sums.pull(m.d, i, m.v.rho(), pull)
		for c, h := range pull {
			row := mj.RawRowView(c)
			for j, by := range m.jac[i*k : (i+1)*k] {
				row[j] += h * by
			}
		}
	}
	m.slip = mat.NewDense(m.d.p, k, nil)
	m.slip.Mul(m.spread.inverse, mj)
	m.slip.Scale(-1, m.slip)
}

// point is ln(T − c) of one gear at one start position, with how it moves with everything uncertain.
type point struct {
	eta   float64
	gear  int // −1 of what was made from several gears
	start float64
	bent  float64   // by how much levels had to be pooled there to make φ fall, a logarithm, common to all gears
	a     []float64 // by β
	q     []float64 // by each tape, then by the tape at the asked start position where no reading has it
}

// at predicts; false where the model says nothing.
func (m *model) at(gear int, start float64) (point, bool) {
	if m.column[gear] < 0 || start < 0 || (m.travel > 0 && start >= m.travel) {
		return point{}, false
	}
	p := point{gear: gear, start: start, a: make([]float64, m.d.p), q: make([]float64, len(m.tapes)+1)}
	p.a[m.column[gear]] = 1
	p.eta = m.beta[m.column[gear]]
	if m.curve != nil {
		if !m.curveAt(gear, start, &p) {
			return point{}, false
		}
	} else {
		p.eta += math.Log1p(-start / m.travel)
		byTravel := 1/(m.travel-start) - 1/m.travel
		if m.fitted {
			p.a[m.d.p-1] = byTravel
		} else {
			p.q[0] = byTravel
		}
		if start > 0 {
			p.q[m.mark(start)] -= 1 / (m.travel - start)
		}
		if last := len(m.tapes) - 1; last >= 0 && m.tapes[last].kind == bendTape {
			p.q[last] = start - m.tapes[last].at
		}
	}
	m.slide(p.a, p.q)
	return p, true
}

// coefficient is one of β.
func (m *model) coefficient(c int) point {
	p := point{a: make([]float64, m.d.p), q: make([]float64, len(m.tapes)+1)}
	p.a[c] = 1
	m.slide(p.a, p.q)
	return p
}

// slide adds what each tape does through β to what moves with it by a.
func (m *model) slide(a, q []float64) {
	for j := range m.tapes {
		for c, by := range a {
			q[j] += by * m.slip.At(c, j)
		}
	}
}
