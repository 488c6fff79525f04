package panload

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenpull/internal/fleet"
)

const terms = 4 // of a pan load: 1, x, w, x w

// The assumed spread of weighings: 100 lb, worth 4 degrees of freedom. An assumption of our own.
const (
	assumedSpreadLb = 100.0
	assumedDF       = 4.0
)

// Spread is how far weighings of a fleet scatter about what lies on the pan.
type Spread struct {
	Lb float64 // standard
	DF float64
}

// T is the 97.5 % quantile of Student's t with its degrees of freedom.
func (s Spread) T() float64 { return distuv.StudentsT{Sigma: 1, Nu: s.DF}.Quantile(0.975) }

// Share is one sled's part in the spread of a fleet: the sum of the squared residuals of its own weighings, in lb²,
// their degrees of freedom, and whether there are any.
type Share struct {
	SSR, DF float64
	Weighed bool
}

// Plus is the sum of two shares.
func (s Share) Plus(o Share) Share { return Share{s.SSR + o.SSR, s.DF + o.DF, s.Weighed || o.Weighed} }

// wideSpread is the spread, in assumed ones, at which a sled's own weighings are asked which of them is mistaken before
// they speak for the fleet, and wideLimit from how many of it on one is. Assumptions of our own.
const (
	wideSpread = 2.0
	wideLimit  = 3.3
)

// ShareOf fits a sled's weighings by themselves, without those that the others contradict.
func ShareOf(weighings []fleet.Weighing) Share {
	wide := Spread{Lb: wideSpread * assumedSpreadLb, DF: math.Inf(1)}
	for {
		f := FitTo(Sled{Weighings: weighings}, wide)
		if f == nil {
			return Share{}
		}
		worst := left{}
		for _, l := range f.leftOut() {
			if l.z > max(worst.z, wideLimit) {
				worst = l
			}
		}
		if worst.z == 0 {
			ssr := 0.0
			for _, w := range weighings {
				ssr += math.Pow(w.PanLb-w.OnPanLb-f.sum(row(w.BoxAtFt, w.InBoxLb)), 2)
			}
			_, rank := f.basis.Dims()
			return Share{SSR: ssr, DF: float64(len(weighings) - rank), Weighed: true}
		}
		weighings = slices.Delete(slices.Clone(weighings), worst.at, worst.at+1)
	}
}

// Pool blends the sum of the shares of a fleet with the assumption: s² = (4·100² + Σ SSR)/(4 + Σ df).
func Pool(all Share) Spread {
	df := assumedDF + all.DF
	return Spread{Lb: math.Sqrt((assumedDF*assumedSpreadLb*assumedSpreadLb + all.SSR) / df), DF: df}
}

// Fit is a sled's pan load.
type Fit struct {
	Sled   Sled
	Spread Spread
	beta   *mat.VecDense // A, B, C, D of scaled terms
	cov    *mat.SymDense // of these; of what the weighings do not determine, 0
	basis  *mat.Dense    // columns span what they determine
	stock  func() *Stock // of the sled's blocks, worked out when it is first asked for
}

// Steps in which the terms are counted, so that a system of feet and thousands of pounds is well conditioned.
const (
	scaleFt = 10.0
	scaleLb = 10_000.0
	// rankLimit is the least share of the largest singular value at which a term counts as determined.
	rankLimit = 1e-6
)

// row is what the four terms are multiplied by.
func row(x, w float64) [terms]float64 { return [terms]float64{1, x, w, x * w} }

func scaled(r [terms]float64) []float64 {
	return []float64{r[0], r[1] / scaleFt, r[2] / scaleLb, r[3] / (scaleFt * scaleLb)}
}

// FitTo finds A, B, C and D by least squares on the weighings, each with the spread given, and on what was taped, each
// with its own uncertainty: D = 1/L (u_L/L²), B − W_b D = 0 (u_W/L), C − p D = 0 (u_p/L). What they do not determine
// stays unknown. It is nil where nothing was weighed.
func FitTo(s Sled, spread Spread) *Fit {
	if len(s.Weighings) == 0 {
		return nil
	}
	var rows, right []float64
	add := func(r [terms]float64, value, sd float64) {
		for _, v := range scaled(r) {
			rows = append(rows, v/sd)
		}
		right = append(right, value/sd)
	}
	for _, w := range s.Weighings {
		add(row(w.BoxAtFt, w.InBoxLb), w.PanLb-w.OnPanLb, spread.Lb)
	}
	if l, b, p := s.tape(); l != nil {
		add([terms]float64{0, 0, 0, 1}, 1/l.value, l.sd/(l.value*l.value))
		if b != nil {
			add([terms]float64{0, 1, 0, -b.value}, 0, b.sd/l.value)
		}
		if p != nil {
			add([terms]float64{0, 0, 1, -p.value}, 0, p.sd/l.value)
		}
	}
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(len(right), terms, rows), mat.SVDThin) {
		return nil
	}
	rank := svd.Rank(rankLimit)
	f := &Fit{Sled: s, Spread: spread, beta: new(mat.VecDense), cov: mat.NewSymDense(terms, nil)}
	svd.SolveVecTo(f.beta, mat.NewVecDense(len(right), right), rank)
	var v mat.Dense
	svd.VTo(&v)
	values := svd.Values(nil)
	f.basis = mat.DenseCopyOf(v.Slice(0, terms, 0, rank))
	for k := range rank {
		f.cov.SymRankOne(f.cov, 1/(values[k]*values[k]), v.ColView(k))
	}
	f.stock = sync.OnceValue(func() *Stock { return StockOf(f.Sled.Blocks) })
	return f
}

// known says whether the weighings determine a sum of the four terms.
func (f *Fit) known(r [terms]float64) bool {
	of := mat.NewVecDense(terms, scaled(r))
	var along, back mat.VecDense
	along.MulVec(f.basis.T(), of)
	back.MulVec(f.basis, &along)
	back.SubVec(of, &back)
	return mat.Norm(&back, 2) < 1e-6*mat.Norm(of, 2)
}

// sum is a sum of the four terms.
func (f *Fit) sum(r [terms]float64) float64 {
	return mat.Dot(mat.NewVecDense(terms, scaled(r)), f.beta)
}

// covariance of two sums of the four terms.
func (f *Fit) covariance(a, b [terms]float64) float64 {
	return mat.Inner(mat.NewVecDense(terms, scaled(a)), f.cov, mat.NewVecDense(terms, scaled(b)))
}

// sd is the standard uncertainty of a sum of the four terms.
func (f *Fit) sd(r [terms]float64) float64 { return math.Sqrt(max(f.covariance(r, r), 0)) }

// Load is a load in pounds with its 95 % interval.
type Load struct{ Lb, LowLb, HighLb float64 }

func (f *Fit) load(lb, variance float64) Load {
	half := f.Spread.T() * math.Sqrt(max(variance, 0))
	return Load{lb, lb - half, lb + half}
}

// Pan is what lies on the pan with the box at a mark, in feet from full back, and blocks in the box and on the pan, in
// pounds. False where the weighings do not tell.
func (f *Fit) Pan(boxAtFt, inBoxLb, onPanLb float64) (Load, bool) {
	r := row(boxAtFt, inBoxLb)
	if !f.known(r) {
		return Load{}, false
	}
	return f.load(f.sum(r)+onPanLb, f.covariance(r, r)), true
}

// Tandem is what the tires carry: the total less the pan load. False where either is not known. Without blocks the sled
// weighs the mean of n totals. One that was read adds s²/n²; one put together of pan and tandem 2 s²/n² − 2 φᵀVφᵢ/n,
// since what the pan was misread by is in the pan load as well.
func (f *Fit) Tandem(boxAtFt, inBoxLb, onPanLb float64) (Load, bool) {
	var totals []fleet.Weighing
	for _, w := range f.Sled.Weighings {
		if _, ok := total(w); ok {
			totals = append(totals, w)
		}
	}
	r, n := row(boxAtFt, inBoxLb), float64(len(totals))
	if n == 0 || !f.known(r) {
		return Load{}, false
	}
	lb, variance := inBoxLb+onPanLb-(f.sum(r)+onPanLb), f.covariance(r, r)
	for _, w := range totals {
		whole, _ := total(w)
		lb += (whole - w.InBoxLb - w.OnPanLb) / n
		own := math.Pow(f.Spread.Lb/n, 2)
		if w.TotalLb == nil {
			own = 2*own - 2*f.covariance(r, row(w.BoxAtFt, w.InBoxLb))/n
		}
		variance += own
	}
	return f.load(lb, variance), true
}

// Coefficient is one of A (lb), B (lb/ft), C (1) and D (1/ft) with its standard uncertainty.
type Coefficient struct{ Value, SD float64 }

// Coefficients are A, B, C and D; nil where the weighings do not determine one.
func (f *Fit) Coefficients() [terms]*Coefficient {
	var out [terms]*Coefficient
	for i := range out {
		var unit [terms]float64
		unit[i] = 1
		if f.known(unit) {
			out[i] = &Coefficient{f.sum(unit), f.sd(unit)}
		}
	}
	return out
}

// rowPerLb is what the four terms are multiplied by in g(x) = C + D x, what a pound in the box adds on the pan.
func rowPerLb(x float64) [terms]float64 { return [terms]float64{0, 0, 1, x} }
