package panload

import (
	"math"
	"slices"
)

// mostSums bounds how many different weights a crew's blocks are looked through for.
const mostSums = 100_000

// Rounded is the weight nearest to the one wanted that a crew's blocks make, and how many of each it takes, heaviest first.
type Rounded struct {
	Lb     float64
	Blocks []Block
}

// RoundTo finds the weight nearest to lb that the blocks make, with the fewest blocks; of two equally near the lighter. False without
// blocks.
func RoundTo(lb float64, blocks []Block) (Rounded, bool) {
	sizes := slices.Clone(blocks)
	slices.SortFunc(sizes, func(a, b Block) int { return int(math.Copysign(1, b.Lb-a.Lb)) })
	sizes = slices.DeleteFunc(sizes, func(b Block) bool { return b.Count <= 0 || !(b.Lb > 0) })
	if len(sizes) == 0 {
		return Rounded{}, false
	}
	type made struct {
		lb     float64
		counts []int
		blocks int
	}
	sums := map[float64]made{0: {counts: make([]int, len(sizes))}}
	for i, size := range sizes {
		next := make(map[float64]made, len(sums))
		for _, m := range sums {
			for n := 0; n <= size.Count && len(next) < mostSums; n++ {
				at := made{m.lb + float64(n)*size.Lb, slices.Clone(m.counts), m.blocks + n}
				at.counts[i] = n
				if old, had := next[at.lb]; !had || at.blocks < old.blocks {
					next[at.lb] = at
				}
			}
		}
		sums = next
	}
	var best made
	for _, m := range sums {
		miss, least := math.Abs(m.lb-lb), math.Abs(best.lb-lb)
		if best.counts == nil || miss < least || miss == least && m.lb < best.lb {
			best = m
		}
	}
	out := Rounded{Lb: best.lb}
	for i, n := range best.counts {
		if n > 0 {
			out.Blocks = append(out.Blocks, Block{sizes[i].Lb, n})
		}
	}
	return out, true
}

// onHand is what all blocks weigh together; false without blocks.
func onHand(blocks []Block) (float64, bool) {
	sum := 0.0
	for _, b := range blocks {
		sum += b.Lb * float64(b.Count)
	}
	return sum, sum > 0
}
