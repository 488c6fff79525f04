package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenpull/internal/jointnormal"
)

// DayOffset is how far a test day lies from what the sled's other days say.
type DayOffset struct {
	Day      string // its name
	On       string // date of its first reading, ISO 8601
	Readings int
	Offset   float64 // logarithm; positive topped out later
	Limit    float64 // beyond ± this a day stands off; 0 where there is no other day to compare it with
	Off      bool    // it stands off
}

// Drift is a pattern in a sled's days.
type Drift struct {
	Kind string  // "trend" or "jump"
	From string  // the day a jump shows first; the first day of a trend
	Log  float64 // of a jump, its size; of a trend, the change from one day to the next
}

const (
	// driftAlarm is how often a steady sled may be said to drift. An assumption of our own.
	driftAlarm = 0.03
	// leastDays are needed to see a pattern.
	leastDays = 4
	// jumpHandicap is by how much t² of the best jump must beat the trend's: there are many jumps to choose from and one
	// trend. An assumption of our own, tried by simulation.
	jumpHandicap = 2.5
	driftDraws   = 2000
)

// Days lists the sled's test days in order of the dates of their first readings, then of their names, with limits from the pooled variances.
func (c *Chart) Days() []DayOffset {
	if c.shaped == nil {
		return nil
	}
	m := c.shaped.model
	r := m.residuals()
	out := make([]DayOffset, len(r.dayZ))
	for i, obs := range m.o.list {
		d := &out[m.d.day[i]]
		d.Day = obs.reading.Day
		if d.On == "" || obs.reading.MeasuredOn < d.On {
			d.On = obs.reading.MeasuredOn
		}
		d.Readings++
	}
	for j := range out {
		z, gap := r.dayZ[j], r.dayGap[j]
		if math.IsNaN(gap) { // readings that contradict each other beyond what can be computed
			continue
		}
		out[j].Offset = gap
		if z == 0 || gap == 0 {
			continue
		}
		t, left := apart(z, c.v.DayDF)
		most := limit(len(out), left)
		out[j].Limit, out[j].Off = math.Abs(gap/z)*most, math.Abs(t) > most
	}
	return out
}

// Drift looks for a trend from day to day and for a jump between two days, and returns the one the days show best, nil
// when neither shows beyond what days differ anyway. The limit is that of the largest of all these statistics at once, from
// fixed draws of their joint distribution.
func (c *Chart) Drift() *Drift {
	if c.shaped == nil {
		return nil
	}
	m := c.shaped.model
	days := c.Days()
	if len(days) < leastDays {
		return nil
	}
	patterns := m.patterns(len(days))
	q := m.projection()
	n, k := m.d.n, len(patterns)
	zq := mat.NewDense(k, k, nil)
	stat := make([]float64, k)
	size := make([]float64, k)
	y := mat.NewVecDense(n, append([]float64(nil), m.d.y...))
	var qy mat.VecDense
	qy.MulVec(q, y)
	qz := make([]mat.VecDense, k)
	for a := range patterns {
		qz[a].MulVec(q, mat.NewVecDense(n, patterns[a]))
	}
	for a := range patterns {
		for b := range patterns {
			zq.Set(a, b, mat.Dot(mat.NewVecDense(n, patterns[a]), &qz[b]))
		}
	}
	for a := range patterns {
		if zq.At(a, a) < 1e-9 {
			return nil // the days are not tied together
		}
		top := mat.Dot(mat.NewVecDense(n, patterns[a]), &qy)
		size[a] = top / zq.At(a, a)
		stat[a] = top / math.Sqrt(zq.At(a, a)*m.v.Reading)
	}
	largest, _ := apart(largestOf(stat), c.v.DayDF)
	stat = apartAll(stat, c.v.DayDF)
	jump := 1
	for a := 2; a < k; a++ {
		if math.Abs(stat[a]) > math.Abs(stat[jump]) {
			jump = a
		}
	}
	if !(largest >= driftLimit(zq, c.v.DayDF)) { // not a number neither
		return nil
	}
	if stat[0]*stat[0]+jumpHandicap > stat[jump]*stat[jump] {
		return &Drift{Kind: "trend", From: days[0].Day, Log: size[0]}
	}
	return &Drift{Kind: "jump", From: days[jump].Day, Log: size[jump]}
}

// apartAll is apart of each; where a pattern is so much of what is known of the days that t runs into infinity, all stay as
// they are, so that they can still be told from each other.
func apartAll(z []float64, df float64) []float64 {
	out := make([]float64, len(z))
	for i := range z {
		out[i], _ = apart(z[i], df)
		if math.IsInf(out[i], 0) {
			return z
		}
	}
	return out
}

func largestOf(z []float64) float64 {
	most := 0.0
	for _, v := range z {
		most = max(most, math.Abs(v))
	}
	return most
}

// patterns are columns over the readings: the day's number, then for each day but the first the step that begins there.
func (m *model) patterns(days int) [][]float64 {
	out := make([][]float64, days)
	for p := range out {
		out[p] = make([]float64, m.d.n)
		for i, day := range m.d.day {
			switch {
			case p == 0:
				out[p][i] = float64(day)
			case day >= p:
				out[p][i] = 1
			}
		}
	}
	return out
}

// projection is Q of residuals, in full.
func (m *model) projection() *mat.Dense {
	n, p, rho := m.d.n, m.d.p, m.v.rho()
	sum := make([]float64, m.d.day[n-1]+1)
	for i, d := range m.d.day {
		sum[d] += m.d.w[i]
	}
	vi := mat.NewDense(n, n, nil)
	for i, di := range m.d.day {
		for j, dj := range m.d.day {
			if di != dj {
				continue
			}
			v := -rho / (1 + rho*sum[di]) * m.d.w[i] * m.d.w[j]
			if i == j {
				v += m.d.w[i]
			}
			vi.Set(i, j, v)
		}
	}
	x := mat.NewDense(n, p, m.d.x)
	var vx, c, cxv, q mat.Dense
	vx.Mul(vi, x)
	c.CloneFrom(m.spread.inverse)
	cxv.Mul(&c, vx.T())
	q.Mul(&vx, &cxv)
	q.Sub(vi, &q)
	return &q
}

// driftLimit is what the largest of the statistics exceeds by chance in driftAlarm of steady sleds.
func driftLimit(zq *mat.Dense, df float64) float64 {
	k, _ := zq.Dims()
	corr := mat.NewSymDense(k, nil)
	for a := range k {
		for b := range a + 1 {
			corr.SetSym(a, b, zq.At(a, b)/math.Sqrt(zq.At(a, a)*zq.At(b, b)))
		}
	}
	largest := jointnormal.Largest(corr, driftDraws)
	at := largest[int(float64(len(largest))*(1-driftAlarm))]
	// The quantile of the normal distribution with the same tail, taken to Student's t with the degrees of freedom of the days.
	return quantile(distuv.UnitNormal.CDF(at), df-1)
}
