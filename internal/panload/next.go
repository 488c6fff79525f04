package panload

import (
	"cmp"
	"slices"

	"evenpull/internal/fleet"
)

// Mark is one of the three places of the box that are worth weighing.
type Mark string

// The marks, from full back on.
const (
	Back   Mark = "back"
	Middle Mark = "middle"
	Top    Mark = "top"
)

// Share is where a mark is, as a share of the travel.
func (m Mark) Share() float64 { return map[Mark]float64{Back: 0, Middle: 0.5, Top: 1}[m] }

// State is a state of the sled worth weighing.
type State struct {
	Mark   Mark
	Loaded bool
}

// nearEnough is how near to a mark a box counts as standing there, as a share of the travel. Our own choice.
const nearEnough = 0.15

// Next lists the states that are still worth weighing, the most telling first: the four corners (back and top, empty
// and loaded) tell everything, the middle marks whether the others can be believed.
func Next(s Sled) []State {
	var out []State
	for _, state := range []State{{Back, false}, {Top, true}, {Top, false}, {Back, true}, {Middle, true}, {Middle,
		false}} {
		weighed := slices.ContainsFunc(s.Weighings, func(w fleet.Weighing) bool {
			off := w.BoxAtFt/cmp.Or(s.TravelFt, 1) - state.Mark.Share() // a box at full back is so on any travel
			return w.InBoxLb > 0 == state.Loaded && off < nearEnough && off > -nearEnough
		})
		if !weighed {
			out = append(out, state)
		}
	}
	return out
}
