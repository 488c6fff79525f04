package calibrate_test

import (
	"fmt"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// sled starts a notebook; travel 0 means never taped.
func sled(travel float64, labels ...string) *calibrate.Notebook {
	n := &calibrate.Notebook{Sled: fleet.Sled{ID: "bluestem", Name: "Bluestem", RailMarkFt: fleet.DefaultRailMarkFt}}
	if travel > 0 {
		n.Sled.TravelFt = &travel
	}
	for _, l := range labels {
		n.Sled.Gears = append(n.Sled.Gears, fleet.Gear{ID: "gear " + l, Label: l})
	}
	return n
}

// note adds a topped-out reading, changed as asked.
func note(n *calibrate.Notebook, gear string, start, distance float64, change ...func(*fleet.Figure)) {
	r := fleet.Figure{
		ID: fmt.Sprintf("r%02d", len(n.Readings)), GearID: "gear " + gear, StartFt: start, DistanceFt: distance,
		Ended: fleet.ToppedOut, MeasuredOn: "2026-05-09", Day: "2026-05-09",
	}
	for _, c := range change {
		c(&r)
	}
	n.Readings = append(n.Readings, r)
}

func on(day string) func(*fleet.Figure) {
	return func(r *fleet.Figure) { r.Day, r.MeasuredOn = day, day }
}

func short(end float64) func(*fleet.Figure) {
	return func(r *fleet.Figure) { r.Ended, r.EndFt = fleet.StoppedShort, &end }
}

func pastTop(r *fleet.Figure) { r.Ended = fleet.PastTop }

func stated(by string, plusMinus float64) func(*fleet.Figure) {
	return func(r *fleet.Figure) { r.Ended, r.Word = fleet.Stated, &fleet.Word{By: by, PlusMinusFt: plusMinus} }
}

func aside(r *fleet.Figure) { r.SetAside = true }

func confirmed(r *fleet.Figure) { r.Confirmed = true }

// fit makes the chart of one sled that is a whole fleet.
func fit(n *calibrate.Notebook) *calibrate.Chart {
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	return calibrate.Fit(*n, v)
}
