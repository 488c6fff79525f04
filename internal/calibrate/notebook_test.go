package calibrate_test

import (
	"fmt"
	"time"

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
func note(n *calibrate.Notebook, gear string, start, distance float64, change ...func(*fleet.Reading)) {
	r := fleet.Reading{
		ID: fmt.Sprintf("r%02d", len(n.Readings)), GearID: "gear " + gear, Gear: gear, StartFt: start,
		DistanceFt: distance,
		Ended:      fleet.ToppedOut, MeasuredOn: "2026-05-09", Day: "2026-05-09",
	}
	for _, c := range change {
		c(&r)
	}
	n.Readings = append(n.Readings, r)
}

func on(day string) func(*fleet.Reading) {
	return func(r *fleet.Reading) { r.Day, r.MeasuredOn = day, day }
}

func short(end float64) func(*fleet.Reading) {
	return func(r *fleet.Reading) { r.Ended, r.EndFt = fleet.StoppedShort, &end }
}

func pastTop(r *fleet.Reading) { r.Ended = fleet.PastTop }

func stated(by string, plusMinus float64) func(*fleet.Reading) {
	return func(r *fleet.Reading) { r.Ended, r.By, r.PlusMinusFt = fleet.Stated, by, &plusMinus }
}

func aside(r *fleet.Reading) { r.SetAside = &fleet.SetAside{Reason: "misread"} }

func confirmed(r *fleet.Reading) { r.ConfirmedAt = new(time.Time) }

// fit makes the chart of one sled that is a whole fleet.
func fit(n *calibrate.Notebook) *calibrate.Chart {
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	return calibrate.Fit(*n, v)
}
