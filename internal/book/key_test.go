package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store"
)

func TestTheFirstKeyIsMadeOnce(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	key, err := b.FirstKey(ctx)
	require.NoError(t, err)
	require.Regexp(t, "^evenpull-[a-z2-7]{52}$", key) // 52 × 5 bits hold 256
	again, err := b.FirstKey(ctx)
	require.NoError(t, err)
	assert.Empty(t, again)

	role, ok, err := b.KnowsKey(ctx, key)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "manager", role)
	for _, wrong := range []string{"", "evenpull-", key[:len(key)-1], key + "a", "x" + key} {
		_, ok, err := b.KnowsKey(ctx, wrong)
		require.NoError(t, err)
		assert.False(t, ok, wrong)
	}
	used := func() time.Time {
		var k *store.Key
		require.NoError(t, b.store.Read(ctx, func(r *store.Reads) (err error) { k, err = r.KeyByHash(b.hash(key)); return err }))
		assert.NotContains(t, string(k.Hash), key, "the key itself is nowhere")
		return *k.LastUsedAt
	}
	assert.Equal(t, noon, used())
	clock.now = noon.Add(59 * time.Minute)
	_, _, err = b.KnowsKey(ctx, key)
	require.NoError(t, err)
	assert.Equal(t, noon, used(), "noted once an hour")
	clock.now = noon.Add(time.Hour)
	_, _, err = b.KnowsKey(ctx, key)
	require.NoError(t, err)
	assert.Equal(t, clock.now, used())
	other, _ := openBook(t)
	_, ok, err = other.KnowsKey(ctx, key)
	require.NoError(t, err)
	assert.False(t, ok, "a key of another database")
	assert.NotEqual(t, b.hash(key), other.hash(key), "each database has a salt of its own")
}
