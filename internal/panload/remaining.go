package panload

// Remainder is by how much the other sled's pan carries more than the asked one's at a place along the pull, with its
// 95 % interval.
type Remainder struct {
	Where string // "hook", "top-out" or "finish"
	Sled  string // of a top-out
	AtFt  float64
	Load
}

// LeftAt is what remains at the hook or at the finish, nil where it cannot be told.
func (a Answer) LeftAt(where string) *float64 {
	for _, r := range a.Remaining {
		if r.Where == where {
			return &r.Lb
		}
	}
	return nil
}

// told says whether the difference at a distance can be told with what is set; of a setting onto itself there is none.
func (p pair) told(d float64) bool {
	return p.Same || p.Asked.Fit.known(p.asked(d)) && p.On.Fit.known(p.on(d, p.On.InBoxLb))
}

// remaining is the difference at the hook, where either box tops out, and at the finish, each where it can be told.
func (p pair) remaining() (out []Remainder) {
	add := func(where, sled string, d float64) {
		if p.told(d) {
			lb := p.difference(d)
			half := p.half(p.differenceVariance(p.asked(d), p.on(d, p.On.InBoxLb)) + p.Asked.pullVariance(d) +
				p.On.pullVariance(d))
			out = append(out, Remainder{where, sled, d, Load{lb, lb - half, lb + half}})
		}
	}
	add("hook", "", 0)
	for _, s := range []Side{p.Asked, p.On} {
		if t := s.Pull.TopOutFt; t > 0 && t < p.FinishFt {
			add("top-out", s.ID, t)
		}
	}
	add("finish", "", p.FinishFt)
	return out
}

// inFeet is the remainder at the finish over what the asked sled's pan gains in a foot of ground; nil where it gains
// nothing, or the weighings do not tell.
func (p pair) inFeet() *float64 {
	a := p.Asked
	start, top := row(a.Pull.StartFt, a.InBoxLb), row(a.Pull.TopFt, a.InBoxLb)
	way := a.Pull.TopOutFt - a.Pull.TakeUpFt
	gain := a.Fit.sum(top) - a.Fit.sum(start)
	if !p.told(p.FinishFt) || !a.Fit.known(start) || !a.Fit.known(top) || !(way > 0) || !(gain > 0) {
		return nil
	}
	ft := p.difference(p.FinishFt) / (gain / way)
	return &ft
}
