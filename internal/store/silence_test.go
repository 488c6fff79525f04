package store

import (
	"context"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/stdlib"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

// A server is stopped under whoever uses it, with its connections open. Everybody is told, by the limit that the
// context would only keep much later, and once it goes on so does everything else.
func TestServer_ThatIsSilentIsUnavailable(t *testing.T) {
	t.Parallel()
	v := storetest.Postgres(t, storetest.WithoutFsync)
	s := openAt(t, v.URL(t))
	s.server.mostSilence = 500 * time.Millisecond
	add := func(ctx context.Context, id string) error {
		return s.Write(ctx, func(tx *Tx) error { return tx.AddSled(sledOf(id, "A")) })
	}
	require.NoError(t, add(context.Background(), "bluestem"))
	goOn := v.Stop(t)
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	var all sync.WaitGroup
	for n := range 30 { // more than there are connections
		all.Go(func() { assert.Equal(t, fleet.Unavailable, kindOf(t, s.Ping(ctx))) })
		all.Go(func() {
			_, err := s.Revision(ctx)
			assert.Equal(t, fleet.Unavailable, kindOf(t, err))
		})
		all.Go(func() {
			err := add(ctx, "sled"+string(rune('a'+n)))
			assert.Equal(t, fleet.Unavailable, kindOf(t, err))
		})
	}
	all.Wait()
	require.NoError(t, ctx.Err(), "it was waited for as long as anybody would")
	goOn()
	require.Eventually(t, func() bool { return s.Ping(context.Background()) == nil }, 30*time.Second,
		10*time.Millisecond)
	require.NoError(t, add(context.Background(), "fescue"))
	assert.EqualValues(t, 2, revisionOf(t, s), "nothing of what was refused is stored")
}

// A connection that was given up, as one of a server that fell silent, is closed already.
func TestStore_ClosesBesideAConnectionThatWasGivenUp(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	s, err := Open(ctx, storetest.Postgres(t, storetest.WithoutFsync).URL(t), Options{})
	require.NoError(t, err)
	pool, err := s.reader.DB()
	require.NoError(t, err)
	conn, err := pool.Conn(ctx)
	require.NoError(t, err)
	require.NoError(t, conn.Raw(func(driver any) error {
		return driver.(*stdlib.Conn).Conn().PgConn().Conn().Close()
	}))
	require.NoError(t, conn.Close(), "it goes back to the others")
	assert.NoError(t, s.Close())
}
