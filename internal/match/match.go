// Package match answers which gear on one sled tops out nearest to a gear on another. Charts in, answers
// out; pure arithmetic, no I/O.
package match

import (
	"evenpull/internal/calibrate"
)

// Confidence is the chance that the nearest gear really is the nearest, in a word.
type Confidence string

// The words, by the chance.
const (
	Clear  Confidence = "clear"   // from clearFrom on
	Close  Confidence = "close"   // from closeFrom on
	TossUp Confidence = "toss-up" // below
)

// Chances from which an answer is called clear or close. Assumptions of our own.
const (
	clearFrom = 0.95
	closeFrom = 0.75
)

// confidence is the word for a chance.
func confidence(chance float64) Confidence {
	switch {
	case chance >= clearFrom:
		return Clear
	case chance >= closeFrom:
		return Close
	}
	return TossUp
}

// ComparedAt says which start position the sleds were compared at.
type ComparedAt string

// Where sleds are compared.
const (
	SameStart  ComparedAt = "same-start"
	AskedStart ComparedAt = "asked-start"
	FullBack   ComparedAt = "full-back"
)

// Reason says why there is no answer, or why it is for another start position than asked.
type Reason string

// The reasons there are.
const (
	AskedUnknown     Reason = "asked-unknown"      // nothing is known of the setting asked about
	Unknown          Reason = "unknown"            // nothing is known of the sled answered for
	UnknownFromThere Reason = "unknown-from-there" // nothing is known of it from that start position
	ComparedFullBack Reason = "compared-full-back" // likewise, and both are compared at full back
	SettingNotThere  Reason = "setting-not-there"  // the sled or the gear asked about is no longer there
	NoSled           Reason = "no-sled"            // there is no sled to answer for
)

// Because is a reason with what it is about: of the setting asked about Sled, Gear and StartFt, of the sled answered
// for Sled and StartFt.
type Because struct {
	Reason  Reason
	Sled    string // its name
	Gear    string // label
	StartFt float64
}

// Answer is what one sled has for a setting on another.
type Answer struct {
	Sled       string // id of the sled answered for
	Nearest    *Nearest
	RunnerUp   *RunnerUp
	MovedStart *MovedStart
	Gears      []Candidate // every gear of which something is known, slowest first
	UsualGear  string      // which gear is nearest on average over days, where the night's own pulls have changed it
	Because    Because     // empty where it is compared as asked
}

// Difference is how much later than asked a setting tops out on the night asked about, in ft, with 95 % intervals: of
// the average over days, and of one more pull tonight.
type Difference struct {
	DifferenceFt            float64
	DifferenceLowFt         float64
	DifferenceHighFt        float64
	DifferenceTonightLowFt  float64
	DifferenceTonightHighFt float64
}

// Candidate is one gear of the sled answered for.
type Candidate struct {
	Gear string
	calibrate.Estimate
	Difference
	ChanceNearest          float64 // tonight
	ChanceNearestOnAverage float64
}

// Nearest is the gear that tops out nearest.
type Nearest struct {
	Candidate
	calibrate.Speed
	Confidence Confidence // tonight
	OwnSetting bool       // it is the very setting asked about, on its own sled: its chances say nothing
	OutOfReach *bool      // nil on a sled with one known gear
	ComparedAt ComparedAt
}

// RunnerUp is the gear next likeliest to be nearest.
type RunnerUp struct {
	Gear          string
	ChanceNearest float64
}

// MovedStart is a start position at which a gear tops out as asked. The top-out and the difference are from the rail
// mark RoundedStartFt, and their intervals take in how well the box can be set there.
type MovedStart struct {
	Gear                                   string
	StartFt, RoundedStartFt                float64
	TopOutFt, LowFt, HighFt                float64
	TonightFt, TonightLowFt, TonightHighFt float64
	Difference
	WorthIt bool
}

// Asked is the setting asked about, or a distance without a sled and a gear.
type Asked struct {
	Sled, Gear string
	OnePull    bool // the distance is where one pull topped out on one night, and not an average
	calibrate.Estimate
	calibrate.Speed
}
