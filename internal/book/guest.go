package book

import (
	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// OwnReading is a reading that this crew took of a guest, beside what the owner's chart says of its pull.
type OwnReading struct {
	fleet.Figure
	Gear     string              // its label today
	Expected *calibrate.Estimate // nil where the chart says nothing
	Fits     bool                // it lies where the next pull is expected 95 times in 100
}

// mostOwnReadings is how many readings of its own a crew is shown beside a guest's chart: the last ones. An assumption
// of our own.
const mostOwnReadings = 200

// ownReadings are this crew's readings of a guest that topped out and are not set aside, in the order of
// writing.
func (s sledState) ownReadings() (out []OwnReading) {
	chart := s.chart()
	for _, r := range s.ours[max(0, len(s.ours)-mostOwnReadings):] {
		if r.SetAside || r.Ended != fleet.ToppedOut {
			continue
		}
		own := OwnReading{Figure: r}
		gear := s.Sled.GearPlace(r.GearID)
		if gear >= 0 {
			own.Gear = s.Sled.Gears[gear].Label
			if e := chart.At(gear, r.StartFt); e.Known() {
				own.Expected = &e
				own.Fits = r.DistanceFt >= e.TonightLowFt && r.DistanceFt <= e.TonightHighFt
			}
		}
		out = append(out, own)
	}
	return out
}

// Guests says whether sleds of other crews count.
type Guests string

// The two answers.
const (
	WithGuests    Guests = ""
	WithoutGuests Guests = "leave-out"
)

// leavesOut says whether a sled is a guest that does not count.
func (g Guests) leavesOut(snap *snapshot, sled string) bool {
	return g == WithoutGuests && snap.sledState(sled).Sled.Guest != nil
}
