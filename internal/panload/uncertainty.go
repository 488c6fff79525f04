package panload

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// gainSD is how far two scales differ, standard, as a share of a load. An assumption of our own.
const gainSD = 0.005

// half is half a 95 % interval of what both sleds' weighings have a part in, by the larger Student t of the two.
func (p pair) half(variance float64) float64 {
	return max(p.On.Fit.Spread.T(), p.Asked.Fit.Spread.T()) * math.Sqrt(max(variance, 0))
}

// differenceVariance is the variance of N_B − N_A by the weighings, in lb². A sled against itself shares them; two
// sleds share at most the scale.
func (p pair) differenceVariance(asked, on [terms]float64) float64 {
	a, b := p.Asked.Fit, p.On.Fit
	if p.Asked.ID == p.On.ID {
		var apart [terms]float64
		for i := range apart {
			apart[i] = on[i] - asked[i]
		}
		return b.covariance(apart, apart)
	}
	v := a.covariance(asked, asked) + b.covariance(on, on)
	if !sameScale(a.Sled, b.Sled) {
		v += math.Pow(gainSD*a.sum(asked), 2) + math.Pow(gainSD*b.sum(on), 2)
	}
	return v
}

// sameScale says whether two sleds were weighed on one scale, all of their weighings.
func sameScale(a, b Sled) bool {
	scale := a.Weighings[0].Scale
	another := func(w fleet.Weighing) bool { return w.Scale != scale }
	return scale != "" && !slices.ContainsFunc(a.Weighings, another) && !slices.ContainsFunc(b.Weighings, another)
}

// variance is u²(w) in lb²: (JCGM 100:2008, 5.1) by the weighings of both sleds, and by where either box tops out.
func (p pair) variance(w float64) float64 {
	asked, on, per := p.weights(w)
	v := p.differenceVariance(asked, on) / (per * per)
	along := p.At == OnAverage || p.At == Overall
	for _, of := range []*Pull{&p.Asked.Pull, &p.On.Pull} {
		if of.TopOutSD == 0 || !along && p.FinishFt >= of.TopOutFt { // the box is at the top there
			continue
		}
		const step = 0.01 // ft
		was := of.TopOutFt
		of.TopOutFt = was + step
		up := p.again()
		of.TopOutFt = was - step
		down := p.again()
		of.TopOutFt = was
		v += math.Pow((up-down)/(2*step)*of.TopOutSD, 2)
	}
	return v
}

// again is the weight with the pulls as they are now.
func (p pair) again() float64 {
	p.breaks = breaks(p.FinishFt, p.Asked.Pull, p.On.Pull)
	w, _, _ := p.weight()
	return w
}

// weights are how w·per moves with the four terms of either sled: w = (N_A − N_B(w = 0))/g linearized at w.
func (p pair) weights(w float64) (asked, on [terms]float64, per float64) {
	at := p.FinishFt
	switch p.At {
	case AtHook:
		at = 0
	case OnAverage:
		xA, xB := p.mean(p.Asked.Pull.BoxAt), p.mean(p.On.Pull.BoxAt)
		return row(xA, p.Asked.InBoxLb), row(xB, w), p.On.Fit.sum(rowPerLb(xB))
	case Overall:
		left := func(d float64) float64 { return p.On.Fit.sum(p.on(d, w)) + p.On.OnPanLb - p.askedLoad(d) }
		for i := range terms {
			asked[i] = p.mean(func(d float64) float64 { return p.asked(d)[i] * p.perLb(d) })
			on[i] = p.mean(func(d float64) float64 { return p.on(d, w)[i] * p.perLb(d) })
		}
		// g itself is made of C and D: what is left of the difference moves with them too.
		on[2] += p.mean(left)
		on[3] += p.mean(func(d float64) float64 { return left(d) * p.On.Pull.BoxAt(d) })
		return asked, on, p.meanSquare()
	case HookAndFinish:
		start, end := p.On.Pull.BoxAt(0), p.On.Pull.BoxAt(p.FinishFt)
		a0, a1 := p.asked(0), p.asked(p.FinishFt)
		for i := range asked {
			asked[i] = a1[i] - a0[i]
		}
		moved := end - start
		return asked, [terms]float64{0, moved, 0, w * moved}, p.On.Fit.sum([terms]float64{0, 0, 0, 1}) * moved
	}
	return p.asked(at), p.on(at, w), p.perLb(at)
}
