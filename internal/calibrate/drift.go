package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
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
	// leastDays are needed to see a pattern.
	leastDays = 4
	// firstLook is how many days are judged first; later looks are at half as many days again each. A steady sled that
	// was judged after every day would be accused far too often in a season.
	firstLook = 6
	// Alarms are how often a steady sled is said to drift: at the first look, of which later ones have firstLook over
	// their days, and after any other day. Where a look has found a pattern, it stands as long as all days together
	// show one at the third level. Assumptions of our own, tried by simulation.
	lookAlarm, otherAlarm, standAlarm = 0.02, 0.0005, 0.1
	// jumpHandicap is by how much t² of the best jump must beat the trend's: there are many jumps to choose from and
	// one trend. An assumption of our own, tried by simulation.
	jumpHandicap = 2.5
	driftDraws   = 2000
)

// Days lists the sled's test days in order of the dates of their first readings, then of their names, with limits from
// the pooled variances. A day that stands off, by the rule of the checks, is held against those that do not, and so are
// they: it accuses none of them.
func (c *Chart) Days() []DayOffset {
	if c.shaped == nil {
		return nil
	}
	m := c.shaped.model
	out := make([]DayOffset, m.d.days())
	place := map[string]int{}
	for i, obs := range m.o.list {
		d := &out[m.d.day[i]]
		place[obs.reading.Day], d.Day = m.d.day[i], obs.reading.Day
		if d.On == "" || obs.reading.MeasuredOn < d.On {
			d.On = obs.reading.MeasuredOn
		}
		d.Readings++
	}
	usual, odd := m.withoutOddDays()
	usual.judge(out, place)
	for _, day := range odd {
		with, err := m.refit(m.o.filter(func(obs observation) bool {
			return obs.reading.Day == day ||
				!slices.Contains(odd, obs.reading.Day)
		}))
		if err == nil {
			with.judge(out, map[string]int{day: place[day]})
		}
	}
	return out
}

// withoutOddDays leaves out the days that stand off, the furthest first, and names them. Of two days nobody knows which
// one it is, and both stay.
func (m *model) withoutOddDays() (usual *model, odd []string) {
	usual = m
	for {
		r := usual.residuals()
		day := usual.oddDay(r)
		if day < 0 || len(r.dayZ) == 2 {
			return usual, odd
		}
		next, err := usual.refit(usual.o.filter(func(obs observation) bool { return obs.day != day }))
		if err != nil {
			return usual, odd
		}
		usual, odd = next, append(odd, usual.dayName(day))
	}
}

// judge holds days that m was fitted to against the others; place says where in out each of those asked about stands.
func (m *model) judge(out []DayOffset, place map[string]int) {
	r := m.residuals()
	for j, gap := range r.dayGap {
		at, asked := place[m.dayName(j)]
		if !asked || math.IsNaN(gap) { // NaN: they contradict each other beyond what can be computed
			continue
		}
		z, d := r.dayZ[j], &out[at]
		if d.Offset = gap; z == 0 || gap == 0 {
			continue
		}
		t, left := apart(z, m.v.DayDF)
		most := quantile(1-dayAlarm/float64(len(r.dayZ))/2, left)
		d.Limit, d.Off = math.Abs(gap/z)*most, d.Readings > 1 && math.Abs(t) > most
	}
}

// Drift looks for a trend from day to day and for a jump between two days, and returns the one the days show best, nil
// when neither shows beyond what days differ anyway. The limit is that of the largest of all these statistics at once,
// from fixed draws of their joint distribution.
func (c *Chart) Drift() *Drift {
	if c.shaped == nil {
		return nil
	}
	m := c.shaped.model
	days := m.d.days()
	all := m.dayPatterns()
	look := lastLook(days)
	switch {
	case all == nil:
		return nil
	case look == days && all.beyond(alarmAt(look)), look != days && all.beyond(otherAlarm):
		return all.drift()
	case look == 0 || look == days || !all.beyond(standAlarm):
		return nil
	}
	then, err := m.refit(m.o.filter(func(obs observation) bool { return obs.day < look }))
	if err != nil {
		return nil
	}
	if then := then.dayPatterns(); then == nil || !then.beyond(alarmAt(look)) {
		return nil
	}
	return all.drift()
}

func alarmAt(look int) float64 { return lookAlarm * firstLook / float64(look) }

// lastLook is the last planned look at that many days or fewer, 0 before the first.
func lastLook(days int) int {
	last := 0
	for look := firstLook; look <= days; look += (look + 1) / 2 {
		last = look
	}
	return last
}

// dayPatterns are how well each pattern shows in the days: a trend first, then for each day but the first a jump there.
type dayPatterns struct {
	m       *model
	stat    []float64 // in standard uncertainties
	size    []float64 // logarithms
	between *mat.Dense
}

// dayPatterns is nil with too few days, or where nothing ties them together.
func (m *model) dayPatterns() *dayPatterns {
	sums, apartness := m.daySums()
	days := len(sums)
	if days < leastDays {
		return nil
	}
	all := mat.NewDense(days, days, nil) // the day's number, then for each day but the first the step that begins there
	for day := range days {
		all.Set(0, day, float64(day))
		for step := 1; step <= day; step++ {
			all.Set(step, day, 1)
		}
	}
	p := &dayPatterns{m: m, between: new(mat.Dense)}
	var half mat.Dense
	half.Mul(all, apartness)
	p.between.Mul(&half, all.T())
	for a := range days {
		information := p.between.At(a, a)
		if information < 1e-9 {
			return nil
		}
		top := floats.Dot(all.RawRowView(a), sums)
		p.size = append(p.size, top/information)
		p.stat = append(p.stat, top/math.Sqrt(information*m.v.Reading))
	}
	return p
}

// beyond says whether the days show a pattern that a share alarm of steady sleds show.
func (p *dayPatterns) beyond(alarm float64) bool {
	largest, _ := apart(floats.Norm(p.stat, math.Inf(1)), p.m.v.DayDF)
	return largest >= driftLimit(p.between, p.m.v.DayDF, alarm) // false of what is no number
}

// drift is the pattern that shows best.
func (p *dayPatterns) drift() *Drift {
	stat := apartAll(p.stat, p.m.v.DayDF)
	jump := 1
	for a := 2; a < len(stat); a++ {
		if math.Abs(stat[a]) > math.Abs(stat[jump]) {
			jump = a
		}
	}
	if stat[0]*stat[0]+jumpHandicap > stat[jump]*stat[jump] {
		return &Drift{Kind: "trend", From: p.m.dayName(0), Log: p.size[0]}
	}
	return &Drift{Kind: "jump", From: p.m.dayName(jump), Log: p.size[jump]}
}

// apartAll is apart of each; where a pattern is so much of what is known of the days that t runs into infinity, all
// stay as they are, so that they can still be told from each other.
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

// daySums are Z′Qy and Z′QZ with Q of residuals, one number and one row a day: every pattern of days follows from them.
func (m *model) daySums() ([]float64, *mat.Dense) {
	t, rho := m.sums, m.v.rho()
	_, qy := m.d.left(m.beta)
	fb := mat.NewDense(t.days, t.p, slices.Clone(t.b))
	for j, s := range t.s {
		f := 1 / (1 + rho*s)
		qy[j] *= f
		floats.Scale(f, fb.RawRowView(j))
	}
	var half, zqz mat.Dense
	half.Mul(fb, m.spread.inverse)
	zqz.Mul(&half, fb.T())
	zqz.Scale(-1, &zqz)
	for j, s := range t.s {
		zqz.Set(j, j, zqz.At(j, j)+s*(1/(1+rho*s)))
	}
	return qy, &zqz
}

// driftLimit is what the largest of the statistics exceeds by chance in a share alarm of steady sleds.
func driftLimit(zq *mat.Dense, df, alarm float64) float64 {
	k, _ := zq.Dims()
	corr := mat.NewSymDense(k, nil)
	for a := range k {
		for b := range a + 1 {
			corr.SetSym(a, b, zq.At(a, b)/math.Sqrt(zq.At(a, a)*zq.At(b, b)))
		}
	}
	largest := jointnormal.Largest(corr, driftDraws)
	at := largest[int(float64(len(largest))*(1-alarm))]
	// The quantile of the normal distribution with the same tail, taken to Student's t with the degrees of freedom of
	// the days.
	return quantile(distuv.UnitNormal.CDF(at), df-1)
}
