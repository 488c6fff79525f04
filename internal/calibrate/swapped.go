package calibrate

import (
	"cmp"
	"maps"
	"slices"

	"evenpull/internal/fleet"
)

const (
	// swapLook is from which difference between two gears' residuals on one day, in standard uncertainties, it is asked
	// whether their labels were swapped.
	swapLook = 3
	// swapAlone is by how much, in χ², a swap must explain the readings where none of them is out of line by itself. An
	// assumption of our own.
	swapAlone = 20
)

// labelsSwapped looks for a day on which two gears were noted under each other's label. It returns the model without
// that day's readings in both, or nil where no swap explains clearly more than leaving out the worst reading, whose
// residual is z (0 where none is out of line), or where the readings do not tell on which day it happened.
func (m *model) labelsSwapped(r *residuals, z float64, held map[int]bool) (*model, []suspect) {
	least := z*z + swapGain
	if z == 0 {
		least = swapAlone
	}
	var best []swap
	for _, s := range m.swappable(r, least, held) {
		with, err := m.refit(m.o.swapped(s.day, s.a, s.b))
		if err != nil {
			continue
		}
		if s.gain, s.inversions = (m.rss-with.rss)/m.v.Reading, with.inversions(); s.gain > least {
			best = append(best, s)
		}
	}
	slices.SortFunc(best, func(a, b swap) int {
		return cmp.Or(cmp.Compare(a.inversions, b.inversions), cmp.Compare(b.gain, a.gain))
	})
	if len(best) == 0 ||
		len(best) > 1 && best[1].inversions == best[0].inversions && best[1].gain > best[0].gain-swapGain {
		return nil, nil
	}
	won := best[0]
	var out []suspect
	for i, obs := range m.o.list {
		if m.d.day[i] != won.day || (obs.gear != won.a && obs.gear != won.b) {
			continue
		}
		other := won.a
		if obs.gear == won.a {
			other = won.b
		}
		out = append(out, suspect{obs: obs, gap: r.gap[i], mend: &fleet.Mend{
			Kind: fleet.LabelsSwapped, Gear: m.o.labels[other], DistanceFt: obs.reading.DistanceFt, StartFt: obs.start,
		}})
	}
	next, err := m.refit(m.o.without(out))
	if err != nil {
		return nil, nil
	}
	return next, out
}

// swap is two gears on one day.
type swap struct {
	day, a, b  int
	gain       float64 // χ²
	inversions int     // of the ladder with it
}

// dayGear is one gear's residuals on one day, in weights of topped-out readings.
type dayGear struct{ sum, weight, squares float64 }

// swappable lists the days and the two gears on each, held ones left out, whose residuals are so far apart that a swap
// could explain least, in χ².
func (m *model) swappable(r *residuals, least float64, held map[int]bool) []swap {
	var out []swap
	weight := map[int]float64{} // of all readings of a gear
	for i, obs := range m.o.list {
		weight[obs.gear] += m.d.w[i]
	}
	for first := 0; first < m.d.n; {
		day := m.d.day[first]
		on := map[int]dayGear{}
		for ; first < m.d.n && m.d.day[first] == day; first++ {
			gear, w := m.o.list[first].gear, m.d.w[first]
			if held[gear] {
				continue
			}
			at := on[gear]
			on[gear] = dayGear{at.sum + w*r.r[first], at.weight + w, at.squares + w*r.r[first]*r.r[first]}
		}
		gears := slices.Sorted(maps.Keys(on))
		for i, a := range gears {
			for _, b := range gears[:i] {
				rare := max(on[a].weight/weight[a], on[b].weight/weight[b]) < rareShare
				if on[a].swappable(on[b], m.beta[m.column[a]]-m.beta[m.column[b]], least, m.v.Reading, rare) {
					out = append(out, swap{day: day, a: a, b: b})
				}
			}
		}
	}
	return out
}

// rareShare is up to which share of a gear's readings those of one day hardly move where the gear is taken to top out.
const rareShare = 0.2

// swappable says whether swapping two gears' readings of a day, which top out step apart, could explain least. With k
// of n readings of a gear swapped, its mean moves by their share, so that a swap explains n/(n − k) times what shows in
// them: four times at most, as more than three in four are not asked about. Where they are few, what is left of their
// residuals afterward is known.
func (a dayGear) swappable(b dayGear, step, least, variance float64, rare bool) bool {
	apart := a.sum/a.weight - b.sum/b.weight
	if apart*apart < swapLook*swapLook*variance*(1/a.weight+1/b.weight) || 4*(a.squares+b.squares) < least*variance {
		return false
	}
	gain := 2*step*(b.sum-a.sum) - step*step*(a.weight+b.weight)
	return !rare || gain > least*variance/2
}

// swapped is a copy in which two gears have each other's readings of one day. No reading of it is confirmed to be
// right.
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
