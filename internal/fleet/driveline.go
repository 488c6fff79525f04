package fleet

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"
)

// Driveline is the parts between the tires and the box. Zero, or no ranges, is unknown.
type Driveline struct {
	SprocketTeeth       int                `json:"sprocket_teeth,omitempty"`
	ChainPitchIn        float64            `json:"chain_pitch_in,omitempty"`  // inches
	BoxFtPerTurn        float64            `json:"box_ft_per_turn,omitempty"` // measured, instead of sprocket and pitch
	AxleRatio           float64            `json:"axle_ratio,omitempty"`
	AxleRatios          map[string]float64 `json:"axle_ratios,omitempty"` // of a two-speed axle, by range, instead of AxleRatio
	FinalRatio          float64            `json:"final_ratio,omitempty"`
	OtherRatio          float64            `json:"other_ratio,omitempty"`
	TireCircumferenceFt float64            `json:"tire_circumference_ft,omitempty"` // rolling, loaded
}

// Empty says whether nothing is known.
func (d Driveline) Empty() bool {
	return d.SprocketTeeth == 0 && d.ChainPitchIn == 0 && d.BoxFtPerTurn == 0 && d.AxleRatio == 0 && len(d.AxleRatios) == 0 &&
		d.FinalRatio == 0 && d.OtherRatio == 0 && d.TireCircumferenceFt == 0
}

// tidied has no space around the names of its ranges.
func (d Driveline) tidied() Driveline {
	if len(d.AxleRatios) == 0 {
		return d
	}
	ranges := make(map[string]float64, len(d.AxleRatios))
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
	checkRatio(f, at+".axle_ratio", d.AxleRatio)
	checkRatio(f, at+".final_ratio", d.FinalRatio)
	checkRatio(f, at+".other_ratio", d.OtherRatio)
	for _, name := range slices.Sorted(maps.Keys(d.AxleRatios)) {
		ratio := d.AxleRatios[name]
		if ratio == 0 {
			f.Add(at+".axle_ratios."+name, "a ratio must be above 0 and at most 1000, not 0")
		}
		checkLine(f, at+".axle_ratios", name, 1, MaxLabelLength)
		checkRatio(f, at+".axle_ratios."+name, ratio)
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
	if ratio != 0 && !(within(ratio, 0, 1000) && ratio > 0) || math.IsNaN(ratio) {
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
	ID        string    `json:"id"`
	Sled      string    `json:"sled,omitempty"`
	MadeOn    string    `json:"made_on"` // ISO 8601 date; readings of that day count as made after it
	What      string    `json:"what,omitempty"`
	Driveline Driveline `json:"driveline,omitzero"`
	TravelFt  *float64  `json:"travel_ft,omitempty"`
	Gears     []Gear    `json:"gears,omitempty"` // by ID and Label; a Ratio or Range that is given replaces
	Effect    Effect    `json:"effect"`
	CreatedAt time.Time `json:"created_at"`
}

// Tidy drops space around what was typed.
func (c *Change) Tidy() {
	c.MadeOn, c.What = tidy(c.MadeOn), tidy(c.What)
	c.Driveline = c.Driveline.tidied()
	for i := range c.Gears {
		c.Gears[i].Label, c.Gears[i].Range = tidy(c.Gears[i].Label), tidy(c.Gears[i].Range)
	}
}

// CheckOn reports everything wrong with a tidied change of a sled by itself, now being today's date.
func (c Change) CheckOn(s Sled, now time.Time) *Faults {
	f := new(Faults)
	checkDate(f, "made_on", c.MadeOn, now)
	checkLine(f, "what", c.What, 1, 500)
	c.Driveline.Check(f, "driveline")
	if c.TravelFt != nil && !within(*c.TravelFt, MinTravelFt, MaxTravelFt) {
		f.Add("travel_ft", "the travel must be %s, not %s",
			BetweenFeet(MinTravelFt, MaxTravelFt), FeetAndMeters(*c.TravelFt))
	}
	if c.Effect != ByRatio && c.Effect != UnknownEffect {
		f.Add("effect", "must be by-ratio or unknown, not %q", c.Effect)
	}
	for i, g := range c.Gears {
		if _, _, ok := s.GearByLabel(g.Label); !ok {
			f.Add(fmt.Sprintf("gears[%d].label", i), "%s has no gear %q", s.Name, g.Label)
		}
		if g.Ratio != nil {
			checkRatio(f, fmt.Sprintf("gears[%d].ratio", i), *g.Ratio)
			if *g.Ratio == 0 {
				f.Add(fmt.Sprintf("gears[%d].ratio", i), "a ratio must be above 0 and at most 1000, not 0")
			}
		}
	}
	return f
}

// On is the drive line with what a change gives put in.
func (c Change) On(d Driveline) Driveline {
	n := c.Driveline
	if n.SprocketTeeth != 0 {
		d.SprocketTeeth = n.SprocketTeeth
		d.BoxFtPerTurn = 0 // what was measured was measured with another sprocket
	}
	if n.ChainPitchIn != 0 {
		d.ChainPitchIn = n.ChainPitchIn
		d.BoxFtPerTurn = 0
	}
	if n.BoxFtPerTurn != 0 {
		d.BoxFtPerTurn = n.BoxFtPerTurn
	}
	if n.AxleRatio != 0 {
		d.AxleRatio, d.AxleRatios = n.AxleRatio, nil
	}
	if len(n.AxleRatios) > 0 {
		d.AxleRatio, d.AxleRatios = 0, n.AxleRatios
	}
	for _, p := range []struct{ to, from *float64 }{
		{&d.FinalRatio, &n.FinalRatio}, {&d.OtherRatio, &n.OtherRatio}, {&d.TireCircumferenceFt, &n.TireCircumferenceFt},
	} {
		if *p.from != 0 {
			*p.to = *p.from
		}
	}
	return d
}
