package plotting

import "math"

// jumpDays is eight days with a jump of 4 % at the fifth, in the gear that tops out at 276 ft.
func jumpDays() Days {
	d := Days{Title: "Bluestem over the season", Description: "Eight test days, a jump at the fifth.", Gear: "C",
		TopOutFt: 276.4}
	for i, date := range []string{"2026-04-11", "2026-04-25", "2026-05-09", "2026-05-23", "2026-06-13", "2026-06-27",
		"2026-07-11", "2026-07-18"} {
		p := DayPoint{Label: date, OffsetPct: []float64{-2.1, -1.6, -2.4, -1.1, 2.3, 1.5, 2.6, 1.9}[i],
			LimitPct: 2.2 + 0.3*float64(i%3), Readings: 1 + i%4}
		p.Off = math.Abs(p.OffsetPct) > p.LimitPct
		d.Days = append(d.Days, p)
	}
	d.Drift = &DriftLine{Kind: "jump", From: 4, Pct: 4}
	return d
}

// trendDays is six days with a trend and no top-out known.
func trendDays() Days {
	d := Days{Title: "Sedge over the season", Description: "Six test days, later each time."}
	for i := range 6 {
		d.Days = append(d.Days, DayPoint{
			Label:     []string{"Opening", "Fair", "Second fair", "Night show", "Harvest", "Closing"}[i],
			OffsetPct: -2 + 0.8*float64(i) + 0.2*float64(i%2), LimitPct: 2.9, Readings: 3,
		})
	}
	d.Drift = &DriftLine{Kind: "trend", Pct: 0.8}
	return d
}

// manyDays is n days, every seventh off.
func manyDays(n int) Days {
	d := Days{Title: "Timothy over the years", Description: "Many test days.", Gear: "3 high", TopOutFt: 248}
	for i := range n {
		p := DayPoint{Label: "Day " + formatNumber(float64(i+1), 0), OffsetPct: 1.4 * math.Sin(float64(3*i)),
			LimitPct: 2.1,
			Readings: 1 + i%3}
		if i%7 == 3 {
			p.OffsetPct, p.Off = math.Copysign(3.2, p.OffsetPct), true
		}
		d.Days = append(d.Days, p)
	}
	return d
}

// grasses are the names of invented sleds.
var grasses = []string{"Bluestem", "Fescue", "Timothy", "Brome", "Sedge", "Ryegrass", "Slender Wheatgrass", "Foxtail",
	"Reed", "Cordgrass", "Switchgrass", "Oat", "Millet", "Sorghum", "Bentgrass", "Quackgrass"}

// fleetOf is n sleds of four to six gears; each third has a guess, and the fifth sled a gear without a number.
func fleetOf(n int) Ladders {
	l := Ladders{Title: "The fleet side by side", Description: "The ladders of the fleet from full back."}
	labels := [][]string{{"A", "B", "C", "D", "E", "F"}, {"1", "2", "3", "4", "5"},
		{"3 low", "3 high", "4 low", "4 high"}}
	for i := range n {
		s := Ladder{Name: grasses[i%len(grasses)]}
		for j, label := range labels[i%3] {
			t := 318 - 9*float64(i%4) - 19*float64(j) - 3*math.Sin(float64(5*i+j))
			s.Gears = append(s.Gears, Rung{Label: label, TopOutFt: t, LowFt: t * 0.986, HighFt: t * 1.014,
				Guess: i%3 == 1 && j > 3})
		}
		if i == 4 {
			s.Gears = append(s.Gears, Rung{Label: "6", TopOutFt: math.NaN()})
		}
		l.Sleds = append(l.Sleds, s)
	}
	return l
}

// crowdedLadders is two sleds of eight gears within 8 ft each, and one without a number.
func crowdedLadders() Ladders {
	l := Ladders{Title: "Close together", Description: "Two sleds with gears within 8 ft."}
	for i, name := range []string{"Brome", "Slender Wheatgrass of the far meadow"} {
		s := Ladder{Name: name}
		for j := range 8 {
			t := 250 + float64(i) + float64(j)
			s.Gears = append(s.Gears, Rung{Label: formatNumber(float64(j+1), 0), TopOutFt: t, LowFt: t - 4,
				HighFt: t + 4})
		}
		l.Sleds = append(l.Sleds, s)
	}
	l.Sleds = append(l.Sleds, Ladder{Name: "Reed"})
	return l
}
