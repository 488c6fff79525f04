package calibrate

import "math"

// Share is one sled's part in the fleet's repeatability: a function of its own notebook and of the assumption alone.
type Share struct {
	sums      *sums // nil when the sled says nothing
	dayDF     float64
	residual  float64 // n − rank[X Z]
	freeCount float64 // n − rank X
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
	return Share{sums: d.sum(len(s.o.gears)), dayDF: dayDF, freeCount: free, residual: free - dayDF}
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

// Pool estimates the variances by restricted maximum likelihood over every sled's share, in the order given, and
// blends each with the assumption by degrees of freedom.
func Pool(shares []Share, a Assumption) (Repeatability, Variances) {
	day, reading := math.Pow(a.DayPct/100, 2), math.Pow(a.ReadingPct/100, 2)
	used := a.variances()
	rep := Repeatability{Assumed: a}
	p := newProfile(shares)
	if p.free > 0 {
		var dayHat, readingHat float64
		switch {
		case p.readingDF == 0: // days and readings cannot be told apart: the readings stay as assumed
			dayHat = p.root(reading) * reading
		case p.dayDF == 0:
			readingHat = p.at(0).rss / p.free
		default:
			rho := p.root(0)
			readingHat = p.at(rho).rss / p.free
			dayHat = rho * readingHat
		}
		if p.readingDF > 0 {
			rep.Measured = &MeasuredRepeatability{
				DayPct: 100 * math.Sqrt(dayHat), ReadingPct: 100 * math.Sqrt(readingHat),
				DayDF: p.dayDF, ReadingDF: p.readingDF,
			}
		}
		used.Day, used.DayDF = blend(day, a.DF, dayHat, p.dayDF)
		used.Reading, used.ReadingDF = blend(reading, a.DF, readingHat, p.readingDF)
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

// profile is the restricted likelihood of the whole fleet as a function of ρ.
type profile struct {
	shares                 []Share
	dayDF, readingDF, free float64
	sol                    solution
}

func newProfile(shares []Share) *profile {
	p := &profile{}
	for _, s := range shares {
		if s.sums == nil {
			continue
		}
		p.shares = append(p.shares, s)
		p.dayDF += s.dayDF
		p.readingDF += s.residual
		p.free += s.freeCount
	}
	return p
}

// profilePoint is the sum over the fleet at one ρ.
type profilePoint struct{ rss, logDet, dRSS, dLogDet float64 }

func (p *profile) at(rho float64) profilePoint {
	var out profilePoint
	for _, s := range p.shares {
		if s.sums.solve(rho, &p.sol) != nil {
			continue
		}
		out.rss += p.sol.rss
		out.logDet += p.sol.logDet
		out.dRSS += p.sol.dRSS
		out.dLogDet += p.sol.dLogDet
	}
	return out
}

// criterion is −2 ln of the restricted likelihood, less a constant, with the reading variance profiled out, or held
// where fixed > 0 (Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS, 2000, section 2.2).
func (p *profile) criterion(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.logDet + q.rss/fixed
	}
	return q.logDet + p.free*math.Log(max(q.rss, math.SmallestNonzeroFloat64))
}

// score is its derivative by ρ.
func (p *profile) score(q profilePoint, fixed float64) float64 {
	if fixed > 0 {
		return q.dLogDet + q.dRSS/fixed
	}
	return q.dLogDet + p.free*q.dRSS/max(q.rss, math.SmallestNonzeroFloat64)
}

// Bounds of ρ that are searched.
const (
	leastRho = 1e-8
	mostRho  = 1e8
)

// root finds the ρ of greatest likelihood, 0 at the boundary: a coarse look over the whole range, then the zero of
// the score in the best bracket by the Illinois variant of false position (Dowell and Jarratt, BIT 11, 1971, 168–174).
func (p *profile) root(fixed float64) float64 {
	const steps = 32
	best, bestAt := math.Inf(1), -1
	grid := make([]float64, steps+1)
	for i := range grid {
		grid[i] = leastRho * math.Pow(mostRho/leastRho, float64(i)/steps)
		if c := p.criterion(p.at(grid[i]), fixed); c < best {
			best, bestAt = c, i
		}
	}
	if p.criterion(p.at(0), fixed) <= best && p.score(p.at(0), fixed) >= 0 {
		return 0
	}
	low, high := math.Log(grid[max(bestAt-1, 0)]), math.Log(grid[min(bestAt+1, steps)])
	score := func(logRho float64) float64 { return p.score(p.at(math.Exp(logRho)), fixed) }
	fLow, fHigh := score(low), score(high)
	if !(fLow < 0 && fHigh > 0) {
		return grid[bestAt] // the likelihood falls off the end of the range
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
