package fleet

import "slices"

// FaultCode names a fault that whoever sends something can answer beforehand. Programs go by it.
type FaultCode string

// What is asked about.
const (
	Unlikely FaultCode = "unlikely" // a distance beyond belief, or a date far from all others
	Repeated FaultCode = "repeated" // a row that is stored already
	// the name of a sled that is taken in from another crew
	NameTaken FaultCode = "name-taken"
)

// AlreadySent names what nobody has to answer: somebody else has sent the same under the same idempotency key.
const AlreadySent FaultCode = "already-sent"

// Questions collects what is asked about one request that keeps to the rules: nothing is stored before it is answered.
// The zero value is ready to use.
type Questions struct {
	list  Faults
	codes []FaultCode
}

// Ask notes a question about a field of a row, from 1; 0 where there are no rows.
func (q *Questions) Ask(code FaultCode, row int, at, detail string) {
	q.list.total++
	if len(q.list.list) < MaxFaults {
		q.list.list = append(q.list.list, Fault{At: at, Row: row, Code: code, Detail: detail})
	}
	if !slices.Contains(q.codes, code) {
		q.codes = append(q.codes, code)
		slices.Sort(q.codes)
	}
}

// Err is nil without questions, else a Conflict that lists them by row.
func (q *Questions) Err() error {
	if q.list.total == 0 {
		return nil
	}
	slices.SortStableFunc(q.list.list, func(a, b Fault) int { return a.Row - b.Row })
	e := q.list.refusal(Conflict, "asked about before anything is stored")
	e.Codes = q.codes
	return e
}
