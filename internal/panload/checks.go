package panload

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"evenpull/internal/fleet"
)

// CheckCode is what somebody should look at in the weighings of a sled.
type CheckCode string

// What the checks find.
const (
	OutOfLine      CheckCode = "weighing-out-of-line"        // the others contradict it
	MiddleOff      CheckCode = "middle-off-the-line"         // the pan load bends
	SameDiffers    CheckCode = "same-state-differs"          // two weighings of one state
	PartsNotTotal  CheckCode = "pan-and-tires-are-not-total" // by more than 1 %
	TotalNotBlocks CheckCode = "total-does-not-grow-by-blocks"
	FallsForward   CheckCode = "load-falls-forward"      // on the pan, as the box goes forward
	LengthOff      CheckCode = "tandem-to-pan-disagrees" // 1/D against the tape
	BoxOff         CheckCode = "empty-box-disagrees"     // B/D against what the box weighs
	CenterOff      CheckCode = "box-center-disagrees"    // C/D against the tape
)

// Mend is a usual mistake in writing a weighing down.
type Mend string

// The usual mistakes.
const (
	OtherMark   Mend = "mark-of-another-state"
	PanIsTandem Mend = "pan-and-tandem-swapped"
	Kilograms   Mend = "kilograms"
	BlockMore   Mend = "a-block-too-few-noted"
	BlockLess   Mend = "a-block-too-many-noted"
)

// Check is one finding: numbers in lb and ft, 0 where the code has no use for them.
type Check struct {
	Code     CheckCode
	Weighing string   // id; of OutOfLine the likeliest one
	Others   []string // ids of weighings that it cannot be told from, or that it disagrees with
	Noted    float64
	Expected float64
	Mend     Mend // "" where nothing usual explains it
}

const (
	// falseAlarm is how often the weighings of a sled with nothing wrong are accused. An assumption of our own.
	falseAlarm = 0.02
	// mendAlarm is the same of weighings that a usual mistake would bring in line.
	mendAlarm = 0.3
	// sameShare is how far parts and totals may be apart, as a share, and blockShare how far a total may be from what
	// its blocks make it, as a share of the smallest block; usualBlockLb is that where none is on file.
	sameShare    = 0.01
	blockShare   = 0.4
	usualBlockLb = 1000
	lbPerKg      = 1 / 0.45359237 // exact: NIST Special Publication 811, Appendix B
)

// Checks lists what somebody should look at.
func (f *Fit) Checks() []Check {
	own := f.withoutTape()
	if len(own.leftOut()) == 0 { // too few to judge one another: the tape helps
		own = f
	}
	return slices.Concat(f.sameStates(), own.outOfLine(), f.totals(), f.shape(), f.againstTape())
}

// withoutTape is the fit of the weighings alone, or f where they alone cannot be fitted.
func (f *Fit) withoutTape() *Fit {
	s := f.Sled
	s.TandemToPanFt = nil // the rest of the tape says nothing without it
	return cmp.Or(FitTo(s, f.Spread), f)
}

// sameStates finds weighings of one state that differ by more than weighings do.
func (f *Fit) sameStates() []Check {
	var out []Check
	limit := f.limit(falseAlarm) * f.Spread.Lb * math.Sqrt2
	for i, a := range f.Sled.Weighings {
		for _, b := range f.Sled.Weighings[:i] {
			if a.BoxAtFt == b.BoxAtFt && a.InBoxLb == b.InBoxLb &&
				math.Abs(a.PanLb-a.OnPanLb-b.PanLb+b.OnPanLb) > limit {
				out = append(out, Check{Code: SameDiffers, Weighing: a.ID, Others: []string{b.ID}, Noted: a.PanLb,
					Expected: b.PanLb})
			}
		}
	}
	return out
}

// limit is what a share alarm of values exceed.
func (f *Fit) limit(alarm float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: f.Spread.DF}.Quantile(1 - alarm/2)
}

// left is one weighing left out: how far it lies from what the others say, in lb and in standard uncertainties.
type left struct {
	fleet.Weighing
	at     int // among the weighings
	off, z float64
	others *Fit
}

// leftOut leaves each weighing out in turn; those that the others say nothing of are not listed.
func (f *Fit) leftOut() []left {
	var out []left
	for i, w := range f.Sled.Weighings {
		s := f.Sled
		s.Weighings = slices.Delete(slices.Clone(s.Weighings), i, i+1)
		others := FitTo(s, f.Spread)
		if others == nil {
			continue
		}
		if off, z, ok := others.off(w); ok {
			out = append(out, left{w, i, off, z, others})
		}
	}
	return out
}

// off is how far a weighing that is none of the fit's lies from what the fit says, in lb and in standard uncertainties;
// false where it says nothing of it.
func (f *Fit) off(w fleet.Weighing) (lb, z float64, ok bool) {
	r := row(w.BoxAtFt, w.InBoxLb)
	lb = w.PanLb - w.OnPanLb - f.sum(r)
	return lb, math.Abs(lb) / math.Hypot(f.sd(r), f.Spread.Lb), f.known(r)
}

// outOfLine names a weighing that the others contradict. Weighings at one loading lie on a line: of three of them each
// is as far from the other two, so that only what explains one of them tells which it is; where nothing does and the
// middle marks of every loading are off one way, it is the sled that bends.
func (f *Fit) outOfLine() []Check {
	all := f.leftOut()
	if len(all) == 0 {
		return nil
	}
	worst := slices.MaxFunc(all, func(a, b left) int { return cmp.Compare(a.z, b.z) })
	looks := float64(len(f.Sled.Weighings))
	if worst.z < f.limit(mendAlarm/looks) {
		return nil
	}
	const tie = 0.9 // of the worst
	suspects := slices.DeleteFunc(all, func(l left) bool { return l.z < tie*worst.z })
	found := Check{Code: OutOfLine}
	best := math.Inf(1)
	for _, l := range suspects {
		if mend, z := f.mendOf(l); mend != "" && z < best {
			best, found.Mend, worst = z, mend, l
		}
	}
	if found.Mend == "" && worst.z < f.limit(falseAlarm/looks) {
		return nil
	}
	if found.Mend == "" && f.bends(suspects) {
		found.Code = MiddleOff
		for _, l := range suspects { // of which every one is about as far off
			if f.inMiddle(l) && (!f.inMiddle(worst) || l.z > worst.z) {
				worst = l
			}
		}
	}
	found.Weighing, found.Noted, found.Expected = worst.ID, worst.PanLb, worst.PanLb-worst.off
	if found.Mend == "" {
		for _, l := range suspects {
			if l.at != worst.at {
				found.Others = append(found.Others, l.ID)
			}
		}
	}
	return []Check{found}
}

// fitsWithin is how near a mended weighing must lie to what the others say, in standard uncertainties. An assumption of
// our own.
const fitsWithin = 2.5

// mendOf looks for the usual mistake that brings a weighing nearest to what the others say.
func (f *Fit) mendOf(l left) (best Mend, bestZ float64) {
	bestZ = fitsWithin
	try := func(mend Mend, change func(as *fleet.Weighing)) {
		as := l.Weighing
		change(&as)
		if _, z, ok := l.others.off(as); ok && z < bestZ {
			best, bestZ = mend, z
		}
	}
	try(Kilograms, func(as *fleet.Weighing) { as.PanLb *= lbPerKg })
	if l.TandemLb != nil {
		try(PanIsTandem, func(as *fleet.Weighing) { as.PanLb = *l.TandemLb })
	}
	for _, other := range f.Sled.Weighings {
		if other.BoxAtFt != l.BoxAtFt {
			try(OtherMark, func(as *fleet.Weighing) { as.BoxAtFt = other.BoxAtFt })
		}
	}
	for _, b := range f.Sled.Blocks {
		try(BlockMore, func(as *fleet.Weighing) { as.InBoxLb += b.Lb })
		if l.InBoxLb >= b.Lb {
			try(BlockLess, func(as *fleet.Weighing) { as.InBoxLb -= b.Lb })
		}
	}
	return best, bestZ
}

// inMiddle says whether a weighing was made between full back and the top.
func (f *Fit) inMiddle(w left) bool { return w.BoxAtFt > 0 && w.BoxAtFt < f.Sled.TravelFt }

// bends says whether the middle weighings of two loadings or more are off one way.
func (f *Fit) bends(suspects []left) bool {
	loadings := map[bool]map[float64]bool{true: {}, false: {}} // off upward, and downward
	for _, l := range f.leftOut() {
		if l.z >= fitsWithin && f.inMiddle(l) {
			loadings[l.off > 0][l.InBoxLb] = true
		}
	}
	return len(suspects) > 1 && max(len(loadings[true]), len(loadings[false])) > 1
}

// totals hold pan and tires against the total, and the totals against the blocks.
func (f *Fit) totals() []Check {
	var out []Check
	var bare []float64
	for _, w := range f.Sled.Weighings {
		if w.TotalLb != nil && w.TandemLb != nil && math.Abs(w.PanLb+*w.TandemLb-*w.TotalLb) > sameShare**w.TotalLb {
			out = append(out, Check{Code: PartsNotTotal, Weighing: w.ID, Noted: w.PanLb + *w.TandemLb,
				Expected: *w.TotalLb})
		}
		if lb, ok := total(w); ok {
			bare = append(bare, lb-w.InBoxLb-w.OnPanLb)
		}
	}
	if len(bare) < 2 {
		return out
	}
	slices.Sort(bare)
	middle := (bare[(len(bare)-1)/2] + bare[len(bare)/2]) / 2
	block := float64(usualBlockLb)
	for i, b := range f.Sled.Blocks {
		if i == 0 || b.Lb < block {
			block = b.Lb
		}
	}
	for _, w := range f.Sled.Weighings {
		lb, ok := total(w)
		expected := middle + w.InBoxLb + w.OnPanLb
		if ok && math.Abs(lb-expected) > max(sameShare*expected, blockShare*block) {
			out = append(out, Check{Code: TotalNotBlocks, Weighing: w.ID, Noted: lb, Expected: expected})
		}
	}
	return out
}

// shape finds a pan load that falls as the box goes forward, at a loading that was weighed.
func (f *Fit) shape() []Check {
	var loadings []float64
	for _, w := range f.Sled.Weighings {
		loadings = append(loadings, w.InBoxLb)
	}
	slices.Sort(loadings)
	for _, w := range slices.Compact(loadings) {
		r := [terms]float64{0, 1, 0, w}
		if f.known(r) && f.sum(r) < 0 {
			return []Check{{Code: FallsForward, Noted: w, Expected: f.sum(r)}}
		}
	}
	return nil
}

// againstTape holds what the weighings by themselves imply against what was taped.
func (f *Fit) againstTape() []Check {
	own := f.withoutTape()
	c := own.Coefficients()
	d := c[3]
	if d == nil || !(d.Value > 0) {
		return nil
	}
	var out []Check
	// ratio holds a/D against a value; ∂(a/D) = 1/D and −a/D².
	hold := func(code CheckCode, term int, tape *taped) {
		if tape == nil || term >= 0 && c[term] == nil {
			return
		}
		var by [terms]float64
		value := 1.0
		if term >= 0 {
			value = c[term].Value
			by[term] = 1 / d.Value
		}
		by[3] -= value / (d.Value * d.Value)
		implied := value / d.Value
		sd := math.Hypot(own.sd(by), tape.sd)
		if math.Abs(implied-tape.value) > f.limit(falseAlarm/3)*sd ||
			implied*tape.value < 0 && math.Abs(implied) > 2*sd {
			out = append(out, Check{Code: code, Noted: tape.value, Expected: implied})
		}
	}
	length, box, center := f.Sled.tape()
	hold(LengthOff, -1, length)
	hold(BoxOff, 1, box)
	hold(CenterOff, 2, center)
	return out
}
