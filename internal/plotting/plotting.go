// Package plotting draws charts as SVG: plain values in, a finished document out.
//
// A drawing has a transparent ground, its text is text in the reader's own sans-serif, and nothing in it needs
// a style sheet or a script, so that it shows under a strict Content-Security-Policy. The title and the
// description are in the file for those who hear it read; the page around it prints the heading.
//
// Numbers that cannot stand on an axis (not a number, infinite, or past maxFt) are left out, never an error.
package plotting

import "evenpull/internal/fleet"

// Theme is light or dark.
type Theme string

// The themes.
const (
	Light Theme = "light"
	Dark  Theme = "dark"
)

// Style is how a drawing looks: its theme and the units on its axes. Values passed in are always feet.
type Style struct {
	Theme Theme
	Units fleet.Units
}

// Chart is top-out distance against start position, one line a gear.
type Chart struct {
	Title, Description string
	Gears              []ChartGear
}

// ChartGear is one gear's line and its readings.
type ChartGear struct {
	Label  string
	Line   []ChartPoint
	Points []ReadingPoint
}

// ChartPoint is one point of a line with its 95 % interval.
type ChartPoint struct {
	StartFt, TopOutFt, LowFt, HighFt float64
}

// ReadingPoint is one topped-out reading.
type ReadingPoint struct {
	StartFt, DistanceFt float64
	SetAside            bool
}

// Boxes is where two boxes are along one pull.
type Boxes struct {
	Title, Description string
	Pulls              []BoxPull
}

// BoxPull is one sled's box along the pull. TopOutFt is where the line ends; LowFt and HighFt bound it.
type BoxPull struct {
	Label                   string // such as "Bluestem, C"
	Line                    []BoxPoint
	TopOutFt, LowFt, HighFt float64
}

// BoxPoint is the box's share of its travel (0 full back, 1 at the top) at a distance down the track.
type BoxPoint struct {
	DistanceFt, Share float64
}
