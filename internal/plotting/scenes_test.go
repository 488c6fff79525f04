package plotting

import "math"

// The scenes are invented: sleds named after grasses, ladders of our own.

// straightChart is a sled with travel 34.5 ft, six gears, readings at 0, 4 and 8 ft and one set aside.
func straightChart() Chart {
	c := Chart{Title: "Bluestem", Description: "Top-out distance of six gears by start position."}
	for i, g := range []struct {
		label string
		full  float64
	}{{"A", 318}, {"B", 297}, {"C", 276.4}, {"D", 259}, {"E", 238}, {"F", 221}} {
		gear := ChartGear{Label: g.label}
		for _, s := range []float64{0, 2, 4, 6, 8} {
			t := g.full * (1 - s/34.5)
			gear.Line = append(gear.Line, ChartPoint{StartFt: s, TopOutFt: t, LowFt: t * 0.986, HighFt: t * 1.014})
		}
		for j, s := range []float64{0, 4, 8} {
			wobble := 1 + 0.006*math.Sin(float64(7*i+3*j))
			gear.Points = append(gear.Points, ReadingPoint{StartFt: s, DistanceFt: g.full * (1 - s/34.5) * wobble})
		}
		c.Gears = append(c.Gears, gear)
	}
	c.Gears[2].Points = append(c.Gears[2].Points, ReadingPoint{StartFt: 4, DistanceFt: 236, SetAside: true})
	c.Gears[3].Points = append(c.Gears[3].Points, ReadingPoint{StartFt: 8, DistanceFt: 170, Waits: true})
	return c
}

// crowdedChart is six gears within 10 ft of each other.
func crowdedChart() Chart {
	c := Chart{Title: "Sedge", Description: "Six gears within 10 ft."}
	for i, label := range []string{"3 low", "3 high", "4 low", "4 high", "5 low", "5 high"} {
		gear := ChartGear{Label: label}
		for _, s := range []float64{0, 5, 10} {
			t := (250 + 2*float64(i)) * (1 - s/36)
			gear.Line = append(gear.Line, ChartPoint{StartFt: s, TopOutFt: t, LowFt: t - 3, HighFt: t + 3})
			gear.Points = append(gear.Points, ReadingPoint{StartFt: s, DistanceFt: t + float64(i%3) - 1})
		}
		c.Gears = append(c.Gears, gear)
	}
	c.Gears = append(c.Gears, ChartGear{Label: "6 low"}, ChartGear{Label: "6 high"})
	c.Gears[0].Points = append(c.Gears[0].Points, ReadingPoint{StartFt: 5, DistanceFt: 2150, SetAside: true})
	return c
}

// ladderChart is a sled measured at full back only.
func ladderChart() Chart {
	c := Chart{Title: "Timothy", Description: "Five gears from full back."}
	for i, g := range []struct {
		label string
		t     float64
	}{{"1", 289}, {"2", 271}, {"3", 252}, {"4", 240}, {"5", 219}} {
		gear := ChartGear{Label: g.label, Line: []ChartPoint{{TopOutFt: g.t, LowFt: g.t - 4, HighFt: g.t + 4}}}
		if i != 3 {
			gear.Points = []ReadingPoint{{DistanceFt: g.t - 1.5}, {DistanceFt: g.t + 2}}
		}
		c.Gears = append(c.Gears, gear)
	}
	c.Gears[1].Points = append(c.Gears[1].Points, ReadingPoint{DistanceFt: 260, SetAside: true})
	return c
}

// manyGears is a chart with n gears, their lines close to each other.
func manyGears(n int) Chart {
	c := Chart{Title: "Ryegrass", Description: "Many gears."}
	for i := range n {
		t := 200 + 1.5*float64(i)
		c.Gears = append(c.Gears, ChartGear{
			Label: "gear " + formatNumber(float64(i+1), 0),
			Line: []ChartPoint{{StartFt: 0, TopOutFt: t, LowFt: t - 2, HighFt: t + 2},
				{StartFt: 6, TopOutFt: t * 0.8, LowFt: t*0.8 - 2, HighFt: t*0.8 + 2}},
			Points: []ReadingPoint{{StartFt: 0, DistanceFt: t}},
		})
	}
	return c
}

// twoBoxes is the same class on two sleds.
func twoBoxes() Boxes {
	return Boxes{
		Title: "Bluestem C and Fescue 2", Description: "Both boxes along the pull.",
		Pulls: []BoxPull{
			straightPull("Bluestem, C", 276.4, 272.8, 280.1),
			straightPull("Fescue, 2", 280, 276.1, 283.9),
		},
	}
}

func straightPull(label string, top, low, high float64) BoxPull {
	p := BoxPull{Label: label, TopOutFt: top, LowFt: low, HighFt: high}
	for i := range 41 {
		share := float64(i) / 40
		p.Line = append(p.Line, BoxPoint{DistanceFt: share * top, Share: share})
	}
	return p
}

// farBoxes is one box that tops out long before the other, with a take-up, and long names.
func farBoxes() Boxes {
	b := Boxes{Pulls: []BoxPull{
		straightPull("Slender Wheatgrass of the far meadow, second of its name, 3 high", 262, 255, 271),
		straightPull("Brome, 6", 81, 78, 85),
	}}
	for i := range b.Pulls[0].Line {
		b.Pulls[0].Line[i].Share = 0.2 + 0.8*b.Pulls[0].Line[i].Share
	}
	return b
}

func onePull() Boxes {
	return Boxes{Title: "Fescue 2", Description: "One box.",
		Pulls: []BoxPull{straightPull("Fescue, 2", 280, 276.1, 283.9)}}
}

// scenes draws every scene.
func scenes(s Style) map[string][]byte {
	out := map[string][]byte{}
	for name, c := range map[string]Chart{
		"straight": straightChart(), "crowded": crowdedChart(), "ladder": ladderChart(), "sixty gears": manyGears(60),
		"no chart": {},
	} {
		out[name] = DrawChart(c, s)
	}
	for name, d := range map[string]Days{"jumped days": jumpDays(), "worn days": trendDays(), "many days": manyDays(40),
		"no days": {}} {
		out[name] = DrawDays(d, s)
	}
	for name, l := range map[string]Ladders{
		"one ladder": fleetOf(1), "six ladders": fleetOf(6), "sixteen ladders": fleetOf(16),
		"crowded ladders": crowdedLadders(), "no ladders": {},
	} {
		out[name] = DrawLadders(l, s)
	}
	for name, l := range map[string]Loads{
		"two pans": twoPans(), "one pan": onePan(), "no pans": {}, "pans with long names": longPans(),
	} {
		out[name] = DrawLoads(l, s)
	}
	for name, b := range map[string]Boxes{"two boxes": twoBoxes(), "far boxes": farBoxes(), "one box": onePull(),
		"no boxes": {}} {
		out[name] = DrawBoxes(b, s)
	}
	return out
}
