package fleet

import "time"

// Setting is a gear and a start position on a sled.
type Setting struct {
	Sled    string  `json:"sled,omitempty"` // the sled's id
	GearID  string  `json:"gear_id,omitempty"`
	Gear    string  `json:"gear,omitempty"` // its label today
	StartFt float64 `json:"start_ft"`
}

// StoodFor is the top-out of a setting by the chart of the day it was noted. It is what a class means: when the chart
// changes later, the class does not.
type StoodFor struct {
	TopOutFt    *float64 `json:"top_out_ft,omitempty"`    // nil when the chart knew nothing of it
	PlusMinusFt *float64 `json:"plus_minus_ft,omitempty"` // half the 95 % interval
	NotedOn     string   `json:"noted_on,omitempty"`      // ISO 8601 date
}

// HomeSetting is the setting a class is used to, on the sled it is used to, with the blocks it is pulled with, nil
// where nobody noted them; or a distance that it is used to on any sled, without a sled and a gear, which stands for
// itself. StartFt is then where the box of any sled starts.
type HomeSetting struct {
	Setting
	StoodFor
	InBoxLb *float64 `json:"in_box_lb,omitempty"`
	OnPanLb *float64 `json:"on_pan_lb,omitempty"`
}

// IsDistance says whether a class is used to a distance and not to a setting on a sled.
func (h HomeSetting) IsDistance() bool { return h.Sled == "" && h.GearID == "" && h.Gear == "" }

// Class is a pulling class.
type Class struct {
	ID        string       `json:"id"` // slug made from the first name; never changes
	Name      string       `json:"name"`
	Setting   HomeSetting  `json:"setting"`
	PullOff   *HomeSetting `json:"pull_off,omitempty"`
	UsedBy    string       `json:"used_by,omitempty"` // which association or promoter runs it
	Weights   string       `json:"weights,omitempty"` // on the home sled; they mean nothing on another
	EndsFt    *float64     `json:"ends_ft,omitempty"` // where it usually ends
	Notes     string       `json:"notes,omitempty"`
	Revision  int64        `json:"revision"`
	CreatedAt time.Time    `json:"created_at"`
	UpdatedAt time.Time    `json:"updated_at"`
}

// Tidy drops space around what was typed, the sign of zeros, and folds Unicode to one form.
func (c *Class) Tidy() {
	for _, s := range []*string{&c.Name, &c.UsedBy, &c.Weights, &c.Notes} {
		*s = tidy(*s)
	}
	c.Setting.tidy()
	if c.PullOff != nil {
		c.PullOff.tidy()
	}
}

func (s *Setting) tidy() { s.Gear, s.StartFt = tidy(s.Gear), s.StartFt+positiveZero }

// Check reports everything wrong with a tidied class by itself.
func (c Class) Check() *Faults {
	f := CheckName(c.Name)
	checkLine(f, "used_by", c.UsedBy, 0, 200)
	checkLine(f, "weights", c.Weights, 0, 200)
	checkText(f, "notes", c.Notes, MaxNotesLength)
	CheckGround(f, "ends_ft", c.EndsFt)
	c.Setting.checkLoads(f, "setting")
	if c.PullOff != nil {
		c.PullOff.checkLoads(f, "pull_off")
	}
	return f
}

func (s HomeSetting) checkLoads(f *Faults, at string) {
	CheckLoad(f, at+".in_box_lb", s.InBoxLb)
	CheckLoad(f, at+".on_pan_lb", s.OnPanLb)
}

// CheckGround notes a distance down the track that is none.
func CheckGround(f *Faults, at string, ft *float64) {
	checkAbove(f, at, "", ft, MaxDistanceFt, FeetAndMeters)
}

// CheckDistance reports what is wrong with a distance that a class is used to; at is the field it stands in, such as
// setting.
func (h HomeSetting) CheckDistance(at string) *Faults {
	f := new(Faults)
	if h.TopOutFt == nil {
		f.Add(at+".top_out_ft", "is missing: give the sled and the gear that the class is used to, or the distance")
	} else {
		CheckDistance(f, at+".top_out_ft", *h.TopOutFt)
	}
	CheckStart(f, at+".start_ft", h.StartFt, "", nil)
	return f
}

// CheckOn reports what is wrong with a setting on its sled; at is the field it stands in, such as setting.
func (s Setting) CheckOn(sled Sled, at string) *Faults {
	f := new(Faults)
	if sled.Retired {
		f.Add(at+".sled", "%s is retired; bring it back first or name another sled", sled.Name)
	}
	sled.CheckGear(f, at+".gear", s.Gear)
	CheckStart(f, at+".start_ft", s.StartFt, sled.Name, sled.TravelFt)
	return f
}
