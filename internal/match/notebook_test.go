package match_test

import (
	"fmt"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// notebook writes down one sled by hand.
type notebook struct {
	name     string
	travel   float64 // 0: never taped
	takeUp   float64
	gears    []string
	readings []fleet.Figure
}

func (n *notebook) add(gear string, start, distance float64, change ...func(*fleet.Figure)) {
	r := fleet.Figure{
		ID: fmt.Sprint(n.name, len(n.readings)), GearID: gear, StartFt: start, DistanceFt: distance,
		Ended: fleet.ToppedOut, MeasuredOn: "2026-05-09", Day: "2026-05-09",
	}
	for _, c := range change {
		c(&r)
	}
	n.readings = append(n.readings, r)
}

func (n *notebook) notebook() calibrate.Notebook {
	s := fleet.Sled{ID: fleet.Slug(n.name), Name: n.name, TakeUpFt: n.takeUp, RailMarkFt: fleet.DefaultRailMarkFt}
	if n.travel > 0 {
		s.TravelFt = &n.travel
	}
	for _, g := range n.gears {
		s.Gears = append(s.Gears, fleet.Gear{ID: g, Label: g})
	}
	return calibrate.Notebook{Sled: s, Readings: n.readings}
}

// charted fits notebooks as one fleet.
func charted(notebooks ...*notebook) []match.Side {
	var shares []calibrate.Share
	for _, n := range notebooks {
		shares = append(shares, calibrate.ShareOf(n.notebook(), assumed))
	}
	_, v := calibrate.Pool(calibrate.Total(shares), assumed)
	var out []match.Side
	for _, n := range notebooks {
		out = append(out, match.Side{Sled: n.notebook().Sled, Chart: calibrate.Fit(n.notebook(), v)})
	}
	return out
}

// setting is a gear on a side by its label.
func setting(s match.Side, gear string, start float64) match.Setting {
	return match.Setting{Side: s, Gear: slices.Index(s.Sled.Labels(), gear), StartFt: start}
}

// simple is a sled with one full-back reading a gear.
func simple(name string, travel float64, topOuts map[string]float64) *notebook {
	n := &notebook{name: name, travel: travel}
	for g := range topOuts {
		n.gears = append(n.gears, g)
	}
	slices.Sort(n.gears)
	for _, g := range n.gears {
		n.add(g, 0, topOuts[g])
	}
	return n
}
