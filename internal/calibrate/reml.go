package calibrate

import "math"

// Share is one sled's part in the fleet's repeatability, a function of its own notebook and of the assumption alone, or
// the sum of many. The zero Share says nothing.
type Share struct {
	all     part // everything that nobody set aside
	pooled  part // without what the notebook itself names as mistaken
	leftOut int  // readings
}

// part is a restricted likelihood.
type part struct {
	profile  *profile
	dayDF    float64
	residual float64 // n − rank[X Z]
	free     float64 // n − rank X
}

// Total is the sum of shares, in the order given.
func Total(shares []Share) Share {
	var out Share
	for _, s := range shares {
		out.all.add(s.all)
		out.pooled.add(s.pooled)
		out.leftOut += s.leftOut
	}
	return out
}

func (p *part) add(q part) {
	if q.profile == nil {
		return
	}
	if p.profile == nil {
		p.profile = &profile{}
	}
	p.profile.add(q.profile)
	p.dayDF += q.dayDF
	p.residual += q.residual
	p.free += q.free
}

// shareSpread is by how much larger than assumed the variances are taken when a sled's own notebook is asked what is
// mistaken in it, so that a crew that measures less well than assumed is not taken for one that makes mistakes. An
// assumption of our own.
const shareSpread = 3

// ShareOf takes one sled's part. Its shape is judged at the assumed variances and its mistakes at three times these, as
// if they were known, so that no other sled enters. One reading or one day, however wrong, then says nothing of the
// fleet.
func ShareOf(n Notebook, a Assumption) Share {
	v := a.variances()
	o := observe(n, v.AssumedReading)
	wide := Variances{Day: shareSpread * v.Day, Reading: shareSpread * v.Reading, DayDF: math.Inf(1),
		ReadingDF: math.Inf(1), AssumedReading: v.AssumedReading}
	clean := o.unmistaken(n, wide)
	s := Share{pooled: clean.part(v, len(n.Sled.Gears)), leftOut: len(o.list) - len(clean.list)}
	if s.all = s.pooled; s.leftOut > 0 {
		s.all = o.part(v, len(n.Sled.Gears))
	}
	return s
}

// unmistaken leaves out the readings and the days that the notebook itself contradicts, whatever somebody has
// confirmed: that is for the sled's own chart.
func (o *observations) unmistaken(n Notebook, v Variances) *observations {
	o = o.unconfirmed()
	m, suspects := o.sift(n, v, (*model).clear)
	if m == nil {
		return o.without(suspects)
	}
	var err error
	for _, s := range suspects {
		if s.rival == nil {
			continue
		}
		// Nothing tells which of the two is wrong.
		both := m.o.filter(func(obs observation) bool { return obs.reading != s.rival && obs.reading != s.obs.reading })
		if m, err = m.refit(both); err != nil {
			return both
		}
	}
	for day := m.oddDay(m.residuals()); day >= 0; day = m.oddDay(m.residuals()) {
		others := m.o.filter(func(obs observation) bool { return obs.day != day })
		if m, err = m.refit(others); err != nil {
			return others
		}
	}
	return m.o
}

// part is the restricted likelihood of one sled's observations, under the shape that they do not reject.
func (o *observations) part(v Variances, gears int) part {
	m, _ := o.bestShape(v, gears, all)
	if m == nil || m.d.n == m.d.p {
		return part{}
	}
	dayDF, free := float64(m.d.dayDF()), float64(m.d.n-m.d.p)
	own := profileOf(m.sums)
	if !own.finite() { // readings that contradict each other beyond what can be computed must not speak for the fleet
		return part{}
	}
	return part{profile: own, dayDF: dayDF, free: free, residual: free - dayDF}
}

// variances are the assumed ones, before anything is measured.
func (a Assumption) variances() (v Variances) {
	v.Day, v.DayDF = blend(math.Pow(a.DayPct/100, 2), a.DF, 0, 0)
	v.Reading, v.ReadingDF = blend(math.Pow(a.ReadingPct/100, 2), a.DF, 0, 0)
	v.AssumedReading = v.Reading
	return v
}

// Pool estimates the variances by restricted maximum likelihood from the sum of every sled's share, and blends those of
// the readings that are not mistaken with the assumption by degrees of freedom.
func Pool(total Share, a Assumption) (Repeatability, Variances) {
	day, reading := math.Pow(a.DayPct/100, 2), math.Pow(a.ReadingPct/100, 2)
	used := a.variances()
	rep := Repeatability{Assumed: a}
	if dayHat, readingHat, ok := total.all.estimate(reading); ok {
		rep.Measured = total.all.measured(dayHat, readingHat)
	}
	if dayHat, readingHat, ok := total.pooled.estimate(reading); ok {
		if rep.Pooled = total.pooled.measured(dayHat, readingHat); rep.Pooled != nil {
			rep.LeftOut = total.leftOut
		}
		used.Day, used.DayDF = blend(day, a.DF, dayHat, total.pooled.dayDF)
		used.Reading, used.ReadingDF = blend(reading, a.DF, readingHat, total.pooled.residual)
	}
	rep.UsedDayPct, rep.UsedReadingPct = 100*math.Sqrt(used.Day), 100*math.Sqrt(used.Reading)
	return rep, used
}

// estimate is both variances of greatest restricted likelihood; false without anything to estimate them from. Where
// days and readings cannot be told apart the readings are as assumed.
func (p part) estimate(assumedReading float64) (day, reading float64, ok bool) {
	switch {
	case !(p.free > 0):
		return 0, 0, false
	case p.residual == 0:
		return p.root(assumedReading) * assumedReading, assumedReading, true
	case p.dayDF == 0:
		return 0, p.profile.zero.rss / p.free, true
	}
	rho := p.root(0)
	reading = p.at(rho).rss / p.free
	return rho * reading, reading, true
}

// measured is nil where no reading is repeated.
func (p part) measured(day, reading float64) *MeasuredRepeatability {
	if !(p.residual > 0) {
		return nil
	}
	return &MeasuredRepeatability{
		DayPct: 100 * math.Sqrt(day), ReadingPct: 100 * math.Sqrt(reading), DayDF: p.dayDF, ReadingDF: p.residual,
	}
}

// blend is (ν₀σ₀² + νσ̂²)/(ν₀ + ν) on the lattice; without any degrees of freedom the assumption is all there is.
func blend(assumed, assumedDF, measured, df float64) (variance, useDF float64) {
	if assumedDF+df == 0 {
		return onLattice(assumed), math.Inf(1)
	}
	return onLattice((assumedDF*assumed + df*measured) / (assumedDF + df)), dfOnLattice(assumedDF + df)
}

// criterion is −2 ln of the restricted likelihood, less a constant, with the reading variance profiled out, or held
// where fixed > 0 (Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS, 2000, section 2.2).
func (p part) criterion(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.logDet + q.rss/fixed
	}
	return q.logDet + p.free*math.Log(max(q.rss, math.SmallestNonzeroFloat64))
}

// score is its derivative by that by which the slopes are.
func (p part) score(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.slopeLogDet + q.slopeRSS/fixed
	}
	return q.slopeLogDet + p.free*q.slopeRSS/max(q.rss, math.SmallestNonzeroFloat64)
}

// at is the profile at any ρ from 0 to the last point.
func (p part) at(rho float64) profilePoint {
	if rho == 0 {
		return p.profile.zero
	}
	return p.profile.at(math.Log(rho))
}

// root finds the ρ of greatest likelihood, 0 at the boundary: a look at every point, then the zero of
// the score in the best bracket by the Illinois variant of false position (Dowell and Jarratt, BIT 11, 1971, 168–174).
func (p part) root(fixed float64) float64 {
	best, bestAt := math.Inf(1), -1
	for i, q := range p.profile.points {
		if c := p.criterion(q, fixed); c < best {
			best, bestAt = c, i
		}
	}
	if zero := p.profile.zero; p.criterion(zero, fixed) <= best && p.score(zero, fixed) >= 0 {
		return 0
	}
	low, high := lnRhoAt(max(bestAt-1, 0)), lnRhoAt(min(bestAt+1, profileSteps))
	score := func(lnRho float64) float64 { return p.score(p.profile.at(lnRho), fixed) }
	fLow, fHigh := score(low), score(high)
	if !(fLow < 0 && fHigh > 0) {
		return math.Exp(lnRhoAt(bestAt)) // the likelihood falls off the end of the range
	}
	side, last := 0, low
	for range 100 {
		mid := (low*fHigh - high*fLow) / (fHigh - fLow)
		f := score(mid)
		if f == 0 || math.Abs(mid-last) < 1e-14 {
			return math.Exp(mid)
		}
		last = mid
		if f < 0 {
			low, fLow = mid, f
			if side == -1 {
				fHigh /= 2
			}
			side = -1
		} else {
			high, fHigh = mid, f
			if side == 1 {
				fLow /= 2
			}
			side = 1
		}
	}
	return math.Exp(last)
}
