package fleet

import (
	"math"
	"strings"
	"time"
)

// Setting is a gear and a start position on a sled.
type Setting struct {
	Sled    string // the sled's id
	GearID  string
	Gear    string // its label today
	StartFt float64
}

// StoodFor is the top-out a setting stood for on the day it was noted, and that is what a class means by it: when the
// chart moves later, the class does not.
type StoodFor struct {
	TopOutFt    *float64 // nil when the chart knew nothing of it
	PlusMinusFt *float64 // half the 95 % interval
	NotedOn     string   // ISO 8601 date
}

// HomeSetting is the setting a class is used to, on the sled it is used to.
type HomeSetting struct {
	Setting
	StoodFor
}

// Class is a pulling class.
type Class struct {
	ID        string // slug made from the first name; never changes
	Name      string
	Setting   HomeSetting
	PullOff   *HomeSetting
	UsedBy    string // which association or promoter runs it
	Weights   string // on the home sled; they mean nothing on another
	Notes     string
	Revision  int64
	CreatedAt time.Time
	UpdatedAt time.Time
}

// Tidy drops space around what was typed and folds Unicode to one form.
func (c *Class) Tidy() {
	for _, s := range []*string{&c.Name, &c.UsedBy, &c.Weights, &c.Notes} {
		*s = tidy(*s)
	}
	c.Setting.Gear = tidy(c.Setting.Gear)
	if c.PullOff != nil {
		c.PullOff.Gear = tidy(c.PullOff.Gear)
	}
}

// Check reports everything wrong with a tidied class by itself.
func (c Class) Check() *Faults {
	f := new(Faults)
	checkName(f, c.Name)
	checkLine(f, "used_by", c.UsedBy, 0, 200)
	checkLine(f, "weights", c.Weights, 0, 200)
	checkText(f, "notes", c.Notes, MaxNotesLength)
	return f
}

// CheckOn reports what is wrong with a setting on its sled; at is the field it stands in, such as setting.
func (s Setting) CheckOn(sled Sled, at string) *Faults {
	f := new(Faults)
	if sled.Retired {
		f.Add(at+".sled", "%s is retired; bring it back first or name another sled", sled.Name)
	}
	if _, _, ok := sled.GearByLabel(s.Gear); !ok {
		f.Add(at+".gear", "%s has no gear %q; it has %s", sled.Name, s.Gear, strings.Join(sled.Labels(), ", "))
	}
	checkStart(f, at+".start_ft", s.StartFt, sled)
	return f
}

func checkStart(f *Faults, at string, start float64, sled Sled) {
	switch {
	case !within(start, 0, MaxTravelFt) || math.IsNaN(start):
		f.Add(at, "the start position must be 0 to %d ft, not %g", MaxTravelFt, start)
	case sled.TravelFt != nil && start >= *sled.TravelFt:
		f.Add(at, "the box of %s tops out at %g ft of travel; it cannot start at %g ft", sled.Name, *sled.TravelFt, start)
	}
}
