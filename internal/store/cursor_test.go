package store

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestCursor_ThatCannotBeReadIsNamed(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	for _, cursor := range []string{"x", "%%%", "c2xlZDo", encodeCursor("reading:", "2026-05-09:1"),
		encodeCursor("sled:", "bluestem") + "="} {
		err := s.Read(context.Background(), func(r *Reads) error { _, _, err := r.Sleds(cursor, 3); return err })
		assertFaultAt(t, err, "after")
	}
	for _, position := range []string{"", "2026-05-09", "2026-05-09:", "2026-05-09:x", "2026-05-09:-1",
		"2026-99-99:1", "9:9:9"} {
		err := s.Read(context.Background(), func(r *Reads) error {
			_, _, err := r.Readings("bluestem", encodeCursor("reading:", position), 3)
			return err
		})
		assertFaultAt(t, err, "after")
	}
}

func assertFaultAt(t *testing.T, err error, at string) {
	t.Helper()
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, fleet.Invalid, e.Kind)
	require.Len(t, e.Faults, 1)
	assert.Equal(t, at, e.Faults[0].At)
}
