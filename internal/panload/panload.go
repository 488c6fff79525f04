// Package panload turns weighings of a sled into what lies on its pan, wherever the box stands and whatever is in it,
// and answers how much in the box makes one sled's pan carry what another's does. Pure arithmetic; no I/O.
//
// With x the box mark in feet from full back, w the blocks in the box and q the blocks on the pan in pounds, moments
// about the tandem give the pan load of a sled that stands level
//
//	N(x, w, q) = A + B x + C w + D x w + q    A = (W_f g + W_b p)/L + pan    B = W_b/L    C = p/L    D = 1/L
//
// where L is the way from the tandem to the pan pin, W_b the empty box, p its center ahead of the tandem at x = 0, W_f
// the frame and g its center ahead of the tandem. Where the box starts over or behind the tandem, C ≤ 0: blocks hardly
// change the load at the hook, or lighten it.
package panload

// Weighing is one reading of the scale under the pan, in pounds and feet.
type Weighing struct {
	ID       string
	On       string   // ISO 8601 date
	BoxAtFt  float64  // box mark from full back
	InBoxLb  float64  // blocks in the box
	OnPanLb  float64  // blocks laid on the pan
	PanLb    float64  // read
	TandemLb *float64 // read under the tandem, nil where it was not
	TotalLb  *float64 // of the whole sled, nil where it was not read
	Scale    string   // which one; sleds weighed on one scale share its gain
}

// total is the weight of the whole sled as it was read, or both its parts; false where neither is known.
func (w Weighing) total() (float64, bool) {
	switch {
	case w.TotalLb != nil:
		return *w.TotalLb, true
	case w.TandemLb != nil:
		return w.PanLb + *w.TandemLb, true
	}
	return 0, false
}

// Taped is a length or a weight with its standard uncertainty.
type Taped struct{ Value, SD float64 }

// Tape is what was taped or is known of a sled besides its weighings; nil where it is not.
type Tape struct {
	TandemToPanFt    *Taped // L, ft
	EmptyBoxLb       *Taped // W_b, lb
	BoxAheadTandemFt *Taped // p, ft; negative behind the tandem
}

// Block is a size of block and how many there are.
type Block struct {
	Lb    float64
	Count int
}

// Limits are what the maker of a part allows, in pounds; nil where nobody has entered it.
type Limits struct{ MostInBoxLb, MostOnPanLb, MostOnTandemLb *float64 }

// Sled is what is known of one sled's loading.
type Sled struct {
	Weighings []Weighing
	Tape      Tape
	TravelFt  float64 // box mark at the top
	Blocks    []Block
	Limits    Limits
}
