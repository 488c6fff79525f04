package calibrate

import (
	"math"

	"evenpull/internal/fleet"
)

// MarkOf notes in a guest's mark how repeatable a crew measures that uses these variances.
func MarkOf(v Variances, g *fleet.Guest) {
	pct := func(variance float64) float64 { return 100 * math.Sqrt(variance) }
	known := func(df float64) float64 {
		if math.IsInf(df, 1) {
			return 0
		}
		return df
	}
	g.DayPct, g.ReadingPct, g.AssumedReadingPct = pct(v.Day), pct(v.Reading), pct(v.AssumedReading)
	g.DayDF, g.ReadingDF = known(v.DayDF), known(v.ReadingDF)
}

// VariancesOf are the variances that a guest's own crew uses: the same to the last bit as those that MarkOf noted.
func VariancesOf(g fleet.Guest) Variances {
	variance := func(pct float64) float64 { return onLattice(math.Pow(pct/100, 2)) }
	known := func(df float64) float64 {
		if df == 0 {
			return math.Inf(1)
		}
		return df
	}
	return Variances{
		Day: variance(g.DayPct), Reading: variance(g.ReadingPct), AssumedReading: variance(g.AssumedReadingPct),
		DayDF: known(g.DayDF), ReadingDF: known(g.ReadingDF),
	}
}

// Both has the degrees of freedom of that of two crews which is known less well, for what rests on both of their
// variances: its intervals are never too narrow for that. Where both are one crew it is that one's.
func (v Variances) Both(other Variances) Variances {
	v.DayDF, v.ReadingDF = min(v.DayDF, other.DayDF), min(v.ReadingDF, other.ReadingDF)
	return v
}
