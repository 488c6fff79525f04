package fleet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// However many rows are asked about, every code that applies is told.
func TestQuestions_TellEveryCodeThatApplies(t *testing.T) {
	t.Parallel()
	var q Questions
	require.NoError(t, q.Err())
	q.Ask(Unlikely, 2, "distance_ft", "2620 ft?")
	var e *Error
	require.ErrorAs(t, q.Err(), &e)
	assert.Equal(t, &Error{
		Kind: Conflict, Detail: "one thing is asked about before anything is stored", Codes: []FaultCode{Unlikely},
		Faults: []Fault{{At: "distance_ft", Row: 2, Code: Unlikely, Detail: "2620 ft?"}},
	}, e)
	for row := range MaxFaults {
		q.Ask(Repeated, row, "", "is stored already")
	}
	require.ErrorAs(t, q.Err(), &e)
	assert.Equal(t, MaxFaults+1, e.Total)
	assert.Len(t, e.Faults, MaxFaults)
	assert.Equal(t, []FaultCode{Repeated, Unlikely}, e.Codes)
	assert.Contains(t, e.Detail, "1001 things are asked about")
}
