// Package fleet holds the words of the trade as Go types: sleds, gears, readings, and the rules that
// make one of them right or wrong. It does no I/O and imports nothing else of this program.
//
// Distances are in feet. A larger top-out distance is a slower gear: the weight comes on later. Labels
// carry no order and no meaning from one sled to the next.
package fleet

import (
	"slices"
	"time"
)

// Defaults that stand where nothing was noted.
const (
	// DefaultRailMarkFt is the distance between the marks on the rails. An assumption of our own.
	DefaultRailMarkFt = 0.5
	// DefaultPlusMinusFt is how far a stated figure may be off. An assumption of our own.
	DefaultPlusMinusFt = 8
)

// Limits of what is believed.
const (
	MaxNameLength   = 100
	MaxLabelLength  = 20
	MaxNotesLength  = 2000
	MaxGears        = 60
	MaxDistanceFt   = 20_000
	MaxTravelFt     = 200
	MinTravelFt     = 3
	MinBoxMoveFt    = 3 // a shorter move of the box says too little of the gear
	MaxTakeUpFt     = 50
	MaxReasonLength = 500
)

// Sled is one weight-transfer sled.
type Sled struct {
	ID         string // slug made from the first name; never changes
	Name       string
	Owner      string
	TravelFt   *float64 // full back to where the drive cut-off trips; nil when never taped
	TakeUpFt   float64  // slack before the box moves
	RailMarkFt float64  // distance between the marks on the rails
	Gears      []Gear   // in the order of the lever as its owner lists them
	Driveline  Driveline
	Notes      string
	Retired    bool
	Readings   int   // how many it has, those set aside included
	Revision   int64 // counts the corrections of this document, not its readings
	CreatedAt  time.Time
	UpdatedAt  time.Time
}

// Gear is one setting of a sled's box drive.
type Gear struct {
	ID    string // stable: survives a new label
	Label string
	Ratio *float64 // input turns per output turn, where known
	Range string   // of a two-speed axle
}

// GearByLabel returns the gear with that label and its place in s.Gears, or false.
func (s Sled) GearByLabel(label string) (Gear, int, bool) {
	i := slices.IndexFunc(s.Gears, func(g Gear) bool { return g.Label == label })
	if i < 0 {
		return Gear{}, -1, false
	}
	return s.Gears[i], i, true
}

// Labels lists the labels in the sled's own order.
func (s Sled) Labels() []string {
	labels := make([]string, len(s.Gears))
	for i, g := range s.Gears {
		labels[i] = g.Label
	}
	return labels
}

// Ended says how a pull ended, and so what its distance is worth.
type Ended string

// The four kinds of reading.
const (
	ToppedOut    Ended = "topped-out"    // the distance is where the drive let go
	StoppedShort Ended = "stopped-short" // the distance is where the pull stopped; EndFt was read off the rails
	PastTop      Ended = "past-top"      // the box had topped out unmarked: only an upper bound
	Stated       Ended = "stated"        // somebody's word, with a plus-or-minus
)

// Reading is one noted pull or one stated figure.
type Reading struct {
	ID          string
	Sled        string // the sled's id
	GearID      string
	Gear        string // the gear's label today
	StartFt     float64
	DistanceFt  float64
	Ended       Ended
	EndFt       *float64 // stopped-short only
	PlusMinusFt *float64 // stated only
	MeasuredOn  string   // ISO 8601 date
	Day         string   // readings of one test day share what the day did to them
	Place       string
	By          string
	Note        string
	MarkedBy    string
	TakenWith   string
	Surface     string
	Weights     string
	TyrePSI     *float64
	SpeedMPH    *float64
	Replaces    string // the reading that this one corrects
	SetAside    *SetAside
	CreatedAt   time.Time
}

// SetAside is why a reading does not count.
type SetAside struct {
	Reason string
	At     time.Time
}

// Basis says what a number on a chart rests on.
type Basis string

// What a number can rest on, best first.
const (
	Measured     Basis = "measured"     // readings in this gear at this start position
	Interpolated Basis = "interpolated" // between measured start positions, or between one and the top
	Extended     Basis = "extended"     // outside them, by the shape
	StatedBasis  Basis = "stated"       // somebody's word
	Carried      Basis = "carried"      // from before a change of parts, moved by the known ratio
	Geared       Basis = "geared"       // from the gear's ratio and the sled's other gears
	Unknown      Basis = "none"         // cannot be known: there is no number
)

// Shape says how the top-out distance falls with the start position.
type Shape string

// The shapes of a chart.
const (
	Straight      Shape = "straight"       // in proportion to the travel left
	MeasuredShape Shape = "measured"       // as measured at several start positions
	FullBackOnly  Shape = "full-back-only" // one start position measured and no travel
)

// Check is something in the notebook that somebody should look at. It changes nothing by itself.
type Check struct {
	Code    string // stable, for programs
	Reading string // reading id, or empty
	Gear    string // label, or empty
	Day     string // test day, or empty
	Detail  string // what was found, in a sentence
	Action  string // what to do about it
}
