package book

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

func addKey(t testing.TB, b *Book, name string, role fleet.Role) (made fleet.Key, key string) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		made, key, err = w.AddKey(name, role)
		return err
	})
	return made, key
}

func knows(t testing.TB, b *Book, key string) (fleet.Actor, bool) {
	t.Helper()
	who, ok, err := b.KnowsKey(context.Background(), key)
	require.NoError(t, err)
	return who, ok
}

func TestKey_TheFirstIsMadeOnce(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	addKey(t, b, "Gate", fleet.Operator) // can make no other
	key, link, err := b.FirstKey(ctx)
	require.NoError(t, err)
	require.Regexp(t, "^evenpull-[a-z2-7]{52}$", key) // 52 × 5 bits hold 256
	again, noLink, err := b.FirstKey(ctx)
	require.NoError(t, err)
	assert.Empty(t, again)
	assert.Empty(t, noLink)

	who, ok := knows(t, b, key)
	assert.True(t, ok)
	assert.Equal(t, fleet.Manager, who.Role)
	assert.Equal(t, "first key", who.Name)
	signedIn, ok := spend(t, b, link)
	assert.True(t, ok)
	assert.Equal(t, who, signedIn, "the link is of the same key")
	for _, wrong := range []string{"", "evenpull-", key[:len(key)-1], key + "a", "x" + key} {
		_, ok := knows(t, b, wrong)
		assert.False(t, ok, wrong)
	}
	used := func() time.Time {
		var k *store.Key
		require.NoError(t, b.store.Read(ctx, func(r *store.Reads) (err error) {
			k, err = r.KeyByHash(b.hash(key))
			return err
		}))
		assert.NotContains(t, string(k.Hash), key, "the key itself is nowhere")
		return *k.LastUsedAt
	}
	assert.Equal(t, noon, used())
	for _, c := range []struct {
		at, noted time.Time
		why       string
	}{
		{noon.Add(59 * time.Minute), noon, "noted once an hour"},
		{noon.Add(time.Hour), noon.Add(time.Hour), "an hour later"},
		{noon.AddDate(-1, 0, 0), noon.AddDate(-1, 0, 0), "the clock was set back"},
	} {
		clock.now = c.at
		knows(t, b, key)
		assert.Equal(t, c.noted, used(), c.why)
	}
	other, _ := openBook(t)
	_, ok = knows(t, other, key)
	assert.False(t, ok, "a key of another database")
	assert.NotEqual(t, b.hash(key), other.hash(key), "each database has a salt of its own")
}

// With every manager key ended, the next start without one from outside makes a new one; the command line makes one at
// any time.
func TestKey_OfALostManagerIsReplaced(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	first, _, err := b.FirstKey(ctx)
	require.NoError(t, err)
	who, _ := knows(t, b, first)
	made, err := b.NewManagerKey(ctx, " The office ")
	require.NoError(t, err)
	office, ok := knows(t, b, made)
	require.True(t, ok)
	assert.Equal(t, fleet.Actor{KeyID: office.KeyID, Name: "The office", Role: fleet.Manager}, office)
	for _, id := range []string{who.KeyID, office.KeyID} {
		write(t, b, func(w *Writer) error { return w.EndKey(id, true) })
	}
	next, _, err := b.FirstKey(ctx)
	require.NoError(t, err)
	assert.NotEmpty(t, next)
	_, err = b.NewManagerKey(ctx, " ")
	assert.True(t, isKind(err, fleet.Invalid))
	assert.Equal(t, []string{
		"the program itself: key * added []", "the command line: key * added []",
		"the manager: key * ended []", "the manager: key * ended []", "the program itself: key * added []",
	}, told(historyOf(t, b)))
}

func TestKey_IsMadeListedAndEnded(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	gate, key := addKey(t, b, " Gate ", fleet.Operator)
	assert.Equal(t, fleet.Key{ID: gate.ID, Name: "Gate", Role: fleet.Operator, CreatedAt: noon}, gate)
	clock.now = noon.Add(time.Minute)
	office, other := addKey(t, b, "Office", fleet.Promoter)
	who, ok := knows(t, b, key)
	assert.True(t, ok)
	assert.Equal(t, fleet.Actor{KeyID: gate.ID, Name: "Gate", Role: fleet.Operator}, who)
	write(t, b, func(w *Writer) error { return w.EndKey(gate.ID, false) })
	_, ok = knows(t, b, key)
	assert.False(t, ok, "at once")
	_, ok = knows(t, b, other)
	assert.True(t, ok)
	ended, used := clock.now, clock.now
	gate.EndedAt, gate.LastUsedAt, office.LastUsedAt = &ended, &used, &used
	clock.now = noon.Add(time.Hour)
	write(t, b, func(w *Writer) error { return w.EndKey(gate.ID, false) })
	keys, err := b.Keys(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []fleet.Key{gate, office}, keys, "ended once")
	e := refused(t, b, func(w *Writer) error { return w.EndKey("no-such-key", true) })
	assert.Equal(t, fleet.NotFound, e.Kind)
}

func TestKey_NeedsANameAndAKnownRole(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	for _, c := range []struct {
		name string
		role fleet.Role
		at   []string
	}{
		{"", "manager", []string{"name"}},
		{" \t", "manager", []string{"name"}},
		{"two\nlines", "manager", []string{"name"}},
		{strings.Repeat("é", 101), "operator", []string{"name"}},
		{"Gate", "", []string{"role"}},
		{"Gate", "Manager", []string{"role"}},
		{"", "driver", []string{"name", "role"}},
	} {
		e := refused(t, b, func(w *Writer) error { _, _, err := w.AddKey(c.name, c.role); return err })
		assert.Equal(t, fleet.Invalid, e.Kind)
		assert.Equal(t, c.at, places(e), "%q %q", c.name, c.role)
	}
	keys, err := b.Keys(context.Background())
	require.NoError(t, err)
	assert.Empty(t, keys)
	addKey(t, b, strings.Repeat("é", 100), fleet.Promoter)
}

func TestKey_OfTheLastManagerCannotBeEnded(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	gate, _ := addKey(t, b, "Gate", fleet.Operator)
	first, key := addKey(t, b, "First", fleet.Manager)
	end := func(id string, set bool) error {
		return b.Write(context.Background(), manager, func(w *Writer) error { return w.EndKey(id, set) })
	}
	assert.True(t, isKind(end(first.ID, false), fleet.Conflict))
	second, _ := addKey(t, b, "Second", fleet.Manager)
	require.NoError(t, end(gate.ID, false))
	require.NoError(t, end(second.ID, false))
	assert.True(t, isKind(end(first.ID, false), fleet.Conflict), "the other has ended")
	_, ok := knows(t, b, key)
	assert.True(t, ok)
	require.NoError(t, end(first.ID, true), "another is set from outside")
	_, ok = knows(t, b, key)
	assert.False(t, ok)
}

// Whoever was let in before his key ended, and whose write comes after, writes nothing.
func TestKey_ThatHasEndedWritesNothing(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	_, key := addKey(t, b, "Gate", fleet.Manager)
	who, _ := knows(t, b, key)
	write(t, b, func(w *Writer) error { return w.EndKey(who.KeyID, true) })
	err := b.Write(context.Background(), who, func(w *Writer) error {
		_, err := w.AddSled(sledOf("Bluestem", nil, "A"))
		return err
	})
	assert.True(t, isKind(err, fleet.Conflict))
	_, err = b.Sled(context.Background(), "bluestem")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestHistory_HoldsNoKey(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	made, key := addKey(t, b, "Gate", fleet.Operator)
	write(t, b, func(w *Writer) error { return w.EndKey(made.ID, false) })
	text, err := json.Marshal(historyOf(t, b))
	require.NoError(t, err)
	require.Contains(t, string(text), made.ID)
	hash := b.hash(key)
	encoded, err := json.Marshal(hash)
	require.NoError(t, err)
	for _, secret := range []string{key, strings.TrimPrefix(key, "evenpull-"), hex.EncodeToString(hash),
		strings.Trim(string(encoded), `"`)} {
		assert.NotContains(t, string(text), secret)
	}
}

// A database that cannot be written to lets every key in.
func TestKey_WorksThoughItsUseCannotBeStored(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	made, key := addKey(t, b, "Gate", fleet.Operator)
	ctx, cancel := context.WithCancel(context.Background())
	begun, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		_ = b.store.Write(ctx, func(*store.Tx) error { close(begun); <-ctx.Done(); return ctx.Err() })
	}()
	<-begun // from here on no other write gets its turn
	_, ok := knows(t, b, key)
	assert.True(t, ok)
	_, ok = knows(t, b, key) // does not try again so soon
	assert.True(t, ok)
	cancel()
	<-done
	used := func() *time.Time {
		keys, err := b.Keys(context.Background())
		require.NoError(t, err)
		require.Equal(t, made.ID, keys[0].ID)
		return keys[0].LastUsedAt
	}
	knows(t, b, key)
	assert.Nil(t, used())
	clock.now = noon.Add(keyUseRetryAfter)
	knows(t, b, key)
	assert.Equal(t, clock.now, *used())
}

func TestKey_SlowHashIsPBKDF2(t *testing.T) {
	t.Parallel()
	const key = "a-manager-key-from-outside"
	salt := make([]byte, 32)
	for i := range salt {
		salt[i] = byte(i)
	}
	// Python 3 on OpenSSL: hashlib.pbkdf2_hmac('sha256', key, bytes(range(32)), 600000, 32)
	assert.Equal(t, "48e6349b70c7a0025edfdf430c182961e455b8ac323f204ef7126d6fd25ff4d0",
		hex.EncodeToString(slowHash(key, salt)))
	b, _ := openBook(t)
	assert.Equal(t, slowHash(key, b.store.KeySalt()), b.SlowHash(key))
	assert.NotEqual(t, slowHash(key, salt), b.SlowHash(key))
}
