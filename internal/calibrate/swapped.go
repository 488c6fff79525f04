package calibrate

import (
	"math"
	"slices"
)

// swapLook is from which residual on, in standard uncertainties, it is asked whether two labels were swapped for a day.
const swapLook = 2.5

// labelsSwapped looks for a day on which two gears were noted under each other's label. It returns the model without that day's
// readings in both, or nil where no swap explains clearly more than leaving out the worst reading, whose residual is z, or
// where the readings do not tell on which day it happened.
func (m *model) labelsSwapped(r *residuals, z float64, looks int) (*model, []suspect) {
	type swap struct {
		day, a, b  int
		gain       float64
		inversions int
	}
	var best []swap
	for _, s := range m.swappable(r) {
		with, err := m.refit(m.o.swapped(s[0], s[1], s[2]))
		if err != nil {
			continue
		}
		gain := (m.rss - with.rss) / m.v.Reading
		if gain > z*z+swapGain {
			best = append(best, swap{s[0], s[1], s[2], gain, with.inversions()})
		}
	}
	if len(best) == 0 {
		return nil, nil
	}
	slices.SortFunc(best, func(a, b swap) int {
		if a.inversions != b.inversions {
			return a.inversions - b.inversions
		}
		if a.gain > b.gain {
			return -1
		}
		return 1
	})
	won := best[0]
	for _, s := range best[1:] {
		if s.inversions == won.inversions && s.gain > won.gain-swapGain {
			return nil, nil
		}
	}
	var out []suspect
	for i, obs := range m.o.list {
		if m.d.day[i] != won.day || (obs.gear != won.a && obs.gear != won.b) {
			continue
		}
		other := won.a
		if obs.gear == won.a {
			other = won.b
		}
		out = append(out, suspect{obs: obs, gap: r.gap[i], mend: &Mend{
			Kind: LabelsSwapped, Gear: m.o.label(other), DistanceFt: obs.reading.DistanceFt, StartFt: obs.start,
		}})
	}
	next, err := m.refit(m.o.without(out))
	if err != nil {
		return nil, nil
	}
	return next, out
}

// swappable lists a day and two gears that have readings on it, one of which has a reading out of line on any day.
func (m *model) swappable(r *residuals) [][3]int {
	off := map[int]bool{}
	on := map[int][]int{} // day → gears
	for i, obs := range m.o.list {
		if math.Abs(r.z[i]) > swapLook {
			off[obs.gear] = true
		}
		if day := m.d.day[i]; !slices.Contains(on[day], obs.gear) {
			on[day] = append(on[day], obs.gear)
		}
	}
	var out [][3]int
	for day := range len(on) {
		for i, a := range on[day] {
			for _, b := range on[day][:i] {
				if off[a] && off[b] {
					out = append(out, [3]int{day, a, b})
				}
			}
		}
	}
	return out
}

// swapped is a copy in which two gears have each other's readings of one day. No reading of it is confirmed to be right.
func (o *observations) swapped(day, a, b int) *observations {
	out := *o
	out.list = slices.Clone(o.list)
	for i := range out.list {
		obs := &out.list[i]
		switch {
		case obs.day != day:
		case obs.gear == a:
			obs.gear = b
		case obs.gear == b:
			obs.gear = a
		}
	}
	return &out
}
