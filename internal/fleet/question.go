package fleet

import (
	"fmt"
	"slices"
)

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
	total := q.list.total
	if total == 0 {
		return nil
	}
	slices.SortStableFunc(q.list.list, func(a, b Fault) int { return a.Row - b.Row })
	e := &Error{Kind: Conflict, Faults: q.list.list, Codes: q.codes}
	switch {
	case total == 1:
		e.Detail = "one thing is asked about before anything is stored"
	case total > len(e.Faults):
		e.Detail = fmt.Sprintf("%d things are asked about before anything is stored; the first %d are listed", total,
			len(e.Faults))
		e.Total = total
	default:
		e.Detail = fmt.Sprintf("%d things are asked about before anything is stored", total)
	}
	return e
}
