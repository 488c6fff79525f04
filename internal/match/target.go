package match

import (
	"math"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// Target is a top-out distance that was noted once and is kept, whatever happens to the chart it came from.
type Target struct {
	TopOutFt    float64
	PlusMinusFt float64 // half its 95 % interval
	StartFt     float64 // where the box stood for it
	FullBackFt  float64 // the top-out of the same gear from full back; 0 when not known
	OnePull     bool    // it is where one pull topped out on one night, and not an average
}

// LookAt is a target as it was asked about by its distance alone.
func LookAt(t Target) Asked {
	return Asked{OnePull: t.OnePull, Estimate: calibrate.Estimate{
		StartFt: t.StartFt, TopOutFt: t.TopOutFt, LowFt: t.TopOutFt, HighFt: t.TopOutFt,
		TonightFt: t.TopOutFt, TonightLowFt: t.TopOutFt, TonightHighFt: t.TopOutFt, Basis: fleet.Given,
	}}
}

// CompareTo finds the gear on a sled that tops out nearest to a kept top-out, from the same start position unless
// onStartFt gives another; where the sled's chart says nothing there, both are compared at full back. The target is
// independent of the sled's chart.
func CompareTo(target Target, on Side, onStartFt *float64) Answer {
	c := comparison{on: on, want: target.topOut(on.Chart)}
	return c.from(target.StartFt, onStartFt, func() (topOut, bool) {
		target.PlusMinusFt *= target.FullBackFt / target.TopOutFt
		target.TopOutFt = target.FullBackFt
		return target.topOut(on.Chart), target.FullBackFt != 0
	})
}

// leastWayFt stands for no way at all, of a target that lies within the take-up of a sled: small, and still to be
// divided by.
const leastWayFt = 1e-6

// topOut gives a target the form of a prediction of no chart. That of one pull differs from the average as any night
// and any pull do.
func (t Target) topOut(on *calibrate.Chart) topOut {
	way := max(t.TopOutFt-on.TakeUpFt(), leastWayFt)
	sd := t.PlusMinusFt / 1.96 / way
	spread := calibrate.Spread{Other: sd * sd}
	if v := on.Variances(); t.OnePull {
		spread.Day, spread.Reading = v.Day, v.Reading
	}
	p := calibrate.Prediction{StartFt: t.StartFt, Outlook: calibrate.Outlook{Log: math.Log(way), Spread: spread}}
	return topOut{gear: -1, ft: t.TopOutFt, way: way, Outlook: p.Outlook, prediction: p}
}

// Chosen is a target and the gear (its place in Sled.Gears) and start position chosen for it.
type Chosen struct {
	Target
	Gear      int
	OnStartFt float64
}
