// Package fleet holds the terms of the trade as Go types: sleds, gears, readings, and the rules that make one of them
// valid. It does no I/O and imports nothing else of this program.
//
// Distances are in feet. A larger top-out distance is a slower gear: the weight comes on later. Labels have no order
// and no meaning from one sled to the next.
package fleet

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Defaults where nothing was noted.
const (
	// DefaultRailMarkFt is the distance between the marks on the rails. An assumption of our own.
	DefaultRailMarkFt = 0.5
	// DefaultPlusMinusFt is how far a stated figure may be off. An assumption of our own.
	DefaultPlusMinusFt = 8
)

// Limits of what is accepted.
const (
	MaxNameLength   = 100
	MaxLabelLength  = 20
	MaxNotesLength  = 2000
	maxRunNote      = 500 // of what was set at a show, and of how it went
	MaxGears        = 60
	MaxDistanceFt   = 20_000
	MinDistanceFt   = 1 // of a reading and of a class's distance
	MaxTravelFt     = 200
	MinTravelFt     = 3
	MinBoxMoveFt    = 3 // a shorter move of the box says too little of the gear
	MaxTakeUpFt     = 50
	MaxReasonLength = 500
)

// Sled is one weight-transfer sled.
type Sled struct {
	ID    string `json:"id"` // slug made from the first name; never changes
	Name  string `json:"name"`
	Owner string `json:"owner,omitempty"`
	// full back to where the drive cut-off trips; nil when never taped
	TravelFt   *float64  `json:"travel_ft,omitempty"`
	TakeUpFt   float64   `json:"take_up_ft"`   // slack before the box moves
	RailMarkFt float64   `json:"rail_mark_ft"` // distance between the marks on the rails
	Gears      []Gear    `json:"gears"`        // in the order of the lever as its owner lists them
	Driveline  Driveline `json:"driveline,omitzero"`
	Loading    Loading   `json:"loading,omitzero"`
	Notes      string    `json:"notes,omitempty"`
	Guest      *Guest    `json:"guest,omitempty"` // of a sled that belongs to another crew
	Retired    bool      `json:"retired,omitempty"`
	Invented   bool      `json:"invented,omitempty"` // for the demo: nothing of it was ever measured
	Readings   int       `json:"-"`                  // how many it has, those set aside included
	Weighings  int       `json:"-"`                  // likewise
	Revision   int64     `json:"revision"`           // counts the corrections of this document, not its readings
	CreatedAt  time.Time `json:"created_at"`
	UpdatedAt  time.Time `json:"updated_at"`
}

// Gear is one setting of a sled's box drive.
type Gear struct {
	ID    string   `json:"id"` // stable: survives a new label
	Label string   `json:"label"`
	Ratio *float64 `json:"ratio,omitempty"` // input turns per output turn, where known
	Range string   `json:"range,omitempty"` // of a two-speed axle
}

// GearByLabel returns the gear with that label and its place in s.Gears, or false.
func (s Sled) GearByLabel(label string) (Gear, int, bool) {
	i := slices.IndexFunc(s.Gears, func(g Gear) bool { return g.Label == label })
	if i < 0 {
		return Gear{}, -1, false
	}
	return s.Gears[i], i, true
}

// GearPlace is the place of a gear among the sled's, by its id; −1 where there is none.
func (s Sled) GearPlace(id string) int {
	return slices.IndexFunc(s.Gears, func(g Gear) bool { return g.ID == id })
}

// LabelCalled is the label of the gear that somebody may have typed in other letters, or with the word gear before it:
// the text itself where no gear, or more than one, is called so.
func (s Sled) LabelCalled(text string) string {
	if _, _, ok := s.GearByLabel(text); ok {
		return text
	}
	same := func(label string) string { return strings.Join(strings.Fields(strings.ToLower(label)), " ") }
	typed, found := same(text), ""
	for _, g := range s.Gears {
		if label := same(g.Label); label == typed || "gear "+label == typed {
			if found != "" {
				return text
			}
			found = g.Label
		}
	}
	return cmp.Or(found, text)
}

// CheckGear notes a gear that the sled does not have.
func (s Sled) CheckGear(f *Faults, at, label string) {
	if _, _, ok := s.GearByLabel(label); !ok {
		f.Add(at, "%s has no gear %q; it has %s", s.Name, label, strings.Join(s.Labels(), ", "))
	}
}

// Labels lists the labels in the sled's own order.
func (s Sled) Labels() []string {
	labels := make([]string, len(s.Gears))
	for i, g := range s.Gears {
		labels[i] = g.Label
	}
	return labels
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
	Given        Basis = "given"        // a distance that was asked about
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
