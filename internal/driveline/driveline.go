// Package driveline works out from a sled's parts where its box tops out, and from readings how far that is off. Pure
// arithmetic on plain values; no I/O.
//
// A ratio is input turns per output turn of that part as power flows to the ground. The wheels drive the box's axle
// backwards, so its ratio multiplies.
package driveline

import (
	"math"

	"evenpull/internal/fleet"
)

// Parts are a sled's drive line. Zero is unknown, but for OtherRatio, where it is 1.
type Parts struct {
	SprocketTeeth       int
	ChainPitchIn        float64            // inches
	BoxFtPerTurn        float64            // measured, instead of sprocket and pitch
	AxleRatio           float64            // of a one-speed axle
	AxleRatios          map[string]float64 // of a two-speed axle, by range
	FinalRatio          float64
	OtherRatio          float64
	TireCircumferenceFt float64 // rolling, of the loaded tires on the axle that drives the box
}

// Gear is one gear of the box drive.
type Gear struct {
	Ratio float64 // 0 is unknown
	Range string  // of a two-speed axle
}

// CircumferenceFt is the rolling circumference of a tire that turns so often in a mile.
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

func (p Parts) other() float64 {
	if p.OtherRatio == 0 {
		return 1
	}
	return p.OtherRatio
}

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

// Missing names what must be known of a gear beside the travel and is not.
func (p Parts) Missing(g Gear) []Part {
	var out []Part
	if _, ok := p.FtPerTurn(); !ok {
		out = append(out, SprocketAndChain)
	}
	if p.axle(g.Range) <= 0 {
		out = append(out, Axle)
	}
	if p.FinalRatio <= 0 {
		out = append(out, Final)
	}
	if p.TireCircumferenceFt <= 0 {
		out = append(out, TireCircumference)
	}
	if g.Ratio <= 0 {
		out = append(out, GearRatio)
	}
	return out
}

// BoxPerGround is r, box feet per foot of ground:
//
//	r = box feet per turn × axle ratio / (gear ratio × final ratio × other ratio × tire circumference);
//
// false when a part is unknown.
func (p Parts) BoxPerGround(g Gear) (float64, bool) {
	if len(p.Missing(g)) > 0 {
		return 0, false
	}
	ft, _ := p.FtPerTurn()
	r := ft * p.axle(g.Range) / (g.Ratio * p.FinalRatio * p.other() * p.TireCircumferenceFt)
	return r, r > 0 && !math.IsInf(r, 0)
}

// TopOut is T(s) = c + (L − s)/r in feet, from travel L, start position s and take-up c in feet.
func TopOut(boxPerGround, travelFt, startFt, takeUpFt float64) float64 {
	return takeUpFt + (travelFt-startFt)/boxPerGround
}
