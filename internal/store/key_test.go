package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func keyOf(id string, role fleet.Role, hash ...byte) Key {
	return Key{Key: fleet.Key{ID: id, Name: "key " + id, Role: role, CreatedAt: noon}, Hash: hash}
}

func keyByHash(t *testing.T, s *Store, hash ...byte) (k *Key) {
	t.Helper()
	read(t, s, func(r *Reads) (err error) { k, err = r.KeyByHash(hash); return err })
	return k
}

func TestKey_IsFoundByItsHash(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	want := keyOf("k1", fleet.Manager, 0, 1, 255)
	write(t, s, func(tx *Tx) error { return tx.AddKey(want) })
	assert.Equal(t, &want, keyByHash(t, s, 0, 1, 255))
	assert.Nil(t, keyByHash(t, s, 0, 1, 254))
	write(t, s, func(tx *Tx) error { return tx.UseKey("k1", noon) })
	assert.Equal(t, noon, *keyByHash(t, s, 0, 1, 255).LastUsedAt)
}

func TestKey_ThatHasEndedIsListedAndOpensNothing(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	newer, older, ended := keyOf("a", fleet.Operator, 1), keyOf("b", fleet.Promoter, 2), noon.Add(time.Hour)
	older.CreatedAt = noon.Add(-time.Hour)
	write(t, s, func(tx *Tx) error { return tx.AddKey(newer) })
	write(t, s, func(tx *Tx) error { return tx.AddKey(older) })
	write(t, s, func(tx *Tx) error { return tx.EndKey("b", ended) })
	assert.Nil(t, keyByHash(t, s, 2))
	assert.NotNil(t, keyByHash(t, s, 1))
	older.EndedAt = &ended
	read(t, s, func(r *Reads) error {
		keys, err := r.Keys()
		assert.Equal(t, []Key{older, newer}, keys, "oldest first")
		return err
	})
	read(t, s, func(r *Reads) error {
		key, err := r.Key("b")
		assert.Equal(t, older, key)
		_, none := r.Key("c")
		assert.Equal(t, fleet.NotFound, kindOf(t, none))
		return err
	})
}

func TestKey_CountsAsAManagersWhileItIsValid(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	live := func() (n int) {
		read(t, s, func(r *Reads) error {
			any, err := r.AnyKey()
			if err != nil {
				return err
			}
			n, err = r.LiveManagerKeys()
			assert.Equal(t, n > 0, any)
			return err
		})
		return n
	}
	assert.Zero(t, live())
	write(t, s, func(tx *Tx) error { return tx.AddKey(keyOf("a", fleet.Operator, 1)) })
	assert.Zero(t, live(), "an operator can make no key")
	write(t, s, func(tx *Tx) error { return tx.AddKey(keyOf("b", fleet.Manager, 2)) })
	write(t, s, func(tx *Tx) error { return tx.AddKey(keyOf("c", fleet.Manager, 3)) })
	assert.Equal(t, 2, live())
	for _, id := range []string{"b", "c"} {
		write(t, s, func(tx *Tx) error { return tx.EndKey(id, noon) })
	}
	assert.Zero(t, live())
}
