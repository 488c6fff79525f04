package plotting

import (
	"cmp"
	"slices"
	"sort"
	"strings"
	"unicode"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// fontSlack is how much wider than ours the reader's sans-serif may run (our own estimate from the common ones).
const fontSlack = 1.17

// sanitize makes text fit for a drawing: one line of valid UTF-8 without what XML 1.0 forbids, control characters, or
// marks that change the direction of the text. It is fallback where nothing is left.
func sanitize(s, fallback string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t', r == '\n', r == '\r':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\ufffe', r == '\uffff', r == '\ufeff':
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	return cmp.Or(strings.Join(strings.Fields(s), " "), fallback)
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
	letters := []rune(s)
	cut := func(n int) string { return strings.TrimRight(string(letters[:n]), " ") + "…" }
	fitting := sort.Search(len(letters)-1, func(i int) bool { return textWidth(f, cut(i+1)) > room })
	return cut(max(1, fitting))
}

// truncateName cuts a label such as "Bluestem, C" with its tail to the room there is: first the name, and last what
// follows it and the tail.
func truncateName(f font.Font, label, tail string, room vg.Length) string {
	if textWidth(f, label+tail) <= room {
		return label + tail
	}
	if i := strings.LastIndex(label, ", "); i >= 0 && textWidth(f, "M…"+label[i:]+tail) <= room {
		return truncate(f, label[:i], room-textWidth(f, label[i:]+tail)) + label[i:] + tail
	}
	if textWidth(f, "M…"+tail) > room {
		tail = ""
	}
	return truncate(f, label, room-textWidth(f, tail)) + tail
}

// wrap breaks a text into lines of the room there is, between words. A word that is wider is cut.
func wrap(s string, room vg.Length) (lines []string) {
	f := plainFont(textSize)
	for word := range strings.FieldsSeq(s) {
		word = truncate(f, word, room)
		if n := len(lines); n > 0 && textWidth(f, lines[n-1]+" "+word) <= room {
			lines[n-1] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}

// joinToFit joins labels in the room there is: "D, E and 3 more".
func joinToFit(prefix string, labels []string, room vg.Length) string {
	f := plainFont(textSize)
	for n := len(labels); n > 0; n-- {
		s := prefix + strings.Join(labels[:n], ", ")
		if n < len(labels) {
			s += " and " + formatNumber(float64(len(labels)-n), 0) + " more"
		}
		if textWidth(f, s) <= room || n == 1 {
			return truncate(f, s, room)
		}
	}
	return ""
}

// spreadLabels places labels as near as possible to the heights wanted, by the sum of squares, at least pitch apart and
// within low..high; where that is too little room the pitch shrinks. The order of the heights is kept, and that of
// equal ones as given.
//
// With the labels in ascending order and q_i = p_i − i·pitch the task is an isotonic regression, solved by
// pooling adjacent violators (Ayer et al. 1955); clamping its solution solves the bounded one.
func spreadLabels(wanted []float64, pitch, low, high float64) []float64 {
	n := len(wanted)
	if n > 1 {
		pitch = min(pitch, (high-low)/float64(n-1))
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(wanted[a], wanted[b]) })
	type block struct{ mean, size float64 }
	var blocks []block
	for i, at := range order {
		b := block{mean: wanted[at] - float64(i)*pitch, size: 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].mean > b.mean {
			last := blocks[len(blocks)-1]
			blocks = blocks[:len(blocks)-1]
			size := last.size + b.size
			b = block{mean: (last.mean*last.size + b.mean*b.size) / size, size: size}
		}
		blocks = append(blocks, b)
	}
	placed := make([]float64, n)
	i := 0
	for _, b := range blocks {
		for range int(b.size) {
			q := max(low, min(b.mean, high-float64(n-1)*pitch))
			placed[order[i]] = q + float64(i)*pitch
			i++
		}
	}
	return placed
}
