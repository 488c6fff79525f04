package fleet

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"
)

// Driveline is the parts between the tires and the box. Zero, or no ranges, is unknown. Its names in JSON are stored,
// and stay.
type Driveline struct {
	SprocketTeeth       int                `json:"sprocket_teeth,omitempty"`
	ChainPitchIn        float64            `json:"chain_pitch_in,omitempty"`  // inches
	BoxFtPerTurn        float64            `json:"box_ft_per_turn,omitempty"` // measured, instead of sprocket and pitch
	AxleRatio           float64            `json:"axle_ratio,omitempty"`      // of a one-speed axle
	AxleRatios          map[string]float64 `json:"axle_ratios,omitempty"`     // of a two-speed axle, by range
	FinalRatio          float64            `json:"final_ratio,omitempty"`
	OtherRatio          float64            `json:"other_ratio,omitempty"`
	TireCircumferenceFt float64            `json:"tire_circumference_ft,omitempty"` // rolling, loaded
}

// Empty says whether nothing is known.
func (d Driveline) Empty() bool {
	return d.SprocketTeeth == 0 && d.ChainPitchIn == 0 && d.BoxFtPerTurn == 0 && d.AxleRatio == 0 &&
		len(d.AxleRatios) == 0 && d.FinalRatio == 0 && d.OtherRatio == 0 && d.TireCircumferenceFt == 0
}

// tidy has no space around the names of its ranges.
func (d Driveline) tidy() Driveline {
	if len(d.AxleRatios) == 0 {
		return d
	}
	ranges := map[string]float64{}
	for name, ratio := range d.AxleRatios {
		ranges[tidy(name)] = ratio
	}
	d.AxleRatios = ranges
	return d
}

// Check notes everything wrong with a drive line; at is the field it stands in.
func (d Driveline) Check(f *Faults, at string) {
	if d.SprocketTeeth != 0 && (d.SprocketTeeth < 4 || d.SprocketTeeth > 200) {
		f.Add(at+".sprocket_teeth", "a sprocket has 4 to 200 teeth, not %d", d.SprocketTeeth)
	}
	checkPart(f, at+".chain_pitch_in", "the chain's pitch", d.ChainPitchIn, 0.1, 10, "in")
	checkPart(f, at+".box_ft_per_turn", "the box's move in one turn", d.BoxFtPerTurn, 0, 100, "ft")
	checkPart(f, at+".tire_circumference_ft", "the tire's circumference", d.TireCircumferenceFt, 1, 30, "ft")
	known := func(field string, ratio float64) {
		if ratio != 0 {
			checkRatio(f, at+field, ratio)
		}
	}
	known(".axle_ratio", d.AxleRatio)
	known(".final_ratio", d.FinalRatio)
	known(".other_ratio", d.OtherRatio)
	for _, name := range slices.Sorted(maps.Keys(d.AxleRatios)) {
		checkLine(f, at+".axle_ratios", name, 1, MaxLabelLength)
		checkRatio(f, at+".axle_ratios."+name, d.AxleRatios[name])
	}
	if d.AxleRatio != 0 && len(d.AxleRatios) > 0 {
		f.Add(at+".axle_ratios", "an axle has one ratio or one for each range, not both")
	}
}

func checkPart(f *Faults, at, what string, v, low, high float64, unit string) {
	if v != 0 && !(within(v, low, high) && v > 0) {
		f.Add(at, "%s must be %g to %g %s, not %g", what, low, high, unit, v)
	}
}

func checkRatio(f *Faults, at string, ratio float64) {
	if !(within(ratio, 0, 1000) && ratio > 0) {
		f.Add(at, "a ratio must be above 0 and at most 1000, not %g", ratio)
	}
}

// checkRanges notes gears in a range that the axle lacks.
func checkRanges(f *Faults, d Driveline, gears []Gear) {
	for i, g := range gears {
		at := fmt.Sprintf("gears[%d].range", i)
		checkLine(f, at, g.Range, 0, MaxLabelLength)
		if _, has := d.AxleRatios[g.Range]; g.Range != "" && !has {
			f.Add(at, "the axle has no range %q", g.Range)
		}
	}
}

// Effect says what a change of parts does to earlier readings.
type Effect string

// The effects there are.
const (
	ByRatio       Effect = "by-ratio" // they are carried by the ratio
	UnknownEffect Effect = "unknown"  // they no longer count
)

// Change is one change of a sled's parts. Given parts replace, the rest stays.
type Change struct {
	ID            string    `json:"id"`
	Sled          string    `json:"sled,omitempty"`
	MadeOn        string    `json:"made_on"` // ISO 8601 date; readings of that day count as made after it
	What          string    `json:"what,omitempty"`
	Driveline     Driveline `json:"driveline,omitzero"`
	TravelFt      *float64  `json:"travel_ft,omitempty"`
	Gears         []Gear    `json:"gears,omitempty"` // by ID and Label; a Ratio or Range that is given replaces
	Effect        Effect    `json:"effect"`
	EndsWeighings bool      `json:"ends_weighings,omitempty"` // the weighings before it no longer count
	CreatedAt     time.Time `json:"created_at"`
}

// Tidy drops space around what was typed.
func (c *Change) Tidy() {
	c.MadeOn, c.What = tidy(c.MadeOn), tidy(c.What)
	c.Driveline = c.Driveline.tidy()
	tidyGears(c.Gears)
}

// CheckOn reports everything wrong with a tidied change of a sled by itself, now being today's date.
func (c Change) CheckOn(s Sled, now time.Time) *Faults {
	f := new(Faults)
	checkDate(f, "made_on", c.MadeOn, now)
	checkLine(f, "what", c.What, 1, 500)
	c.Driveline.Check(f, "driveline")
	checkTravel(f, c.TravelFt)
	if c.Effect != ByRatio && c.Effect != UnknownEffect {
		f.Add("effect", "must be by-ratio or unknown, not %q", c.Effect)
	}
	for i, g := range c.Gears {
		if _, _, ok := s.GearByLabel(g.Label); !ok {
			f.Add(fmt.Sprintf("gears[%d].label", i), "%s has no gear %q", s.Name, g.Label)
		}
		if g.Ratio != nil {
			checkRatio(f, fmt.Sprintf("gears[%d].ratio", i), *g.Ratio)
		}
	}
	return f
}

// On is the drive line with what a change gives put in.
func (c Change) On(d Driveline) Driveline {
	n := c.Driveline
	if n.SprocketTeeth != 0 || n.ChainPitchIn != 0 {
		d.BoxFtPerTurn = 0 // it was measured with another sprocket or chain
	}
	switch {
	case len(n.AxleRatios) > 0:
		d.AxleRatio, d.AxleRatios = 0, n.AxleRatios
	case n.AxleRatio != 0:
		d.AxleRatio, d.AxleRatios = n.AxleRatio, nil
	}
	d.SprocketTeeth = cmp.Or(n.SprocketTeeth, d.SprocketTeeth)
	d.ChainPitchIn = cmp.Or(n.ChainPitchIn, d.ChainPitchIn)
	d.BoxFtPerTurn = cmp.Or(n.BoxFtPerTurn, d.BoxFtPerTurn)
	d.FinalRatio = cmp.Or(n.FinalRatio, d.FinalRatio)
	d.OtherRatio = cmp.Or(n.OtherRatio, d.OtherRatio)
	d.TireCircumferenceFt = cmp.Or(n.TireCircumferenceFt, d.TireCircumferenceFt)
	return d
}
