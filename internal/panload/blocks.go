package panload

import (
	"cmp"
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// mostSums bounds how many different weights a crew's blocks are looked through for.
const mostSums = 20_000

// Block is how many blocks of a size are taken.
type Block struct {
	Lb    float64
	Count int
}

// Rounded is the weight nearest to the one wanted that a crew's blocks make, and how many of each it takes, heaviest
// first.
type Rounded struct {
	Lb     float64
	Blocks []Block
}

// Stock is every weight that a crew's blocks make, each with the fewest blocks, lightest first.
type Stock struct {
	sizes []fleet.Block
	sums  []made
}

type made struct {
	lb     float64
	counts []int // of each size
	blocks int
}

// StockOf works a stock out. It is empty without blocks.
func StockOf(blocks []fleet.Block) *Stock {
	sizes := slices.Clone(blocks)
	slices.SortFunc(sizes, func(a, b fleet.Block) int { return cmp.Compare(b.Lb, a.Lb) })
	sizes = slices.DeleteFunc(sizes, func(b fleet.Block) bool { return b.Count <= 0 || !(b.Lb > 0) })
	s := &Stock{sizes: sizes}
	if len(sizes) == 0 {
		return s
	}
	s.sums = []made{{counts: make([]int, len(sizes))}}
	for i, size := range sizes {
		var next []made
		at := map[float64]int{}
		for _, m := range s.sums {
			for n := 0; n <= size.Count; n++ {
				lb, blocks := m.lb+float64(n)*size.Lb, m.blocks+n
				j, had := at[lb]
				if had && blocks >= next[j].blocks || !had && len(next) == mostSums {
					continue
				}
				if !had {
					at[lb], j, next = len(next), len(next), append(next, made{})
				}
				next[j] = made{lb, slices.Clone(m.counts), blocks}
				next[j].counts[i] = n
			}
		}
		s.sums = next
	}
	slices.SortFunc(s.sums, func(a, b made) int { return cmp.Compare(a.lb, b.lb) })
	return s
}

// RoundTo finds the weight of the stock nearest to lb that leaves leftLb of it; of two equally near the lighter. False
// without blocks.
func (s *Stock) RoundTo(lb, leftLb float64) (Rounded, bool) {
	if len(s.sums) == 0 {
		return Rounded{}, false
	}
	place := func(lb float64) int {
		i, _ := slices.BinarySearchFunc(s.sums, lb, func(m made, lb float64) int { return cmp.Compare(m.lb, lb) })
		return i
	}
	all, _ := onHand(s.sizes)
	sums := s.sums[:max(place(all-leftLb+sameLb), 1)]
	i := min(place(lb), len(sums))
	best := min(i, len(sums)-1)
	if i > 0 && lb-sums[i-1].lb <= math.Abs(sums[best].lb-lb) {
		best = i - 1
	}
	out := Rounded{Lb: sums[best].lb}
	for i, n := range sums[best].counts {
		if n > 0 {
			out.Blocks = append(out.Blocks, Block{s.sizes[i].Lb, n})
		}
	}
	return out, true
}

// onHand is what all blocks weigh together; false without blocks.
func onHand(blocks []fleet.Block) (float64, bool) {
	sum := 0.0
	for _, b := range blocks {
		sum += b.Lb * float64(b.Count)
	}
	return sum, sum > 0
}
