package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// night is what is known of one day's effect δ on every top-out of a sled: nothing but its variance, or what the day's
// own readings say of it.
//
// Henderson's mixed model equations (Biometrics 31, 1975, 423–447) give, with k = ρ/(1 + ρ Σw) and b = Σ w x over the
// day's rows,
//
//	δ̂ = k Σ w (y − xβ̂)    Cov(η̂₁ + δ̂ − η₁ − δ, η̂₂ + δ̂ − η₂ − δ) = σ_d²/(1 + ρ Σw) + (a₁ − k b)′ Cov(β̂) (a₂ − k b)
//
// for η = a′β. A day without readings has δ̂ = 0, k = 0 and the whole of σ_d².
type night struct {
	offset float64   // δ̂, a logarithm
	left   float64   // what its readings leave of σ_d², as a share
	pulls  int       // readings of the day
	kb     []float64 // k b; nil without readings
	q      []float64 // k times how each tape moves the day's residuals
}

// unseen is a day without readings.
var unseen = night{left: 1}

// night takes what the day's readings among those that m was fitted to say.
func (m *model) night(day string) night {
	first := slices.IndexFunc(m.o.list, func(obs observation) bool { return obs.reading.Day == day })
	if first < 0 {
		return unseen
	}
	d, k, j, rho := m.d, len(m.tapes), m.d.day[first], m.v.rho()
	_, wr := d.left(m.beta)
	n := night{left: 1 / (1 + rho*m.sums.s[j]), kb: slices.Clone(m.sums.of(j)), q: make([]float64, k)}
	for i := first; i < d.n && d.day[i] == j; i++ {
		floats.AddScaled(n.q, d.w[i], m.jac[i*k:(i+1)*k])
		n.pulls++
	}
	m.slide(n.kb, n.q)
	by := rho * n.left
	n.offset = by * wr[j]
	floats.Scale(by, n.q)
	floats.Scale(by, n.kb)
	return n
}

// of is how η̂ + δ̂ moves with everything uncertain, p being that of η̂.
func (n night) of(p point) point {
	if n.kb == nil {
		return p
	}
	a := make([]float64, len(n.kb))
	copy(a, p.a) // none of what is only stated, which the night moves all the same
	floats.Sub(a, n.kb)
	p.eta, p.a, p.q = p.eta+n.offset, a, slices.Clone(p.q)
	floats.Sub(p.q[:len(n.q)], n.q)
	return p
}

// strayAlarm is how often a pull of the night may lie outside its gear's interval by chance. A pull beyond moves
// nothing until it is confirmed. An assumption of our own.
const strayAlarm = 0.001

// On is the chart as it stands on one day: what that day's readings say of the day moves every prediction for tonight
// and narrows it. Averages over days stay as they are. A pull that lies too far from what the other days say moves
// nothing until another one of that day agrees with it, or somebody has confirmed it. A day without readings is one not
// yet seen.
func (c *Chart) On(day string) *Chart {
	on := *c
	on.night, on.strays, on.asked = unseen, nil, day
	if c.shaped == nil || day == "" {
		return &on
	}
	m := c.shaped.model
	strays := m.strays(day)
	if len(strays) > 0 {
		next, err := m.refit(m.o.without(strays))
		if err != nil {
			return &on
		}
		on.shaped, on.o, on.strays = shapedBy(next), next.o, strays
	}
	on.night = on.shaped.night(day)
	return &on
}

// strays are the day's readings that lie too far from what all other days say of it, and that no other of them agrees
// with.
func (m *model) strays(day string) []suspect {
	on := func(obs observation) bool { return obs.reading.Day == day }
	others, err := m.refit(m.o.filter(func(obs observation) bool { return !on(obs) }))
	if err != nil {
		return nil
	}
	type pull struct {
		obs   observation
		off   float64 // logarithm
		stray bool
	}
	var pulls []pull
	for i, obs := range m.o.list {
		if !on(obs) || m.d.w[i] == 0 {
			continue
		}
		p, ok := others.at(obs.gear, obs.start)
		if !ok || !obs.top {
			continue
		}
		s := others.covariance(p, p).Plus(Spread{Day: m.v.Day, Reading: m.v.Reading})
		off := obs.y - p.eta
		limit := quantile(1-strayAlarm/2, m.v.df(s)) * math.Sqrt(s.Total())
		pulls = append(pulls, pull{obs, off, !obs.reading.Confirmed && math.Abs(off) > limit})
	}
	agree := quantile(1-strayAlarm/2, m.v.ReadingDF) * math.Sqrt(2*m.v.Reading)
	var out []suspect
	for i, p := range pulls {
		confirmed := false
		for j, other := range pulls {
			confirmed = confirmed || i != j && math.Abs(p.off-other.off) < agree
		}
		if p.stray && !confirmed {
			out = append(out, suspect{obs: p.obs})
		}
	}
	return out
}

// Night is what a chart says of the day it stands on.
type Night struct {
	Pulls  int      // readings of that day that count
	Offset float64  // logarithm: later than on average where it is positive
	SD     float64  // of it, standard
	Strays []string // ids of its readings that move nothing until they are confirmed
}

// Night says what is known of the day that the chart stands on.
func (c *Chart) Night() Night {
	n := Night{Pulls: c.night.pulls, Offset: c.night.offset, SD: math.Sqrt(c.v.Day * c.night.left)}
	for _, s := range slices.Concat(c.strays, c.suspects) {
		if s.rival == nil && c.asked != "" && s.obs.reading.Day == c.asked {
			n.Strays = append(n.Strays, s.obs.reading.ID)
		}
	}
	return n
}
