// Package calibrate turns a sled's readings into its chart: the top-out distance of every gear at every
// start position, with its uncertainty. Pure arithmetic on plain values; no I/O.
package calibrate

import "evenpull/internal/fleet"

// Estimate is where a gear tops out from a start position.
type Estimate struct {
	StartFt  float64
	TopOutFt float64 // ft; meaningless where Basis is fleet.Unknown
	LowFt    float64 // 95 % interval of the average over days
	HighFt   float64
	// TonightFt is where it is expected on the night asked about: TopOutFt, unless that night has readings. The
	// interval is of the next pull.
	TonightFt, TonightLowFt, TonightHighFt float64
	Basis                                  fleet.Basis
	Readings                               int    // readings in this gear at this start position that count
	StatedBy                               string // where Basis is fleet.StatedBasis
}

// Known says whether there is a number at all.
func (e Estimate) Known() bool { return e.Basis != fleet.Unknown && e.Basis != "" }

// ImpliedTravel is the travel that the readings themselves imply.
type ImpliedTravel struct {
	TravelFt, LowFt, HighFt float64
	Used                    bool // the chart goes by it instead of by the tape
}

// Repeatability is how repeatable measuring is in a fleet: 100 times the sd of the logarithm.
type Repeatability struct {
	Measured                   *MeasuredRepeatability // nil while there is nothing to estimate it from
	Pooled                     *MeasuredRepeatability // the same without what the notebooks themselves name as mistaken
	LeftOut                    int                    // how many readings that leaves out
	Assumed                    Assumption
	UsedDayPct, UsedReadingPct float64
}

// MeasuredRepeatability is the plain REML estimate over the fleet with its degrees of freedom.
type MeasuredRepeatability struct {
	DayPct, ReadingPct, DayDF, ReadingDF float64
}

// Assumption is the stated assumption the measured repeatability is blended with, worth DF degrees of freedom.
type Assumption struct {
	DayPct, ReadingPct, DF float64
}
