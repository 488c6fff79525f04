package match

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// leastMoves is from how many shows on a class can be said to keep being moved.
	leastMoves = 4
	// leastMoveSD in feet: operators who set every show alike do not prove that such settings never vary. An
	// assumption of our own.
	leastMoveSD = 2
	// movedAlarm is how often any class of a season with nothing wrong may be pointed out. An assumption of our own.
	movedAlarm = 0.01
)

// Moved is what a season says of one class.
type Moved struct {
	Shows  int     // that noted what was set
	MeanFt float64 // of what was set less what was planned; positive tops out later
	Times  int     // at how many shows it was moved in the direction of the mean
	OneWay bool    // by more than chance explains: the sign of a chart that is off
}

// MovedOneWay judges classes by how far operators moved each from what was planned, in feet, a show a number, 0 where
// it was left as planned. How much such moves vary is pooled over the classes, about each one's mean; a class is
// pointed out when the t statistic of its mean exceeds the limit for that many classes (Bonferroni).
func MovedOneWay(classes [][]float64) []Moved {
	out := make([]Moved, len(classes))
	sum, df, judged := 0.0, 0.0, 0
	for i, moves := range classes {
		out[i].Shows = len(moves)
		for _, m := range moves {
			out[i].MeanFt += m / float64(len(moves))
		}
		for _, m := range moves {
			sum += (m - out[i].MeanFt) * (m - out[i].MeanFt)
			if m*out[i].MeanFt > 0 {
				out[i].Times++
			}
		}
		df += max(float64(len(moves)-1), 0)
		if len(moves) >= leastMoves {
			judged++
		}
	}
	if judged == 0 {
		return out
	}
	sd := max(math.Sqrt(sum/df), leastMoveSD)
	limit := distuv.StudentsT{Nu: df, Sigma: 1}.Quantile(1 - movedAlarm/float64(judged)/2)
	for i, moves := range classes {
		t := math.Abs(out[i].MeanFt) / (sd / math.Sqrt(float64(len(moves))))
		out[i].OneWay = len(moves) >= leastMoves && t > limit
	}
	return out
}
