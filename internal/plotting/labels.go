package plotting

import (
	"math"
	"slices"
	"sort"
	"strings"
	"unicode"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// fontSlack is how much wider than ours the reader's sans-serif may run (our own estimate from the common ones).
const fontSlack = 1.17

// sanitize makes text fit for a drawing: one line of valid UTF-8 without what XML 1.0 forbids, control characters,
// or the marks that turn the direction of all that follows. It is fallback where nothing is left.
func sanitize(s, fallback string) string {
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "") {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029':
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\ufffe' || r == '\uffff' || r == '\ufeff':
		default:
			b.WriteRune(r)
		}
	}
	if t := strings.Join(strings.Fields(b.String()), " "); t != "" {
		return t
	}
	return fallback
}

// textWidth is the room to keep for s.
func textWidth(f font.Font, s string) vg.Length {
	face := font.DefaultCache.Lookup(f, f.Size)
	w := face.Width(s)
	// Letters past Latin, Greek and Cyrillic are not in our font and may be as wide as they are high. The signs
	// from U+2000 on are.
	for _, r := range s {
		if r >= 0x0530 && r < 0x2000 || r >= 0x2e80 {
			w += f.Size
		}
	}
	return w * fontSlack
}

// truncate cuts s to the room there is, with an ellipsis; it keeps at least one letter.
func truncate(f font.Font, s string, room vg.Length) string {
	if textWidth(f, s) <= room {
		return s
	}
	var ends []int // of each letter but the last
	for i := range s {
		if i > 0 {
			ends = append(ends, i)
		}
	}
	cut := func(at int) string { return strings.TrimRight(s[:at], " ") + "…" }
	long := sort.Search(len(ends), func(i int) bool { return textWidth(f, cut(ends[i])) > room })
	if len(ends) == 0 {
		return cut(len(s))
	}
	return cut(ends[max(0, long-1)])
}

// spreadLabels places labels that want to stand at the heights wanted as near to them as they can, in the sum of
// squares, with at least pitch between any two and all within low..high; where that is too little room the
// pitch shrinks. The order of the heights is kept, and that of equal ones as given.
//
// With the labels in ascending order and q_i = p_i − i·pitch the task is an isotonic regression, solved by
// pooling adjacent violators (Ayer et al. 1955); clamping its solution solves the bounded one.
func spreadLabels(wanted []float64, pitch, low, high float64) []float64 {
	n := len(wanted)
	if n == 0 {
		return nil
	}
	if n > 1 {
		pitch = min(pitch, (high-low)/float64(n-1))
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case wanted[a] < wanted[b]:
			return -1
		case wanted[a] > wanted[b]:
			return 1
		}
		return 0
	})
	type block struct {
		mean float64
		size int
	}
	var blocks []block
	for i, at := range order {
		b := block{mean: wanted[at] - float64(i)*pitch, size: 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].mean > b.mean {
			last := blocks[len(blocks)-1]
			blocks = blocks[:len(blocks)-1]
			size := last.size + b.size
			b.mean = (last.mean*float64(last.size) + b.mean*float64(b.size)) / float64(size)
			b.size = size
		}
		blocks = append(blocks, b)
	}
	placed := make([]float64, n)
	i := 0
	for _, b := range blocks {
		for range b.size {
			q := math.Max(low, math.Min(b.mean, high-float64(n-1)*pitch))
			placed[order[i]] = q + float64(i)*pitch
			i++
		}
	}
	return placed
}
