package match

import (
	"gonum.org/v1/gonum/mat"

	"evenpull/internal/jointnormal"
)

// withinDraws is how many draws a chance over many classes is counted from: it is shown in whole percent.
const withinDraws = 512

// Within is the chance that every chosen gear lies within a distance of what was asked for, all on one sled on one
// night, whose errors they share: counted over fixed quasi-random draws from the joint normal distribution. 0 where a
// gear is not known.
func Within(ft float64, questions []Chosen, on Side) float64 {
	n := len(questions)
	if n == 0 {
		return 1
	}
	gap := make([]float64, n)
	tops := make([]topOut, n)
	wants := make([]topOut, n)
	for i, q := range questions {
		t, ok := on.topOut(q.Gear, q.OnStartFt)
		if !ok {
			return 0
		}
		tops[i], wants[i] = t, q.topOut(on.Chart)
		gap[i] = t.ft - q.TopOutFt
	}
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			v := on.Chart.TonightCovariance(tops[i].Prediction, tops[j].Prediction).Total() * tops[i].way * tops[j].way
			if i == j {
				v = on.Chart.TonightMean(tops[i].Prediction).Total()*tops[i].way*tops[i].way +
					wants[i].Spread.Total()*wants[i].way*wants[i].way
			}
			cov.SetSym(i, j, v)
		}
	}
	return float64(jointnormal.Inside(jointnormal.Root(cov), withinDraws, gap, ft)) / withinDraws
}
