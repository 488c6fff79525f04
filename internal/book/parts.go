package book

import (
	"maps"

	"evenpull/internal/fleet"
)

// part is one thing of a drive line that can be noted, changed and corrected.
type part struct {
	name    string // of its field
	given   func(fleet.Driveline) bool
	settles func(fleet.Driveline) bool // a change that gives this says what the part then is
	same    func(a, b fleet.Driveline) bool
	put     func(to *fleet.Driveline, from fleet.Driveline)
}

// drivelineParts lists them.
var drivelineParts = []part{
	{
		name:  "sprocket_teeth",
		given: func(d fleet.Driveline) bool { return d.SprocketTeeth != 0 }, settles: func(d fleet.Driveline) bool { return d.SprocketTeeth != 0 },
		same: func(a, b fleet.Driveline) bool { return a.SprocketTeeth == b.SprocketTeeth },
		put:  func(to *fleet.Driveline, from fleet.Driveline) { to.SprocketTeeth = from.SprocketTeeth },
	},
	number("chain_pitch_in", func(d *fleet.Driveline) *float64 { return &d.ChainPitchIn }),
	boxPerTurn(),
	{
		name: "axle_ratio", given: anyAxle, settles: anyAxle,
		same: func(a, b fleet.Driveline) bool {
			return a.AxleRatio == b.AxleRatio && maps.Equal(a.AxleRatios, b.AxleRatios)
		},
		put: func(to *fleet.Driveline, from fleet.Driveline) {
			to.AxleRatio, to.AxleRatios = from.AxleRatio, from.AxleRatios
		},
	},
	number("final_ratio", func(d *fleet.Driveline) *float64 { return &d.FinalRatio }),
	number("other_ratio", func(d *fleet.Driveline) *float64 { return &d.OtherRatio }),
	number("tire_circumference_ft", func(d *fleet.Driveline) *float64 { return &d.TireCircumferenceFt }),
}

func number(name string, of func(*fleet.Driveline) *float64) part {
	given := func(d fleet.Driveline) bool { return *of(&d) != 0 }
	return part{
		name: name, given: given, settles: given,
		same: func(a, b fleet.Driveline) bool { return *of(&a) == *of(&b) },
		put:  func(to *fleet.Driveline, from fleet.Driveline) { *of(to) = *of(&from) },
	}
}

// boxPerTurn is measured with a sprocket and a chain, and no longer holds with others.
func boxPerTurn() part {
	p := number("box_ft_per_turn", func(d *fleet.Driveline) *float64 { return &d.BoxFtPerTurn })
	p.settles = func(d fleet.Driveline) bool {
		return d.BoxFtPerTurn != 0 || d.SprocketTeeth != 0 || d.ChainPitchIn != 0
	}
	return p
}

func anyAxle(d fleet.Driveline) bool { return d.AxleRatio != 0 || len(d.AxleRatios) > 0 }
