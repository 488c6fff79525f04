package plotting

import (
	"image/color"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sizes in units of the view box. A drawing is width units wide and is also read at 330 CSS pixels, where
// 24 units of type come to 11 pixels.
const (
	width      = 720
	baseHeight = 480 // more only where many gears need the room
	labelSize  = 27
	textSize   = 24

	labelPitch  = labelSize * 1.2 // least distance between the middles of two labels
	textPitch   = textSize * 1.35
	titleHeight = textPitch + 8 // of the title of the vertical axis
	markerSize  = 8             // from the middle of a marker to its edge
	lineWidth   = 3.5
	thinWidth   = 2
	leaderWidth = 1.5
	tickLength  = 8 // of a tick mark beside the data
)

// palette is the colors of one theme. Text has at least 4.5:1 against the page's ground and what carries
// meaning at least 3:1 (WCAG 2.2, SC 1.4.3 and 1.4.11); grid is decoration and stays quiet.
type palette struct {
	text   color.NRGBA // labels, numbers, readings set aside
	muted  color.NRGBA // axis, notes, leader lines
	grid   color.NRGBA
	accent color.NRGBA // gears, and the first of two pulls
	second color.NRGBA // the second of two pulls
}

// bandColor is how a line's color looks as the ground of its interval.
func bandColor(c color.NRGBA) color.NRGBA {
	c.A = 0x30
	return c
}

func (p palette) gridStyle() draw.LineStyle { return stroke(p.grid, thinWidth) }

// paletteOf falls back on the light theme.
func paletteOf(t Theme) palette {
	if t == Dark {
		return palette{
			text:   rgb(0xe8ecef),
			muted:  rgb(0xa7b1b9),
			grid:   rgb(0x333b42),
			accent: rgb(0xf0a8d6),
			second: rgb(0xf2b35e),
		}
	}
	return palette{
		text:   rgb(0x1b2126),
		muted:  rgb(0x56616a),
		grid:   rgb(0xdde2e5),
		accent: rgb(0x7b2460),
		second: rgb(0x9a5200),
	}
}

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xff}
}

func plainFont(size vg.Length) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
}

func boldFont(size vg.Length) font.Font {
	f := plainFont(size)
	f.Weight = xfont.WeightBold
	return f
}

// stroke is a line in that color, whole without dashes.
func stroke(c color.Color, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: width, Dashes: dashes}
}
