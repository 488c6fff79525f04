package words

import (
	"testing"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// An answer in words, beside its numbers alone in the benchmarks of api.
func BenchmarkToAnswer(b *testing.B) {
	asked, answer := question(4, nearest(candidate("2", 4, 3.6, 3.1), 0.97, match.Clear))
	answer.RunnerUp = &match.RunnerUp{Gear: "3", ChanceNearest: 0.03}
	b.ReportAllocs()
	for b.Loop() {
		ToAnswer(asked, answer, names, fleet.InFeet)
	}
}
