package calibrate

import (
	"math"
	"slices"
)

const (
	// ladderStepSD is how unevenly the gears of a ladder are spaced, as a share of the step. An assumption of our own.
	ladderStepSD = 0.3
	// ratioSD is how far a gear lies from what its ratio and the sled's other gears say, a logarithm. An assumption of
	// our own.
	ratioSD = 0.01
)

// ladderMisfit is how far, in standard uncertainties, a gear lies from where the sled's other gears expect it: by their
// ratios where they are known, else between its neighbors on the lever, where the others rise or fall along it without
// exception. False where they expect nothing.
func (m *model) ladderMisfit(gear int) (float64, bool) {
	if m.column[gear] < 0 {
		return 0, false
	}
	at := m.beta[m.column[gear]]
	if expected, ok := m.byRatios(gear); ok {
		return (at - expected) / ratioSD, true
	}
	type rung struct {
		gear int
		log  float64
	}
	var others []rung
	for g, c := range m.column {
		if g != gear && c >= 0 {
			others = append(others, rung{g, m.beta[c]})
		}
	}
	if len(others) < 2 {
		return 0, false
	}
	rising := others[1].log > others[0].log
	steps := make([]float64, 0, len(others))
	for i := 1; i < len(others); i++ {
		step := others[i].log - others[i-1].log
		if step > 0 != rising {
			return 0, false
		}
		steps = append(steps, math.Abs(step)/float64(others[i].gear-others[i-1].gear))
	}
	slices.Sort(steps)
	step := steps[len(steps)/2]
	after := slices.IndexFunc(others, func(r rung) bool { return r.gear > gear })
	if after <= 0 { // beyond an end
		end := others[0]
		if after < 0 {
			end = others[len(others)-1]
		}
		away := step * float64(gear-end.gear)
		if !rising {
			away = -away
		}
		return (at - end.log - away) / (ladderStepSD * math.Abs(away)), true
	}
	low, high := others[after-1], others[after]
	share := float64(gear-low.gear) / float64(high.gear-low.gear)
	return (at - low.log - share*(high.log-low.log)) / (ladderStepSD * math.Abs(high.log-low.log) / 2), true
}

// byRatios is where the ratios of the gears and the other gears' readings put a gear.
func (m *model) byRatios(gear int) (float64, bool) {
	own, known := m.o.slow(gear)
	sum, n := 0.0, 0.0
	for g, c := range m.column {
		if slow, ok := m.o.slow(g); ok && g != gear && c >= 0 {
			sum += m.beta[c] - slow
			n++
		}
	}
	return sum/n + own, known && n >= 2
}

// inversions counts the steps along the lever that go against most of the others.
func (m *model) inversions() int {
	up, down, last := 0, 0, math.NaN()
	for _, c := range m.column {
		if c < 0 {
			continue
		}
		switch at := m.beta[c]; {
		case at > last:
			up++
		case at < last:
			down++
		}
		last = m.beta[c]
	}
	return min(up, down)
}
