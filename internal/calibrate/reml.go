package calibrate

import "math"

// Share is one sled's part in the fleet's repeatability, a function of its own notebook and of the assumption alone, or the
// sum of many. The zero Share says nothing.
type Share struct {
	profile  *profile
	dayDF    float64
	residual float64 // n − rank[X Z]
	free     float64 // n − rank X
}

// Total is the sum of shares, in the order given.
func Total(shares []Share) Share {
	var out Share
	for _, s := range shares {
		if s.profile == nil {
			continue
		}
		if out.profile == nil {
			out.profile = &profile{}
		}
		out.profile.add(s.profile)
		out.dayDF += s.dayDF
		out.residual += s.residual
		out.free += s.free
	}
	return out
}

// ShareOf takes one sled's part. Its shape is judged at the assumed variances, so that no other sled enters.
func ShareOf(n Notebook, a Assumption) Share {
	v := a.variances()
	o := observe(n, v.AssumedReading)
	s, err := o.shape(v, len(n.Sled.Gears))
	if err != nil || s == nil {
		return Share{}
	}
	d := s.d
	var days [][]float64
	for j := range d.day[d.n-1] + 1 {
		days = append(days, s.o.indicator(func(obs observation) bool { return obs.day == j }))
	}
	dayDF := float64(len(d.independent(days)))
	free := float64(d.n - d.p)
	if free == 0 {
		return Share{}
	}
	own := profileOf(d.sum(len(s.o.gears)))
	if !own.finite() { // readings that contradict each other beyond what can be computed must not speak for the fleet
		return Share{}
	}
	return Share{profile: own, dayDF: dayDF, free: free, residual: free - dayDF}
}

// variances are the assumed ones, before anything is measured.
func (a Assumption) variances() Variances {
	day, reading := math.Pow(a.DayPct/100, 2), math.Pow(a.ReadingPct/100, 2)
	df := math.Inf(1)
	if a.DF > 0 {
		df = dfOnLattice(a.DF)
	}
	return Variances{Day: onLattice(day), Reading: onLattice(reading), DayDF: df, ReadingDF: df, AssumedReading: onLattice(reading)}
}

// Pool estimates the variances by restricted maximum likelihood from the sum of every sled's share, and blends each with the
// assumption by degrees of freedom.
func Pool(total Share, a Assumption) (Repeatability, Variances) {
	day, reading := math.Pow(a.DayPct/100, 2), math.Pow(a.ReadingPct/100, 2)
	used := a.variances()
	rep := Repeatability{Assumed: a}
	if p := total; p.free > 0 {
		var dayHat, readingHat float64
		switch {
		case p.residual == 0: // days and readings cannot be told apart: the readings stay as assumed
			dayHat = p.root(reading) * reading
		case p.dayDF == 0:
			readingHat = p.profile.zero.rss / p.free
		default:
			rho := p.root(0)
			readingHat = p.at(rho).rss / p.free
			dayHat = rho * readingHat
		}
		if p.residual > 0 {
			rep.Measured = &MeasuredRepeatability{
				DayPct: 100 * math.Sqrt(dayHat), ReadingPct: 100 * math.Sqrt(readingHat),
				DayDF: p.dayDF, ReadingDF: p.residual,
			}
		}
		used.Day, used.DayDF = blend(day, a.DF, dayHat, p.dayDF)
		used.Reading, used.ReadingDF = blend(reading, a.DF, readingHat, p.residual)
	}
	rep.UsedDayPct, rep.UsedReadingPct = 100*math.Sqrt(used.Day), 100*math.Sqrt(used.Reading)
	return rep, used
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
func (p Share) criterion(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.logDet + q.rss/fixed
	}
	return q.logDet + p.free*math.Log(max(q.rss, math.SmallestNonzeroFloat64))
}

// score is its derivative by that by which the slopes are.
func (p Share) score(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.slopeLogDet + q.slopeRSS/fixed
	}
	return q.slopeLogDet + p.free*q.slopeRSS/max(q.rss, math.SmallestNonzeroFloat64)
}

// at is the profile at any ρ from 0 to the last point.
func (p Share) at(rho float64) profilePoint {
	if rho == 0 {
		return p.profile.zero
	}
	return p.profile.at(math.Log(rho))
}

// root finds the ρ of greatest likelihood, 0 at the boundary: a look at every point, then the zero of
// the score in the best bracket by the Illinois variant of false position (Dowell and Jarratt, BIT 11, 1971, 168–174).
func (p Share) root(fixed float64) float64 {
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
