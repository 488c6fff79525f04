package calibrate

import "math"

// The restricted likelihood is kept at fixed values of ρ, the ratio of the day's variance to a reading's: 0, and steps
// even in ln ρ. In ln ρ it is made of terms such as 1/(1+λρ), whose nearest poles lie π away in the complex plane, so
// that a polynomial through a few points around finds every value between to about 1e-11 of its size; see
// TestProfile_BetweenItsPoints. So a fleet's likelihood is a sum of points, and one sled's part in it can be put in
// place of another without asking the rest.
const (
	profileSteps = 160
	lnLeastRho   = -8 * math.Ln10
	profileStep  = 16 * math.Ln10 / profileSteps // up to ρ = 1e8
	through      = 16                            // points that a polynomial goes through
)

// profilePoint is a sum over sleds at one ρ. The slopes are by ρ at 0 and by ln ρ elsewhere.
type profilePoint struct{ rss, logDet, slopeRSS, slopeLogDet float64 }

func (p *profilePoint) add(q profilePoint, times float64) {
	p.rss += times * q.rss
	p.logDet += times * q.logDet
	p.slopeRSS += times * q.slopeRSS
	p.slopeLogDet += times * q.slopeLogDet
}

// profile is the restricted likelihood of one sled, or a sum over many.
type profile struct {
	zero   profilePoint
	points [profileSteps + 1]profilePoint
}

// profileOf takes the profile of one sled. Where a system cannot be solved the sled says nothing.
func profileOf(t *sums) *profile {
	p := &profile{}
	var sol solution
	if t.solve(0, &sol) == nil {
		p.zero = profilePoint{sol.rss, sol.logDet, sol.dRSS, sol.dLogDet}
	}
	for i := range p.points {
		rho := math.Exp(lnRhoAt(i))
		if t.solve(rho, &sol) == nil {
			p.points[i] = profilePoint{sol.rss, sol.logDet, rho * sol.dRSS, rho * sol.dLogDet}
		}
	}
	return p
}

// finite says whether there is a number at every point.
func (p *profile) finite() bool {
	for _, q := range append(p.points[:], p.zero) {
		if sum := q.rss + q.logDet + q.slopeRSS + q.slopeLogDet; math.IsNaN(sum) || math.IsInf(sum, 0) {
			return false
		}
	}
	return true
}

func lnRhoAt(point int) float64 { return lnLeastRho + profileStep*float64(point) }

func (p *profile) add(q *profile) {
	p.zero.add(q.zero, 1)
	for i := range p.points {
		p.points[i].add(q.points[i], 1)
	}
}

// at is the profile at any ln ρ within the points, by the barycentric form of Lagrange's polynomial through those
// around it (Berrut and Trefethen, Barycentric Lagrange Interpolation, SIAM Review 46, 2004, 501–517, equation 4.2).
func (p *profile) at(lnRho float64) profilePoint {
	x := (lnRho - lnLeastRho) / profileStep
	first := min(max(int(math.Floor(x))-through/2+1, 0), profileSteps+1-through)
	var out profilePoint
	total, weight := 0.0, 1.0 // of evenly spaced points: (−1)^k times the binomial coefficient
	for k := range through {
		off := x - float64(first+k)
		if off == 0 {
			return p.points[first+k]
		}
		share := weight / off
		out.add(p.points[first+k], share)
		total += share
		weight *= -float64(through-1-k) / float64(k+1)
	}
	// where repeats agree to the foot the polynomial may run below 0
	return profilePoint{max(out.rss/total, 0), out.logDet / total, out.slopeRSS / total, out.slopeLogDet / total}
}
