// Package driveline calculates from a sled's parts where its box tops out, and from readings how far that is off. Pure
// arithmetic on plain values; no I/O.
//
// A ratio is input turns per output turn of that part as power flows to the ground. The wheels drive the box's axle
// backwards, so its ratio multiplies.
package driveline

import (
	"cmp"
	"math"

	"evenpull/internal/fleet"
)

// Parts are a sled's drive line. Zero is unknown, but for OtherRatio, where it is 1. The tires are those on the axle
// that drives the box.
type Parts fleet.Driveline

// Gear is one gear of the box drive.
type Gear struct {
	Ratio float64 // 0 is unknown
	Range string  // of a two-speed axle
}

// CircumferenceFt is the rolling circumference of a tire.
func CircumferenceFt(revolutionsPerMile float64) float64 {
	return fleet.FeetPerMile / revolutionsPerMile
}

// FtPerTurn is how far the box moves in one turn of the last shaft: teeth × pitch / 12, or as measured; false when
// unknown.
func (p Parts) FtPerTurn() (float64, bool) {
	if p.BoxFtPerTurn > 0 {
		return p.BoxFtPerTurn, true
	}
	ft := float64(p.SprocketTeeth) * p.ChainPitchIn / fleet.InchesPerFoot
	return ft, ft > 0
}

// axle is the ratio of the axle in a range.
func (p Parts) axle(rng string) float64 {
	if len(p.AxleRatios) > 0 {
		return p.AxleRatios[rng]
	}
	return p.AxleRatio
}

func (p Parts) other() float64 { return cmp.Or(p.OtherRatio, 1) }

// Part is something that a prediction needs.
type Part string

// What a prediction needs.
const (
	SprocketAndChain  Part = "sprocket-and-chain"
	Axle              Part = "axle-ratio"
	Range             Part = "range" // of a two-speed axle
	Final             Part = "final-ratio"
	Other             Part = "other-ratio"
	TireCircumference Part = "tire-circumference"
	GearRatio         Part = "gear-ratio"
	Travel            Part = "travel"
)

// Missing names what a prediction for a gear needs, the travel aside, and is not known.
func (p Parts) Missing(g Gear) (missing []Part) {
	ft, _ := p.FtPerTurn()
	for _, needed := range [...]struct {
		part  Part
		value float64
	}{
		{SprocketAndChain, ft}, {Axle, p.axle(g.Range)}, {Final, p.FinalRatio},
		{TireCircumference, p.TireCircumferenceFt}, {GearRatio, g.Ratio},
	} {
		if !(needed.value > 0) {
			missing = append(missing, needed.part)
		}
	}
	return missing
}

// BoxPerGround is r, box feet per foot of ground:
//
//	r = box feet per turn × axle ratio / (gear ratio × final ratio × other ratio × tire circumference);
//
// false when a part is unknown.
func (p Parts) BoxPerGround(g Gear) (float64, bool) {
	ft, _ := p.FtPerTurn()
	axle := p.axle(g.Range)
	if !(min(ft, axle, g.Ratio, p.FinalRatio, p.TireCircumferenceFt) > 0) {
		return 0, false
	}
	r := ft * axle / (g.Ratio * p.FinalRatio * p.other() * p.TireCircumferenceFt)
	return r, r > 0 && !math.IsInf(r, 0)
}
