package book

import (
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Night is what a sled's own readings of one day say of it.
type Night struct {
	Day       string   `json:"day"`
	Pulls     int      `json:"pulls"`      // readings of that day that count
	OffsetPct float64  `json:"offset_pct"` // later than on average, 100 times the logarithm
	LowPct    float64  `json:"low_pct"`    // 95 % interval
	HighPct   float64  `json:"high_pct"`
	LaterFt   *float64 `json:"later_ft,omitempty"` // the same of the gear from full back; nil where none is known
	Gear      string   `json:"gear,omitempty"`     // the middle one of the ladder
	// ids of its readings that move nothing until another agrees or they are confirmed
	Strays []string `json:"strays,omitempty"`
	// of a sheet: readings of the show's date that were not entered from the show
	Others int `json:"others,omitempty"`
}

// onDay is a sled on the night of a day, with what its readings of that day say of it: nil where it has none.
func (s sledState) onDay(day string) (match.Side, *Night) {
	plain := s.side()
	ofDay := func(r fleet.Figure) bool { return r.Day == day && !r.SetAside }
	if day == "" || !slices.ContainsFunc(s.Readings, ofDay) {
		return plain, nil
	}
	side := match.Side{Sled: plain.Sled, Chart: plain.Chart.On(day)}
	found, v := side.Chart.Night(), side.Chart.Variances()
	if found.Pulls == 0 && len(found.Strays) == 0 { // only stated, or past the top
		return plain, nil
	}
	half := v.HalfWidth(calibrate.Spread{Day: found.SD * found.SD})
	n := &Night{
		Day: day, Pulls: found.Pulls, Strays: found.Strays,
		OffsetPct: 100 * found.Offset, LowPct: 100 * (found.Offset - half), HighPct: 100 * (found.Offset + half),
	}
	if gear := s.middleGear(); gear >= 0 {
		e := side.Chart.At(gear, 0)
		later := e.TonightFt - e.TopOutFt
		n.LaterFt, n.Gear = &later, side.Sled.Gears[gear].Label
	}
	return side, n
}

// onShow is a sled on the night of a show: its readings that have the show as their day, and withDate those of the same
// date that were not entered from the show too.
func (s sledState) onShow(show fleet.Show, withDate bool) (match.Side, *Night) {
	joined, others, day := slices.Clone(s.Readings), 0, show.Day()
	for i, r := range joined {
		top := r.Ended == fleet.ToppedOut || r.Ended == fleet.StoppedShort
		if top && r.MeasuredOn == show.Date && r.Day != day && !r.SetAside {
			joined[i].Day = day
			others++
		}
	}
	if withDate && others > 0 {
		s.Readings, s.charts = joined, &chartCache{}
	}
	side, night := s.onDay(day)
	if night == nil && others > 0 {
		night = &Night{Day: day}
	}
	if night != nil {
		night.Others = others
	}
	return side, night
}
