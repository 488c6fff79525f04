package calibrate

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// Alarm levels, assumptions of our own. Each is how often something of that kind is accused on a sled with nothing
// wrong.
const (
	// falseAlarm is of all readings of a sled together.
	falseAlarm = 0.005
	// mendAlarm is the same of readings that a usual mistake would bring in line: it is larger, because among readings
	// that lie that far off by chance few happen to be such a mistake.
	mendAlarm = 0.02
	// swapGain is by how much, in χ², two labels swapped for a day must explain more than the single worst reading
	// does.
	swapGain = 6
	// rivalGain is by how much, in χ², all else must prefer one of two readings that contradict each other.
	rivalGain = 3
)

// suspect is a reading that the notebook contradicts, or the other days where it is of the night asked about. It counts
// nowhere until somebody answers.
type suspect struct {
	obs   observation
	gap   float64     // logarithm of what was noted over what the others say; 0 where no model says anything
	mend  *fleet.Mend // what may have happened; nil where nothing usual explains it
	gross bool        // beyond belief: no model was asked
	// rival is the other of two readings that contradict each other where nothing tells which of them is wrong. Both
	// count then, and the gear's variance takes in half their gap.
	rival *fleet.Figure
}

// sift finds the shape that the readings do not reject and the readings that they contradict. Whatever is beyond belief
// is left out before a model is asked; then each shape is tried with the readings left out that contradict it, the
// worst first. A shape with the travel that the readings imply, or a measured one, must save more readings than it has
// values that it fits. A reading that somebody has confirmed counts.
func (o *observations) sift(n Notebook, v Variances, clear cleared) (*model, []suspect) {
	o, gross := o.believed(n)
	m, found := o.bestShape(v, len(n.Sled.Gears), clear)
	if m == nil {
		return nil, gross
	}
	for i, s := range gross {
		gross[i].mend = m.mendOf(s.obs)
		if p, ok := m.at(s.obs.gear, s.obs.start); ok && s.obs.top {
			gross[i].gap = s.obs.y - p.eta
		}
	}
	return m, append(gross, found...)
}

// believed leaves out what is beyond belief.
func (o *observations) believed(n Notebook) (*observations, []suspect) {
	belief := BeliefOf(n)
	var gross []suspect
	for _, obs := range o.list {
		if !obs.reading.Confirmed && belief.gross(obs.reading) {
			gross = append(gross, suspect{obs: obs, gross: true})
		}
	}
	if len(gross) == 0 {
		return o, nil
	}
	return o.without(gross), gross
}

func (o *observations) without(out []suspect) *observations {
	return o.filter(func(obs observation) bool {
		return !slices.ContainsFunc(out, func(s suspect) bool { return s.rival == nil && s.obs.reading == obs.reading })
	})
}

// cleared is a model without the readings that it leaves out, and these.
type cleared func(*model) (*model, []suspect)

// all takes every reading at its word.
func all(m *model) (*model, []suspect) { return m, nil }

// bestShape tries the shapes in order, each without the readings that clear leaves out of it. The model is nil where
// the readings do not determine any.
func (o *observations) bestShape(v Variances, gears int, clear cleared) (best *model, found []suspect) {
	if len(o.list) == 0 {
		return nil, nil
	}
	least := math.MaxInt
	try := func(m *model, cost int, believable bool) {
		m, out := clear(m)
		if cost += count(out); cost < least && (believable || !m.rejected()) {
			best, found, least = m, out, cost
		}
	}
	if o.travel > 0 {
		taped, err := o.straight(v, gears, o.travel)
		if err != nil {
			return nil, nil
		}
		try(taped, 0, false)
		if least > 1 {
			if m, err := o.implied(v, gears, o.travel); err == nil &&
				math.Abs(math.Log(m.travel/o.travel)) < math.Log(travelRange) {
				try(m, 1, false)
			}
		}
	}
	if least > 1 {
		if m, err := o.measured(v, gears); err == nil {
			if levels := m.d.p - len(m.o.gears); levels+count(m.unsaved(found)) < least {
				try(m, levels, true)
			}
		}
	}
	return best, found
}

// unsaved are those of some suspects that m, fitted to all readings that it can use, contradicts as well or cannot use.
// To see that costs far less than to clear it.
func (m *model) unsaved(found []suspect) []suspect {
	if len(found) == 0 {
		return nil
	}
	r := m.residuals()
	var out []suspect
	for _, s := range found {
		if i := m.o.find(s.obs.reading); i < 0 || m.off(r, i, m.d.n, falseAlarm) {
			out = append(out, s)
		}
	}
	return out
}

// count is how many mistakes were made: two labels swapped for a day are one.
func count(found []suspect) int {
	n := 0
	swapped := map[string]bool{}
	for _, s := range found {
		if s.mend != nil && s.mend.Kind == fleet.LabelsSwapped {
			swapped[s.obs.reading.Day] = true
		} else {
			n++
		}
	}
	return n + len(swapped)
}

// Bounds of the work on notebooks far larger than any crew keeps by hand. Assumptions of our own.
const (
	siftRows    = 400_000 // rows gone through, all looks for a mistake together
	leastSifted = 20      // mistakes looked for in any case
	mostSwapped = 2_000   // readings up to which swapped labels are looked for
)

// clear leaves out the readings that the others contradict, the worst first, so that one wrong reading neither hides
// another nor accuses its neighbors; neither does one that somebody has confirmed. The model returned is without them.
func (m *model) clear() (*model, []suspect) {
	looks := m.d.n
	var found []suspect
	torn := map[int]bool{} // gears two of whose readings contradict each other, and nothing tells which is wrong
	for len(found) < min(looks/2, max(siftRows/looks, leastSifted)) {
		judge, held := m.plain(looks)
		next, out := judge.oneMistake(looks, held, torn)
		if len(out) == 0 {
			break
		}
		if judge != m && next != judge { // the confirmed ones count
			var err error
			if next, err = m.refit(m.o.without(out)); err != nil {
				break
			}
		}
		if out[0].rival == nil {
			m = next
		} else {
			torn[out[0].obs.gear] = true
		}
		found = append(found, out...)
	}
	return m, found
}

// oneMistake names the readings of the worst mistake, none where there is none, and returns the model without them.
func (m *model) oneMistake(looks int, held, torn map[int]bool) (*model, []suspect) {
	r := m.residuals()
	i, z, sure := m.worst(r, looks, held, torn)
	if looks <= mostSwapped {
		if next, out := m.labelsSwapped(r, z, held); next != nil {
			return next, out
		}
	}
	if i < 0 {
		return m, nil
	}
	next, out := m.blame(r, i, looks)
	if next == nil || (!sure && (out.rival != nil || out.mend == nil)) {
		return m, nil
	}
	return next, []suspect{out}
}

// off says whether an observation is out of line, whatever the tapes did, by how often a share alarm of steady sleds
// have such a one among looks.
func (m *model) off(r *residuals, i, looks int, alarm float64) bool {
	beyond := func(z float64) bool {
		t, left := apart(z, m.readingDF(i))
		return exceeds(t, alarm/float64(looks), left)
	}
	return beyond(r.z[i]) && beyond(r.besideTapes(i))
}

// plain is the model that the other readings are judged by: without those that are out of line and confirmed, the worst
// first. held are the gears of these: no other reading of theirs is accused of contradicting it.
func (m *model) plain(looks int) (judge *model, held map[int]bool) {
	judge, held = m, map[int]bool{}
	if !slices.ContainsFunc(m.o.list, func(obs observation) bool { return obs.reading.Confirmed }) {
		return judge, held
	}
	for {
		r, worst := judge.residuals(), -1
		for i, obs := range judge.o.list {
			if obs.reading.Confirmed && judge.off(r, i, looks, falseAlarm) &&
				(worst < 0 || math.Abs(r.z[i]) > math.Abs(r.z[worst])) {
				worst = i
			}
		}
		if worst < 0 {
			return judge, held
		}
		held[judge.o.list[worst].gear] = true
		next, err := judge.without(judge.o.list[worst].reading)
		if err != nil {
			return judge, held
		}
		judge = next
	}
}

// worst is the observation furthest out of line, −1 where none is. It is sure where the observation is out of line
// whatever happened, and not where it only is if a usual mistake explains it.
func (m *model) worst(r *residuals, looks int, held, torn map[int]bool) (at int, z float64, sure bool) {
	at = -1
	loose, looseZ := -1, 0.0
	odd := m.oddDay(r)
	for i, of := range r.z {
		// Ranked by z, which t rises with but runs into infinity where the residual is most of what is known.
		switch obs := m.o.list[i]; {
		case obs.reading.Confirmed || held[obs.gear] || torn[obs.gear] || m.d.day[i] == odd &&
			m.goesWithDay(r, i, looks):
		case math.Abs(of) > math.Abs(z) && m.off(r, i, looks, falseAlarm):
			at, z = i, of
		case math.Abs(of) > math.Abs(looseZ) && m.off(r, i, looks, mendAlarm):
			loose, looseZ = i, of
		}
	}
	if at >= 0 {
		return at, z, true
	}
	return loose, looseZ, false
}

// dayShare is how much of an observation's residual the others of its day have to have as well for it to go with them.
// An assumption of our own.
const dayShare = 0.5

// goesWithDay says whether an observation is off as the others of its day are: where the day stands off, they are not
// to be accused one by one.
func (m *model) goesWithDay(r *residuals, i, looks int) bool {
	var sum, weight float64
	for j, day := range m.d.day {
		if j != i && day == m.d.day[i] {
			sum += m.d.w[j] * r.r[j]
			weight += m.d.w[j]
		}
	}
	if weight == 0 || sum/weight*r.r[i] < dayShare*r.r[i]*r.r[i] {
		return false
	}
	apart := (r.r[i] - sum/weight) / math.Sqrt(m.v.Reading*(1/m.d.w[i]+1/weight))
	return !exceeds(apart, falseAlarm/float64(looks), m.v.ReadingDF)
}

// exceeds says whether t lies beyond what a share alarm of all values exceed. Most do not reach the normal
// distribution's limit, which is the least of all and costs little to know.
func exceeds(t, alarm, df float64) bool {
	t = math.Abs(t)
	return t > quantile(1-alarm/2, math.Inf(1)) && t > quantile(1-alarm/2, df)
}

// limit is what a value with that many degrees of freedom must exceed, among that many looked at.
func limit(looks int, df float64) float64 {
	return quantile(1-falseAlarm/float64(looks)/2, df)
}

// readingDF is how well the variance of one reading against the others is known: alone on its day, it is the day's.
func (m *model) readingDF(i int) float64 {
	d := m.d
	if (i > 0 && d.day[i-1] == d.day[i]) || (i+1 < d.n && d.day[i+1] == d.day[i]) {
		return m.v.ReadingDF
	}
	return m.v.DayDF
}

// mostRivals bounds how many readings a gear may have for one of them to be right where another seems wrong: among
// more, the many are right.
const mostRivals = 4

// blame decides which reading is wrong where observation i is the worst: i itself, or the one other in its gear without
// which i agrees with all the rest. Of two such, the wrong one is the one that fits another gear, or the one whose
// absence leaves the gear where the sled's other gears expect it; else both are rivals.
func (m *model) blame(r *residuals, i, looks int) (*model, suspect) {
	worst := m.o.list[i]
	next, err := m.without(worst.reading)
	if err != nil {
		return nil, suspect{}
	}
	out := suspect{obs: worst, gap: r.gap[i], mend: next.mendOf(worst)}
	var same []int
	for k, obs := range m.o.list {
		if obs.gear == worst.gear {
			same = append(same, k)
		}
	}
	if len(same) > mostRivals {
		return next, out
	}
	for _, k := range same {
		rival := m.o.list[k]
		if k == i || rival.reading.Confirmed {
			continue
		}
		other, err := m.without(rival.reading)
		if err != nil {
			continue
		}
		if at := other.o.find(worst.reading); at >= 0 && other.off(other.residuals(), at, looks, falseAlarm) {
			continue
		}
		mend := other.mendOf(rival)
		switch gain := prefer(next, other, worst.gear, out.mend, mend); {
		case gain > rivalGain:
		case gain < -rivalGain:
			next, out = other, suspect{obs: rival, gap: r.gap[k], mend: mend}
		default:
			out.rival = rival.reading
			return m, out
		}
	}
	return next, out
}

// prefer is by how much, in χ², all else takes the first of two readings of a gear for the wrong one; negative where
// it takes the second, infinite where a mend tells. Less than rivalGain decides nothing. a and b are the models without
// the first and without the second.
func prefer(a, b *model, gear int, mendA, mendB *fleet.Mend) float64 {
	tells := func(m *fleet.Mend) bool { return m != nil && (m.Kind == fleet.AnotherGear || m.Kind == fleet.OtherEnd) }
	if tells(mendA) != tells(mendB) {
		if tells(mendA) {
			return math.Inf(1)
		}
		return math.Inf(-1)
	}
	gain := (b.rss - a.rss) / a.v.Reading
	zA, okA := a.ladderMisfit(gear)
	zB, okB := b.ladderMisfit(gear)
	if okA && okB {
		gain += zB*zB - zA*zA
	}
	return gain
}
