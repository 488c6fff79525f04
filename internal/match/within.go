package match

import "evenpull/internal/jointnormal"

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
	for i, q := range questions {
		t, ok := on.topOut(q.Gear, q.OnStartFt)
		if !ok {
			return 0
		}
		tops[i], gap[i] = t, t.ft-q.TopOutFt
	}
	cov := on.covariance(tops, n)
	for i, q := range questions {
		cov.SetSym(i, i, cov.At(i, i)+q.topOut(on.Chart).variance())
	}
	return float64(jointnormal.Inside(jointnormal.Root(cov), withinDraws, gap, ft)) / withinDraws
}
