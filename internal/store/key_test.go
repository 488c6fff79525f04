package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestKeysAreFoundByTheirHash(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	var found bool
	read(t, s, func(r *Reads) (err error) { found, err = r.AnyKey(); return err })
	assert.False(t, found)
	want := &Key{ID: "k1", Name: "first key", Role: "manager", Hash: []byte{0, 1, 255}, CreatedAt: noon}
	write(t, s, func(tx *Tx) error { return tx.AddKey(*want) })
	find := func(hash ...byte) (k *Key) {
		read(t, s, func(r *Reads) (err error) { k, err = r.KeyByHash(hash); return err })
		return k
	}
	assert.Equal(t, want, find(0, 1, 255))
	assert.Nil(t, find(0, 1, 254))
	write(t, s, func(tx *Tx) error { return tx.UseKey("k1", noon) })
	assert.Equal(t, noon, *find(0, 1, 255).LastUsedAt)
	read(t, s, func(r *Reads) (err error) { found, err = r.AnyKey(); return err })
	assert.True(t, found)
}
