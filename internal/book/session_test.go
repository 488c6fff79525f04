package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

func signIn(t testing.TB, b *Book, who fleet.Actor, fingerprint []byte) (token string, expires time.Time) {
	t.Helper()
	require.NoError(t, b.Write(context.Background(), who, func(w *Writer) (err error) {
		token, expires, err = w.OpenSession(who, fingerprint)
		return err
	}))
	return token, expires
}

func signedIn(t testing.TB, b *Book, token string, fingerprint []byte) (fleet.Actor, bool) {
	t.Helper()
	who, _, ok, err := b.Session(context.Background(), token, fingerprint)
	require.NoError(t, err)
	return who, ok
}

func TestSession_LastsThirtyDays(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	_, key := addKey(t, b, "Gate", fleet.Operator)
	gate, _ := knows(t, b, key)
	token, expires := signIn(t, b, gate, nil)
	require.Regexp(t, "^[a-z2-7]{52}$", token) // 52 × 5 bits hold 256
	assert.Equal(t, noon.AddDate(0, 0, 30), expires)
	who, until, ok, err := b.Session(context.Background(), token, []byte("whatever"))
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, gate, who)
	assert.Equal(t, expires, until)
	for _, wrong := range []string{"", token[1:], token + "a", key} {
		_, ok := signedIn(t, b, wrong, nil)
		assert.False(t, ok, wrong)
	}
	_, ok = knows(t, b, token)
	assert.False(t, ok, "a token is no key")
	other, _ := signIn(t, b, gate, nil)
	assert.NotEqual(t, token, other)

	clock.now = expires.Add(-time.Microsecond)
	_, ok = signedIn(t, b, token, nil)
	assert.True(t, ok)
	keys, err := b.Keys(context.Background())
	require.NoError(t, err)
	assert.Equal(t, clock.now, *keys[0].LastUsedAt, "whoever is signed in uses the key")
	clock.now = expires
	_, ok = signedIn(t, b, token, nil)
	assert.False(t, ok)
}

func TestSession_IsStoredAsAHashAndRemovedWhenOver(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	_, key := addKey(t, b, "Gate", fleet.Operator)
	gate, _ := knows(t, b, key)
	token, expires := signIn(t, b, gate, nil)
	stored := func() (found *store.Session) {
		require.NoError(t, b.store.Read(context.Background(), func(r *store.Reads) (err error) {
			found, err = r.SessionByHash(b.hash(token))
			return err
		}))
		return found
	}
	assert.NotContains(t, string(stored().Hash), token)
	clock.now = expires
	signIn(t, b, gate, nil)
	assert.Nil(t, stored())
}

func TestSession_SigningOutEndsOne(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	_, key := addKey(t, b, "Gate", fleet.Operator)
	gate, _ := knows(t, b, key)
	phone, _ := signIn(t, b, gate, nil)
	desk, _ := signIn(t, b, gate, nil)
	ctx := context.Background()
	require.NoError(t, b.EndSession(ctx, phone))
	require.NoError(t, b.EndSession(ctx, phone), "twice")
	require.NoError(t, b.EndSession(ctx, "made up"))
	_, ok := signedIn(t, b, phone, nil)
	assert.False(t, ok)
	_, ok = signedIn(t, b, desk, nil)
	assert.True(t, ok)
}

func TestSession_EndsWithItsKey(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	_, key := addKey(t, b, "Gate", fleet.Operator)
	gate, _ := knows(t, b, key)
	_, key = addKey(t, b, "Office", fleet.Manager)
	office, _ := knows(t, b, key)
	gates, _ := signIn(t, b, gate, nil)
	offices, _ := signIn(t, b, office, nil)
	write(t, b, func(w *Writer) error { return w.EndKey(gate.KeyID, false) })
	_, ok := signedIn(t, b, gates, nil)
	assert.False(t, ok)
	_, ok = signedIn(t, b, offices, nil)
	assert.True(t, ok)
	for _, who := range []fleet.Actor{gate, {KeyID: "never-was", Name: "Gate", Role: fleet.Operator}} {
		refused(t, b, func(w *Writer) error { _, _, err := w.OpenSession(who, nil); return err })
	}
}

// The row of a session is gone with its key; were it not, it would open nothing.
func TestSession_WhoseKeyHasEndedIsNotValid(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	made, key := addKey(t, b, "Gate", fleet.Operator)
	gate, _ := knows(t, b, key)
	token, _ := signIn(t, b, gate, nil)
	require.NoError(t, b.store.Write(context.Background(), func(tx *store.Tx) error {
		return tx.EndKey(made.ID, noon)
	}))
	_, ok := signedIn(t, b, token, nil)
	assert.False(t, ok)
}

func TestSession_OfTheKeySetFromOutsideEndsWithIt(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	one, two := b.SlowHash("one-manager-key-of-some-length"), b.SlowHash("another-manager-key-of-some-length")
	token, _ := signIn(t, b, fleet.TheSetKey(), one)
	who, ok := signedIn(t, b, token, one)
	assert.True(t, ok)
	assert.Equal(t, fleet.TheSetKey(), who)
	for name, now := range map[string][]byte{"another key": two, "no key": nil, "a part": one[:31], "empty": {}} {
		_, ok := signedIn(t, b, token, now)
		assert.False(t, ok, name)
	}
	for _, none := range [][]byte{nil, {}} {
		assert.Error(t, b.Write(context.Background(), manager, func(w *Writer) error {
			_, _, err := w.OpenSession(fleet.TheSetKey(), none)
			return err
		}))
	}
}
