package store

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func sessionByHash(t *testing.T, s *Store, hash byte) (found *Session) {
	t.Helper()
	read(t, s, func(r *Reads) (err error) { found, err = r.SessionByHash([]byte{hash}); return err })
	return found
}

func TestSession_ComesAndGoes(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	for i, id := range []string{"k1", "k2"} {
		write(t, s, func(tx *Tx) error { return tx.AddKey(keyOf(id, fleet.Manager, byte(i))) })
	}
	until := noon.Add(time.Hour)
	ofKey := func(hash byte, key string) Session {
		return Session{Hash: []byte{hash}, KeyID: key, CreatedAt: noon, ExpiresAt: until}
	}
	set := Session{Hash: []byte{9}, Fingerprint: []byte{0, 255}, CreatedAt: noon,
		ExpiresAt: until.Add(time.Microsecond)}
	all := []Session{ofKey(1, "k1"), ofKey(2, "k1"), ofKey(3, "k2"), ofKey(4, "k2"), set}
	for _, want := range all {
		write(t, s, func(tx *Tx) error { return tx.AddSession(want) })
	}
	there := func() (hashes []byte) {
		for _, want := range all {
			if found := sessionByHash(t, s, want.Hash[0]); found != nil {
				assert.Equal(t, &want, found)
				hashes = append(hashes, want.Hash...)
			}
		}
		return hashes
	}
	assert.Equal(t, []byte{1, 2, 3, 4, 9}, there())
	assert.Nil(t, sessionByHash(t, s, 5))
	write(t, s, func(tx *Tx) error { return tx.EndSession([]byte{5}) })
	write(t, s, func(tx *Tx) error { return tx.EndSession([]byte{4}) })
	assert.Equal(t, []byte{1, 2, 3, 9}, there())
	write(t, s, func(tx *Tx) error { return tx.EndSessionsOf("k1") })
	assert.Equal(t, []byte{3, 9}, there())
	write(t, s, func(tx *Tx) error { return tx.SweepSessions(until.Add(-time.Microsecond)) })
	assert.Equal(t, []byte{3, 9}, there())
	write(t, s, func(tx *Tx) error { return tx.SweepSessions(until) })
	assert.Equal(t, []byte{9}, there(), "one that lasts a microsecond longer")
}

func TestSession_BelongsToOneKey(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	write(t, s, func(tx *Tx) error { return tx.AddKey(keyOf("k1", fleet.Manager, 1)) })
	for name, bad := range map[string]Session{
		"none":               {Hash: []byte{1}},
		"two":                {Hash: []byte{1}, KeyID: "k1", Fingerprint: []byte{1}},
		"one that never was": {Hash: []byte{1}, KeyID: "k2"},
	} {
		assert.Error(t, s.Write(context.Background(), func(tx *Tx) error { return tx.AddSession(bad) }), name)
	}
}
