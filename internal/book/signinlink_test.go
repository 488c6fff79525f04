package book

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

func newLink(t testing.TB, b *Book, key string) (secret string, expires time.Time) {
	t.Helper()
	require.NoError(t, b.Write(context.Background(), fleet.TheSetKey(), func(w *Writer) (err error) {
		secret, expires, err = w.NewSignInLink(key)
		return err
	}))
	return secret, expires
}

// spend spends a link, which must be known before just as it is good for something.
func spend(t testing.TB, b *Book, secret string) (who fleet.Actor, ok bool) {
	t.Helper()
	before, known, err := b.KnowsSignInLink(context.Background(), secret)
	require.NoError(t, err)
	require.NoError(t, b.Write(context.Background(), fleet.TheProgram(), func(w *Writer) (err error) {
		who, ok, err = w.SpendSignInLink(secret)
		return err
	}))
	assert.Equal(t, before, who)
	assert.Equal(t, known, ok)
	return who, ok
}

func TestSignInLink_SignsInOnceAsItsKey(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	gate, _ := addKey(t, b, "Gate", fleet.Operator)
	office, _ := addKey(t, b, "Office", fleet.Promoter)
	link, expires := newLink(t, b, gate.ID)
	assert.Equal(t, noon.Add(10*time.Minute), expires)
	require.Regexp(t, `^[a-z2-7]{52}\.`+gate.ID+"$", link) // 52 × 5 bits hold 256
	others, _ := newLink(t, b, office.ID)
	token, _, _ := strings.Cut(link, ".")
	for _, wrong := range []string{"", ".", gate.ID, "." + gate.ID, link[1:], link + "a", "x" + link, token,
		token + "." + office.ID, token[:51] + "." + gate.ID} {
		_, ok := spend(t, b, wrong)
		assert.False(t, ok, wrong)
	}
	_, ok := knows(t, b, link)
	assert.False(t, ok, "it is no key")
	_, ok = signedIn(t, b, link, nil)
	assert.False(t, ok, "nor a session")

	who, ok := spend(t, b, link)
	assert.True(t, ok)
	assert.Equal(t, fleet.Actor{KeyID: gate.ID, Name: "Gate", Role: fleet.Operator}, who)
	_, ok = spend(t, b, link)
	assert.False(t, ok, "once")
	who, ok = spend(t, b, others)
	assert.True(t, ok, "that of another key is as it was")
	assert.Equal(t, fleet.Promoter, who.Role)
}

func TestSignInLink_EndsByTimeByItsKeyAndByTheNextOne(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	gate, _ := addKey(t, b, "Gate", fleet.Operator)
	link, expires := newLink(t, b, gate.ID)
	clock.now = expires
	_, ok := spend(t, b, link)
	assert.False(t, ok, "its time is over")
	clock.now = expires.Add(-time.Microsecond)
	_, ok = spend(t, b, link)
	assert.True(t, ok, "a refused one is not spent")

	first, _ := newLink(t, b, gate.ID)
	next, _ := newLink(t, b, gate.ID)
	_, ok = spend(t, b, first)
	assert.False(t, ok, "another has taken its place")
	require.NoError(t, b.Write(context.Background(), fleet.TheSetKey(), func(w *Writer) error {
		return w.EndKey(gate.ID, true)
	}))
	_, ok = spend(t, b, next)
	assert.False(t, ok, "its key has ended")
	for id, kind := range map[string]fleet.Kind{gate.ID: fleet.Conflict, "nobody": fleet.NotFound} {
		err := b.Write(context.Background(), fleet.TheSetKey(), func(w *Writer) error {
			_, _, err := w.NewSignInLink(id)
			return err
		})
		assert.True(t, isKind(err, kind), id)
	}
}

func TestSignInLink_IsStoredAsAHashAndRemovedWhenOver(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	gate, _ := addKey(t, b, "Gate", fleet.Operator)
	office, _ := addKey(t, b, "Office", fleet.Operator)
	link, expires := newLink(t, b, gate.ID)
	stored := func(key string) (found *store.SignInLink) {
		require.NoError(t, b.store.Read(context.Background(), func(r *store.Reads) (err error) {
			found, err = r.SignInLinkOf(key)
			return err
		}))
		return found
	}
	want := &store.SignInLink{KeyID: gate.ID, Hash: b.hash(link), CreatedAt: noon, ExpiresAt: expires}
	assert.Equal(t, want, stored(gate.ID))
	clock.now = expires
	newLink(t, b, office.ID)
	assert.Nil(t, stored(gate.ID), "swept")
	assert.NotNil(t, stored(office.ID))
}
