package book

import (
	"fmt"
	"maps"
	"slices"

	"evenpull/internal/fleet"
)

// noted are the parts that are noted of a sled, or given by a change of parts.
type noted struct {
	driveline *fleet.Driveline
	travelFt  **float64
	gears     []fleet.Gear
}

func notedOf(s *fleet.Sled) noted   { return noted{&s.Driveline, &s.TravelFt, s.Gears} }
func givenBy(c *fleet.Change) noted { return noted{&c.Driveline, &c.TravelFt, c.Gears} }

// gear is the gear with an id, an unknown one where there is none.
func (n noted) gear(id string) *fleet.Gear {
	if i := indexOfGear(n.gears, id); i >= 0 {
		return &n.gears[i]
	}
	return new(fleet.Gear)
}

func indexOfGear(gears []fleet.Gear, id string) int {
	return slices.IndexFunc(gears, func(g fleet.Gear) bool { return g.ID == id })
}

func hasGear(gears []fleet.Gear, id string) bool { return indexOfGear(gears, id) >= 0 }

// part is one value that can be noted, changed and corrected.
type part struct {
	field   string // its place in a sled and in a change
	given   func(noted) bool
	settles func(noted) bool // a change that gives this says what the part then is
	same    func(a, b noted) bool
	put     func(to, from noted)
}

// partsWith lists the parts of a drive line, the travel, and the ratio and range of each gear.
func partsWith(gears []fleet.Gear) []part {
	parts := []part{
		valuePart("driveline.sprocket_teeth", func(n noted) *int { return &n.driveline.SprocketTeeth }),
		valuePart("driveline.chain_pitch_in", func(n noted) *float64 { return &n.driveline.ChainPitchIn }),
		boxPerTurn(),
		axle(),
		valuePart("driveline.final_ratio", func(n noted) *float64 { return &n.driveline.FinalRatio }),
		valuePart("driveline.other_ratio", func(n noted) *float64 { return &n.driveline.OtherRatio }),
		valuePart("driveline.tire_circumference_ft",
			func(n noted) *float64 { return &n.driveline.TireCircumferenceFt }),
		pointerPart("travel_ft", func(n noted) **float64 { return n.travelFt }),
	}
	for i, g := range gears {
		parts = append(parts,
			pointerPart(fmt.Sprintf("gears[%d].ratio", i), func(n noted) **float64 { return &n.gear(g.ID).Ratio }),
			valuePart(fmt.Sprintf("gears[%d].range", i), func(n noted) *string { return &n.gear(g.ID).Range }))
	}
	return parts
}

// valuePart is a value that is zero when it is not known.
func valuePart[T comparable](field string, of func(noted) *T) part {
	given := func(n noted) bool { return *of(n) != *new(T) }
	return part{
		field: field, given: given, settles: given,
		same: func(a, b noted) bool { return *of(a) == *of(b) },
		put:  func(to, from noted) { *of(to) = *of(from) },
	}
}

// pointerPart is a value that is nil when it is not known.
func pointerPart(field string, of func(noted) **float64) part {
	p := valuePart(field, of)
	p.same = func(a, b noted) bool { return valueOrZero(*of(a)) == valueOrZero(*of(b)) }
	return p
}

// boxPerTurn is measured with a sprocket and a chain, and no longer holds with others.
func boxPerTurn() part {
	p := valuePart("driveline.box_ft_per_turn", func(n noted) *float64 { return &n.driveline.BoxFtPerTurn })
	p.settles = func(n noted) bool {
		return n.driveline.BoxFtPerTurn != 0 || n.driveline.SprocketTeeth != 0 || n.driveline.ChainPitchIn != 0
	}
	return p
}

// axle is the ratio of an axle, or its ratio for each range.
func axle() part {
	given := func(n noted) bool { return n.driveline.AxleRatio != 0 || len(n.driveline.AxleRatios) > 0 }
	return part{
		field: "driveline.axle_ratio", given: given, settles: given,
		same: func(a, b noted) bool {
			return a.driveline.AxleRatio == b.driveline.AxleRatio &&
				maps.Equal(a.driveline.AxleRatios, b.driveline.AxleRatios)
		},
		put: func(to, from noted) {
			to.driveline.AxleRatio, to.driveline.AxleRatios = from.driveline.AxleRatio, from.driveline.AxleRatios
		},
	}
}
