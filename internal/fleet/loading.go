package fleet

import (
	"fmt"
	"slices"
)

// Limits of what is accepted of weights.
const (
	MaxLoadLb     = 200_000
	MaxBlockLb    = 20_000
	MaxBlockSizes = 12
	MaxBlockCount = 100
	maxTandemFt   = 100
)

// How far what was taped or weighed once may be off where nobody says: half a 95 % interval. Assumptions of our own.
const (
	DefaultTapedPlusMinusFt    = 0.2
	DefaultEmptyBoxPlusMinusLb = 120
)

// Loading is what is known of a sled's load besides its weighings: taped lengths, the empty box, each with its ± (half
// a 95 % interval), the blocks at hand, and what the makers of its parts allow. Nil is unknown.
// Its names in JSON are stored, and stay.
type Loading struct {
	TandemToPanFt          *float64 `json:"tandem_to_pan_ft,omitempty"` // tandem center to pan pin
	TandemToPanPlusMinusFt *float64 `json:"tandem_to_pan_plus_minus_ft,omitempty"`
	EmptyBoxLb             *float64 `json:"empty_box_lb,omitempty"`
	EmptyBoxPlusMinusLb    *float64 `json:"empty_box_plus_minus_lb,omitempty"`
	// box center, at full back; negative behind it
	BoxAheadOfTandemFt          *float64 `json:"box_ahead_of_tandem_ft,omitempty"`
	BoxAheadOfTandemPlusMinusFt *float64 `json:"box_ahead_of_tandem_plus_minus_ft,omitempty"`
	Blocks                      []Block  `json:"blocks,omitempty"`
	MostInBoxLb                 *float64 `json:"most_in_box_lb,omitempty"`
	MostOnPanLb                 *float64 `json:"most_on_pan_lb,omitempty"`
	MostOnTandemLb              *float64 `json:"most_on_tandem_lb,omitempty"`
}

// Block is a size of block and how many of it there are.
type Block struct {
	Lb    float64 `json:"lb"`
	Count int     `json:"count"`
}

// IsZero says whether nothing is known.
func (l Loading) IsZero() bool {
	for _, v := range l.numbers() {
		if *v.at != nil {
			return false
		}
	}
	return len(l.Blocks) == 0
}

// number is one number of a loading.
type number struct {
	name        string
	at          **float64
	least       float64
	most        float64
	isLength    bool
	isPlusMinus bool // of the number before it
}

func (l *Loading) numbers() []number {
	return []number{
		{name: "tandem_to_pan_ft", at: &l.TandemToPanFt, least: 1, most: maxTandemFt, isLength: true},
		{name: "tandem_to_pan_plus_minus_ft", at: &l.TandemToPanPlusMinusFt, least: 0.001, most: 10, isLength: true,
			isPlusMinus: true},
		{name: "empty_box_lb", at: &l.EmptyBoxLb, least: 1, most: MaxLoadLb},
		{name: "empty_box_plus_minus_lb", at: &l.EmptyBoxPlusMinusLb, least: 0.1, most: MaxLoadLb, isPlusMinus: true},
		{name: "box_ahead_of_tandem_ft", at: &l.BoxAheadOfTandemFt, least: -maxTandemFt, most: maxTandemFt,
			isLength: true},
		{name: "box_ahead_of_tandem_plus_minus_ft", at: &l.BoxAheadOfTandemPlusMinusFt, least: 0.001, most: 10,
			isLength: true, isPlusMinus: true},
		{name: "most_in_box_lb", at: &l.MostInBoxLb, least: 1, most: MaxLoadLb},
		{name: "most_on_pan_lb", at: &l.MostOnPanLb, least: 1, most: MaxLoadLb},
		{name: "most_on_tandem_lb", at: &l.MostOnTandemLb, least: 1, most: MaxLoadLb},
	}
}

// tidy clears the sign of a zero.
func (l *Loading) tidy() {
	if l.BoxAheadOfTandemFt != nil {
		l.BoxAheadOfTandemFt = new(*l.BoxAheadOfTandemFt + positiveZero)
	}
}

// Check notes everything wrong with a loading; at is the field it stands in.
func (l Loading) Check(f *Faults, at string) {
	numbers := l.numbers()
	for i, v := range numbers {
		switch {
		case *v.at == nil:
		case !within(**v.at, v.least, v.most):
			f.Add(Inside(at, v.name), "must be %s, not %s", v.text(v.least)+" to "+v.text(v.most), v.text(**v.at))
		case v.isPlusMinus && *numbers[i-1].at == nil:
			f.Add(Inside(at, v.name), "goes with %s only", numbers[i-1].name)
		}
	}
	if len(l.Blocks) > MaxBlockSizes {
		f.Add(Inside(at, "blocks"), "up to %d sizes of block can be listed, not %d", MaxBlockSizes, len(l.Blocks))
	}
	for i, b := range l.Blocks {
		where := Inside(at, fmt.Sprintf("blocks[%d]", i))
		if !(within(b.Lb, 0, MaxBlockLb) && b.Lb > 0) {
			f.Add(where+".lb", "a block weighs above 0 and at most %s, not %s", poundsAndKilograms(MaxBlockLb),
				poundsAndKilograms(b.Lb))
		}
		if b.Count < 1 || b.Count > MaxBlockCount {
			f.Add(where+".count", "there are 1 to %d blocks of a size, not %d", MaxBlockCount, b.Count)
		}
		if j := slices.IndexFunc(l.Blocks[:i], func(o Block) bool { return o.Lb == b.Lb }); j >= 0 {
			f.Add(where+".lb", "blocks of %s are listed already; put all of a size together", poundsAndKilograms(b.Lb))
		}
	}
}

func (v number) text(n float64) string {
	if v.isLength {
		return FeetAndMeters(n)
	}
	return poundsAndKilograms(n)
}

// CheckLoad notes a weight that is less than none or more than any sled has.
func CheckLoad(f *Faults, at string, lb *float64) {
	if lb != nil && !within(*lb, 0, MaxLoadLb) {
		f.Add(at, "must be 0 to %s, not %s", poundsAndKilograms(MaxLoadLb), poundsAndKilograms(*lb))
	}
}
