package match

import (
	"math"

	"evenpull/internal/calibrate"
)

// ReachableMoveFt is how far somebody moves a start to reach a class's top-out, at most. An assumption of our own.
const ReachableMoveFt = 6

// Of a moved start. Assumptions of our own.
const (
	worthItFt = 5    // what it must save to be worth showing
	moveFt    = 0.25 // how well the box is set anywhere but hard against the stop, as a 95 % plus-or-minus
)

// movedStart finds the gear that tops out as asked from the start position nearest to the one compared at.
// nearestMissFt is what the nearest gear misses by without moving. It is nil where none does or too little is known.
func (c *comparison) movedStart(nearestMissFt float64) *MovedStart {
	var best *MovedStart
	var gear int
	for _, t := range c.ladder { // slowest first, so ties go to the slower gear
		s, ok := c.on.Chart.StartFor(t.gear, c.want.ft)
		if ok && (best == nil || math.Abs(s-c.start) < math.Abs(best.StartFt-c.start)-1e-9) {
			best, gear = &MovedStart{Gear: c.on.Sled.Gears[t.gear].Label, StartFt: s}, t.gear
		}
	}
	if best == nil {
		return nil
	}
	mark := c.on.Sled.RailMarkFt
	best.RoundedStartFt = math.Round(best.StartFt/mark) * mark
	at, ok := c.on.topOut(gear, best.RoundedStartFt)
	for !ok && best.RoundedStartFt >= mark { // rounded up past what the chart knows
		best.RoundedStartFt -= mark
		at, ok = c.on.topOut(gear, best.RoundedStartFt)
	}
	if !ok {
		return nil
	}
	set := calibrate.Spread{} // what setting the box there adds
	if best.RoundedStartFt > 0 {
		slope := c.slope(gear, best.RoundedStartFt, at.prediction.Log)
		set.Other = math.Pow(moveFt/1.96*slope, 2)
	}
	usual, tonight := at.prediction.Outlook, at.Outlook
	usual.Spread, tonight.Spread = usual.Spread.Plus(set), tonight.Spread.Plus(set)
	best.TopOutFt, best.LowFt, best.HighFt = c.on.Chart.Feet(usual)
	best.TonightFt, best.TonightLowFt, best.TonightHighFt = c.on.Chart.Feet(tonight)
	moved := *c
	moved.start = best.RoundedStartFt
	best.Difference = moved.difference(at, set.Times(at.way*at.way))
	// so little is known there that it says nothing
	if math.IsInf(best.TonightHighFt, 1) || math.IsInf(best.DifferenceTonightHighFt, 1) {
		return nil
	}
	best.WorthIt = nearestMissFt-math.Abs(best.DifferenceFt) > worthItFt
	return best
}

// slope is the derivative of ln(T − c) by the start position, one-sided where the chart ends.
func (c *comparison) slope(gear int, start, here float64) float64 {
	const h = 1e-3
	if back, ok := c.on.Chart.Predict(gear, start-h); ok {
		return (here - back.Log) / h
	}
	if on, ok := c.on.Chart.Predict(gear, start+h); ok {
		return (on.Log - here) / h
	}
	return 0
}
