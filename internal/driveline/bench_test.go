package driveline_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"evenpull/internal/driveline"
)

// Ten thousand combinations of the parts of a sled with six gears, against a reference of six. The aim is 100 ms.
func BenchmarkOptions(b *testing.B) {
	s := driveline.Sled{
		Parts: driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 1.75, AxleRatio: 4.1, FinalRatio: 5.29,
			TireCircumferenceFt: 10.5},
		TravelFt: 34.5, Factor: driveline.Factor{Log: 0.012}, WayLog: []float64{5.7, 5.6, 5.5, 5.4, 5.3, 5.2},
	}
	for _, ratio := range []float64{1.3, 1.2, 1.1, 1, 0.9, 0.8} {
		s.Gears = append(s.Gears, driveline.Gear{Ratio: ratio})
	}
	var c driveline.Choices
	for i := range 9 {
		step := float64(i)
		c.SprocketTeeth = append(c.SprocketTeeth, 13+i)
		c.AxleRatio = append(c.AxleRatio, 3.5+step/20)
		c.FinalRatio = append(c.FinalRatio, 5.3+step/10)
		c.TireCircumferenceFt = append(c.TireCircumferenceFt, 10+step/20)
	}
	require.Equal(b, 10_000, c.Combinations())
	reference := []float64{340, 318, 295, 266, 241, 214}
	for b.Loop() {
		require.Len(b, driveline.Options(s, c, reference, 20), 20)
	}
}
