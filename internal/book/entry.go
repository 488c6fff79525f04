package book

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

// Repeated is what becomes of rows of an upload that are stored already.
type Repeated string

// What can become of them.
const (
	AskRepeated  Repeated = ""
	SkipRepeated Repeated = "skip"
	KeepRepeated Repeated = "keep"
)

// Answers are what whoever sends readings has said beforehand to what would be asked about them.
type Answers struct {
	KeepUnlikely bool     // what is beyond belief is stored, as confirmed
	Repeated     Repeated // of an upload alone
}

// Of dates that make a day of their own far from all others. Assumptions of our own.
const (
	loneDays      = 180 // no other reading of the sled lies within so many days
	loneOlderThan = 1   // years
)

// doubts finds what is to be asked about the readings of one request that keep to the rules.
type doubts struct {
	w       *Writer
	request Request
	skipped int // rows that are left out
	asked   fleet.Questions
	sleds   map[string]*sledDoubts
	held    []heldReading
}

func newDoubts(w *Writer, request Request) *doubts {
	return &doubts{w: w, request: request, sleds: map[string]*sledDoubts{}}
}

// sledDoubts is what is known of one sled, with what the request has brought of it so far.
type sledDoubts struct {
	belief *calibrate.Belief
	days   map[string]testDay
	stored map[rowKey]int // what is stored, by how often
}

// heldReading is as much of a reading as is needed until all others of its request are known.
type heldReading struct {
	row     int
	id      string
	sled    string
	gear    string
	startFt float64
	ended   fleet.Ended
	claim   calibrate.Claim
}

// testDay is one test day of a sled.
type testDay struct {
	readings int
	on       string // a date of it
	row      int    // of a reading that the request brought
	brought  bool
}

// rowKey is what two rows share that are the same reading.
type rowKey struct {
	gear, day        string
	start, distance  float64
	ended            fleet.Ended
	end              float64
	stoppedSomewhere bool
}

func keyOf(r fleet.Figure) rowKey {
	return rowKey{
		gear: r.GearID, day: r.Day, start: r.StartFt, distance: r.DistanceFt, ended: r.Ended,
		end: valueOrZero(r.EndFt), stoppedSomewhere: r.EndFt != nil,
	}
}

// of is what is known of a sled. but is the id of a reading that one of the request corrects, and that vouches for
// nothing.
func (d *doubts) of(sled, but string) (*sledDoubts, error) {
	if s, known := d.sleds[sled]; known {
		return s, nil
	}
	n, err := d.w.notebook(sled)
	if err != nil {
		return nil, err
	}
	if but != "" {
		n.Readings = slices.DeleteFunc(slices.Clone(n.Readings), func(r fleet.Figure) bool { return r.ID == but })
	}
	s := &sledDoubts{belief: calibrate.BeliefOf(n), days: map[string]testDay{}, stored: map[rowKey]int{}}
	for _, r := range n.Readings {
		if !r.SetAside {
			day := s.days[r.Day]
			s.days[r.Day] = testDay{readings: day.readings + 1, on: r.MeasuredOn}
		}
		if d.request.Upload && !r.WithBatch {
			s.stored[keyOf(r)]++
		}
	}
	d.sleds[sled] = s
	return s, nil
}

// take looks at a reading, and says whether it is to be left out because it is stored already.
func (d *doubts) take(row int, r fleet.Reading) (skip bool, err error) {
	s, err := d.of(r.Sled, r.Replaces)
	if err != nil {
		return false, err
	}
	figure := r.Figure()
	if key := keyOf(figure); d.request.Upload && s.stored[key] > 0 {
		s.stored[key]--
		switch d.request.Repeated {
		case SkipRepeated:
			d.skipped++
			return true, nil
		case AskRepeated:
			d.asked.Ask(fleet.Repeated, row, "", words.Repeated(r))
		}
	}
	day := s.days[r.Day]
	s.days[r.Day] = testDay{readings: day.readings + 1, on: r.MeasuredOn, row: row, brought: true}
	claim := s.belief.Learn(&figure)
	if r.ConfirmedAt == nil {
		d.held = append(d.held, heldReading{row, r.ID, r.Sled, r.Gear, r.StartFt, r.Ended, claim})
	}
	return false, nil
}

// settle is called when all readings of the request are known: the error is what is asked, and else kept are the ids of
// those that are beyond belief and stored all the same, by sled.
func (d *doubts) settle() (kept map[string][]string, err error) {
	kept = map[string][]string{}
	for _, h := range d.held {
		in := d.sleds[h.sled].belief.Range(h.claim)
		switch {
		case in.Holds(h.claim.DistanceFt):
		case d.request.KeepUnlikely:
			kept[h.sled] = append(kept[h.sled], h.id)
		default:
			d.asked.Ask(fleet.Unlikely, h.row, "distance_ft", words.Unlikely(fleet.Reading{
				Gear: h.gear, StartFt: h.startFt, DistanceFt: h.claim.DistanceFt, Ended: h.ended,
			}, in))
		}
	}
	if !d.request.KeepUnlikely {
		for _, sled := range slices.Sorted(maps.Keys(d.sleds)) {
			if day, lone := d.sleds[sled].loneDay(d.w.now); lone {
				d.asked.Ask(fleet.Unlikely, day.row, "measured_on",
					words.OddDate(fleet.Reading{MeasuredOn: day.on}, loneDays))
			}
		}
	}
	return kept, d.asked.Err()
}

// loneDay is the day of one single reading, brought by the request, that lies more than a year back and far from every
// other reading of the sled. Where there is another day as lonely, that is how this crew measures, and none is asked
// about; nor is the first day of all.
func (s *sledDoubts) loneDay(now time.Time) (testDay, bool) {
	days := slices.SortedFunc(maps.Values(s.days), func(a, b testDay) int { return cmp.Compare(a.on, b.on) })
	var lone []testDay
	for i, day := range days {
		if day.readings == 1 && (i == 0 || apartBy(days[i-1].on, day.on)) &&
			(i == len(days)-1 || apartBy(day.on, days[i+1].on)) {
			lone = append(lone, day)
		}
	}
	if len(lone) != 1 || len(days) == 1 {
		return testDay{}, false
	}
	return lone[0], lone[0].brought && lone[0].on < now.AddDate(-loneOlderThan, 0, 0).Format(time.DateOnly)
}

// apartBy says whether two dates, the earlier first, lie further apart than days do that vouch for each other.
func apartBy(earlier, later string) bool {
	on, err := time.Parse(time.DateOnly, earlier)
	return err == nil && later > on.AddDate(0, 0, loneDays).Format(time.DateOnly)
}

// notebook is a sled's notebook as this write finds it: from memory where nothing has been written of the sled since.
func (w *Writer) notebook(sled string) (calibrate.Notebook, error) {
	mine, _ := w.tx.Touching()
	if latest := w.b.latest.Load(); latest.sleds != nil && !slices.Contains(mine, sled) {
		touched, _, err := w.tx.Touched(latest.revision)
		if err != nil {
			return calibrate.Notebook{}, err
		}
		if p, there := latest.lookup(sled); there && !slices.Contains(touched, sled) {
			n := p.Notebook
			n.Readings = slices.Concat(n.Readings, p.ours)
			return n, nil
		}
	}
	notes, err := w.tx.Load([]string{sled})
	if err != nil || len(notes) == 0 {
		return calibrate.Notebook{}, err
	}
	return notebookOf(notes[0].Timeline, notes[0].Readings), nil
}
