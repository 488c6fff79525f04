// Package plotting draws charts, boxes, days and ladders as SVG: plain values in, a complete drawing out. A drawing
// that has no number says so.
//
// A drawing is transparent, its text is text in the reader's own sans-serif, and it needs no style sheet or script, so
// that it shows under a strict Content-Security-Policy. The title and the description are in the file for screen
// readers; the page around it prints the heading.
//
// Numbers that no axis can show (not a number, infinite, or past maxFt) are left out.
//
// A drawing is 720 units wide and is read down to 330 CSS pixels. One of many ladders is wider: an img should show it
// at half its own width or more.
package plotting

import "evenpull/internal/fleet"

// Theme is light or dark.
type Theme string

// The themes.
const (
	Light Theme = "light"
	Dark  Theme = "dark"
)

// Style is how a drawing looks: its theme, the units on its axes, and a note that stands below it and at the end of its
// description, such as that its numbers are invented. Zero is light, in feet and without a note. Values passed in are
// always feet.
type Style struct {
	Theme Theme
	Units fleet.Units
	Note  string
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
	Waits               bool // it counts nowhere until somebody answers the check that names it
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

// Days is how far a sled's test days lie from what its other days say, over a season.
type Days struct {
	Title, Description string
	Gear               string     // the gear that the second axis is for
	TopOutFt           float64    // what the chart says of it; 0 when unknown: then only percent
	Days               []DayPoint // in order
	Drift              *DriftLine // nil where the days show no pattern
}

// DayPoint is one test day. One whose offset is not a number keeps its place and has no mark.
type DayPoint struct {
	Label     string  // the day's name or date
	OffsetPct float64 // positive topped out later
	LimitPct  float64 // beyond plus or minus this a day stands off; 0 where no limit is known
	Readings  int
	Off       bool // it stands off
}

// DriftLine is the pattern that the days show.
type DriftLine struct {
	Kind string  // "trend" or "jump"; any other is not drawn
	From int     // index into Days: where the trend begins, or the first day after the jump
	Pct  float64 // the size of the jump, or the change from each day to the next; positive is later
}

// Ladders is the gears of several sleds from full back, side by side. Those of the first are what the others are
// held against.
type Ladders struct {
	Title, Description string
	Sleds              []Ladder
}

// Ladder is one sled's gears, in any order.
type Ladder struct {
	Name  string
	Gears []Rung
}

// Rung is one gear with its 95 % interval. A top-out that is not positive says that there is no number.
type Rung struct {
	Label                   string
	TopOutFt, LowFt, HighFt float64
	Guess                   bool // stated or from the ratios, without a reading of its own
}
