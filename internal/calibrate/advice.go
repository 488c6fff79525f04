package calibrate

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// Question is a gear (its place in Sled.Gears) and a start position whose top-out somebody wants to know.
type Question struct {
	Gear    int
	StartFt float64
}

// Advice is one reading worth taking: each is the best one left once those before it are taken, all on one new day.
type Advice struct {
	Question          // what to measure
	Now      *float64 // half the width in ft of the 95 % interval of the same, nil while nothing is known of it
	Then     float64  // after this reading
	MeanNow  float64  // the same, averaged over the questions, before this reading; an unknown one counts as unknownFt
	MeanThen float64  // and after it
}

const (
	// unknownFt is what a gear of which nothing is known counts as: half the span of a box drive's ladder, common
	// practice, no source.
	unknownFt = 45
	// adviceGain is the least share by which a reading must shrink the mean to be worth its pull. An assumption of our
	// own.
	adviceGain = 0.01
	// nextDay names the day that imagined readings share: none that anybody typed comes after it.
	nextDay = "\uffff"
	// mostAdviceStarts bounds the start positions looked at.
	mostAdviceStarts = 4
)

// Advise ranks up to most readings by how much each would shrink the mean uncertainty of the questions: without any,
// every gear from full back. It fits the sled again with each reading in turn, which needs no distance to be right: the
// uncertainty follows from where and when readings are taken, not from what they say. For the same reason mistakes are
// looked for once, and not again with each imagined reading.
func Advise(n Notebook, v Variances, questions []Question, most int) []Advice {
	if len(questions) == 0 {
		for g := range n.Sled.Gears {
			questions = append(questions, Question{Gear: g})
		}
	}
	candidates := n.candidates(questions)
	chart := Fit(n, v)
	torn, left := chart.torn, chart.LeftOut()
	n.Readings = slices.DeleteFunc(slices.Clone(n.Readings), func(r fleet.Figure) bool { return left[r.ID] })
	var out []Advice
	for range most {
		now, _ := chart.mean(questions)
		best, least := Advice{MeanThen: math.Inf(1)}, math.Inf(1)
		var bestChart *Chart
		for _, q := range candidates {
			with := n
			with.Readings = append(slices.Clone(n.Readings), chart.imagined(q))
			next := fit(with, v, all)
			next.torn = torn
			if mean, sd := next.mean(questions); sd < least-1e-9 {
				best, least = Advice{Question: q, MeanNow: now, MeanThen: mean}, sd
				bestChart = next
			}
		}
		if bestChart == nil || best.MeanThen > now*(1-adviceGain) {
			break
		}
		if half, ok := chart.half(best.Question); ok {
			best.Now = &half
		}
		best.Then, _ = bestChart.half(best.Question)
		out = append(out, best)
		n.Readings = append(n.Readings, chart.imagined(best.Question))
		chart = bestChart
	}
	return out
}

// candidates are every gear from every start position asked about or already measured.
func (n Notebook) candidates(questions []Question) []Question {
	starts := []float64{0}
	for _, q := range questions {
		starts = append(starts, q.StartFt)
	}
	for _, r := range n.Readings {
		if !r.SetAside && r.Ended == fleet.ToppedOut {
			starts = append(starts, r.StartFt)
		}
	}
	starts = distinct(starts)
	starts = starts[:min(len(starts), mostAdviceStarts)]
	var out []Question
	for g := range n.Sled.Gears {
		for _, s := range starts {
			if n.Sled.TravelFt == nil || s < *n.Sled.TravelFt {
				out = append(out, Question{g, s})
			}
		}
	}
	return out
}

// afterAllChanges is a date later than any change of parts.
const afterAllChanges = "9999-12-31"

// imagined is a topped-out reading on a day of its own, where the chart expects it. It is confirmed, so that it counts
// however far from the rest it is imagined where nothing is expected.
func (c *Chart) imagined(q Question) fleet.Figure {
	e := c.At(q.Gear, q.StartFt)
	if !e.Known() {
		e.TopOutFt = 200 + c.o.takeUp
	}
	return fleet.Figure{
		GearID: c.notebook.Sled.Gears[q.Gear].ID, StartFt: q.StartFt, DistanceFt: e.TopOutFt,
		Ended: fleet.ToppedOut, MeasuredOn: afterAllChanges, Day: nextDay, Confirmed: true,
	}
}

// half is half the width in ft of an answer's interval.
func (c *Chart) half(q Question) (float64, bool) {
	e := c.At(q.Gear, q.StartFt)
	return (e.HighFt - e.LowFt) / 2, e.Known()
}

// mean is half over the questions, and the standard uncertainty likewise, in ft. Readings are ranked by the latter:
// where the variances are hardly known, a reading that leaves more to the better known of the two narrows the interval
// without telling more.
func (c *Chart) mean(questions []Question) (half, sd float64) {
	n := float64(len(questions))
	for _, q := range questions {
		h, s := float64(unknownFt), unknownFt/t95(math.Inf(1))
		if p, ok := c.Predict(q.Gear, q.StartFt); ok {
			if known, ok := c.half(q); ok {
				h, s = known, math.Exp(p.Log)*math.Sqrt(p.Spread.Total())
			}
		}
		half += h / n
		sd += s / n
	}
	return half, sd
}
