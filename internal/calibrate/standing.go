package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Steps of the differences that say how φ moves with what is uncertain.
const (
	levelStep = 1e-6 // of a logarithm
	tapeStep  = 1e-4 // ft
)

// standing is one part of a fitted curve as it stands, and as it would stand with each thing that is uncertain moved a
// little. A chart is asked far more often than it is fitted, so the curves are laid once.
type standing struct {
	here   *phi
	pooled []float64 // by start position: how far its level was moved to make φ fall, a logarithm
	levels []nudged  // by start position; the first level is what the others are relative to
	travel nudged
	marks  []nudged // by start position
}

// nudged is φ with one thing moved up and down by a step; nil where that leaves no curve.
type nudged struct {
	step     float64
	up, down *phi
}

// stand lays the curves of a fitted measured shape.
func (m *model) stand() *model {
	moved := func(values []float64, k int, by float64) []float64 {
		values = slices.Clone(values)
		values[k] += by
		return values
	}
	for i, levels := range m.levels() {
		p := m.curve.parts[i]
		s := standing{here: p.interpolant(levels, p.starts, m.travel), pooled: falling(levels, p.weight)}
		floats.Sub(s.pooled, levels)
		for k := range p.starts {
			s.levels = append(s.levels, nudged{levelStep,
				p.interpolant(moved(levels, k, levelStep), p.starts, m.travel),
				p.interpolant(moved(levels, k, -levelStep), p.starts, m.travel)})
			s.marks = append(s.marks, nudged{tapeStep,
				p.interpolant(levels, moved(p.starts, k, tapeStep), m.travel),
				p.interpolant(levels, moved(p.starts, k, -tapeStep), m.travel)})
		}
		if m.travel > 0 {
			s.travel = nudged{tapeStep, p.interpolant(levels, p.starts, m.travel+tapeStep),
				p.interpolant(levels, p.starts, m.travel-tapeStep)}
		}
		m.standing = append(m.standing, s)
	}
	return m
}

// log is ln φ; NaN where the curve does not reach or has come down to nothing.
func (p *phi) log(s float64) float64 {
	if p.covers(s) {
		if v := p.at(s); v > 0 {
			return math.Log(v)
		}
	}
	return math.NaN()
}

// slope of ln φ at a start position, whose value there is here: a central difference, one-sided at the ends of what is
// covered.
func (n nudged) slope(s, here float64) float64 {
	return difference(n.step, here, n.up.log(s), n.down.log(s))
}

func difference(step, here, up, down float64) float64 {
	switch noUp, noDown := math.IsNaN(up), math.IsNaN(down); {
	case noUp && noDown:
		return 0
	case noDown:
		return (up - here) / step
	case noUp:
		return (here - down) / step
	}
	return (up - down) / (2 * step)
}

// curveAt adds ln φ at a start position to a point, and how it moves with the levels and the tapes.
func (m *model) curveAt(gear int, start float64, p *point) bool {
	i := m.curve.partOf[gear]
	if i < 0 {
		return false
	}
	part, s := m.curve.parts[i], m.standing[i]
	here := s.here.log(start)
	if math.IsNaN(here) {
		return false
	}
	p.eta += here
	p.bent = s.pooledAt(start, part.starts)
	for k, level := range s.levels[1:] {
		p.a[part.column+k] = level.slope(start, here)
	}
	if slices.Contains(part.starts, start) {
		return true // the same mark for the asked and the measured position: no tape between them
	}
	if m.travel > 0 {
		p.q[0] = s.travel.slope(start, here)
	}
	for k, at := range part.starts {
		if at > 0 {
			p.q[m.mark(at)] += s.marks[k].slope(start, here)
		}
	}
	if start > 0 {
		slope := difference(tapeStep, here, s.here.log(start+tapeStep), s.here.log(start-tapeStep))
		p.q[m.mark(start)] += slope
	}
	return true
}

// pooledAt is how far the levels about a start position were moved.
func (s standing) pooledAt(start float64, starts []float64) float64 {
	k, measured := slices.BinarySearch(starts, start)
	low, high := max(k-1, 0), min(k, len(starts)-1)
	if measured {
		low = k
	}
	return max(math.Abs(s.pooled[low]), math.Abs(s.pooled[high]))
}

// ratio is ln φ(to) − ln φ(from) where one part of a measured shape covers both.
func (m *model) ratio(from, to float64) (float64, bool) {
	for _, s := range m.standing {
		if ratio := s.here.log(to) - s.here.log(from); !math.IsNaN(ratio) {
			return ratio, true
		}
	}
	return 0, false
}
