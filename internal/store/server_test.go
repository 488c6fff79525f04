package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gorm.io/gorm"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

func TestServer_ReadSeesAWriteThroughAnotherStore(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	one, other := openAt(t, db), openAt(t, db)
	assert.Equal(t, one.KeySalt(), other.KeySalt())
	for n, writer := range []*Store{one, other, other, one} {
		id := fmt.Sprintf("sled-%d", n)
		write(t, writer, func(tx *Tx) error { return tx.AddSled(sledOf(id, "A")) })
		for _, s := range []*Store{one, other} {
			assert.EqualValues(t, n+1, revisionOf(t, s))
			read(t, s, func(r *Reads) error {
				_, err := r.Sled(id)
				return err
			})
		}
	}
	write(t, one, func(tx *Tx) error { return tx.AddKey(Key{Hash: []byte("h")}) })
	assert.EqualValues(t, 4, revisionOf(t, other), "a key is not of the fleet")
	err := other.Write(context.Background(), func(tx *Tx) error { return tx.AddSled(sledOf("sled-0", "A")) })
	assert.Equal(t, fleet.Conflict, kindOf(t, err))
	assert.EqualValues(t, 4, revisionOf(t, one))
}

func TestServer_LosesNoUpdateOfTwoStores(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	stores := []*Store{openAt(t, db), openAt(t, db)}
	write(t, stores[0], func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	const writers, each = 8, 25
	var wg sync.WaitGroup
	for n := range writers {
		wg.Go(func() {
			for range each {
				assert.NoError(t, stores[n%2].Write(context.Background(), func(tx *Tx) error {
					sled, err := tx.Sled("bluestem")
					if err != nil {
						return err
					}
					sled.Revision++
					return tx.ReplaceSled(sled)
				}))
			}
		})
	}
	wg.Wait()
	for _, s := range stores {
		assert.EqualValues(t, 1+writers*each, revisionOf(t, s), "every write is counted")
		read(t, s, func(r *Reads) error {
			sled, err := r.Sled("bluestem")
			assert.EqualValues(t, 1+writers*each, sled.Revision,
				"no write was made of what another had changed meanwhile")
			return err
		})
	}
}

// A view stays what it is while others write, and cannot write itself.
func TestServer_ReadIsOneView(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	s, other := openAt(t, db), openAt(t, db)
	read(t, s, func(r *Reads) error {
		_, before, err := r.Touched(0)
		require.NoError(t, err)
		write(t, other, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
		ids, after, err := r.Touched(0)
		assert.Empty(t, ids)
		assert.Equal(t, before, after)
		return err
	})
	err := s.Read(context.Background(), func(r *Reads) error { return r.db.Exec("DELETE FROM touched").Error })
	assert.Equal(t, fleet.Unavailable, kindOf(t, err))
	assert.EqualValues(t, 1, revisionOf(t, s))
}

func TestServer_LosesNothingAcknowledgedWhenKilled(t *testing.T) {
	t.Parallel()
	v := storetest.Postgres(t)
	db := v.URL(t)
	stores := []*Store{openAt(t, db), openAt(t, db)}
	write(t, stores[0], func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A", "B")) })
	var mu sync.Mutex
	acknowledged := map[string]bool{}
	for round := range 3 {
		var wg sync.WaitGroup
		begun := make(chan struct{}, 1000)
		for n := range 4 {
			wg.Go(func() {
				for i := 0; ; i++ {
					id := fmt.Sprintf("sled-%d-%d-%06d", round, n, i)
					err := stores[n%2].Write(context.Background(), func(tx *Tx) error {
						return tx.AddSled(sledOf(id, "A", "B"))
					})
					if err != nil {
						assert.Equal(t, fleet.Unavailable, kindOf(t, err), "%v", err)
						return
					}
					mu.Lock()
					acknowledged[id] = true
					mu.Unlock()
					select {
					case begun <- struct{}{}:
					default:
					}
				}
			})
		}
		for range 40 {
			<-begun
		}
		v.Kill(t)
		wg.Wait()
		for _, s := range stores {
			_, err := s.Revision(context.Background())
			assert.Equal(t, fleet.Unavailable, kindOf(t, err))
			assert.Equal(t, fleet.Unavailable, kindOf(t, s.Ping(context.Background())))
			err = s.Write(context.Background(), func(tx *Tx) error { return tx.AddSled(sledOf("none", "A")) })
			assert.Equal(t, fleet.Unavailable, kindOf(t, err))
		}
		v.Start(t)
		for _, s := range stores { // the same stores, and at the first attempt
			revision := revisionOf(t, s)
			read(t, s, func(r *Reads) error {
				ids, _, err := r.Touched(0)
				require.NoError(t, err)
				assert.EqualValues(t, revision, len(ids), "each write moved the revision by one")
				notes, err := r.Load(ids)
				assert.Len(t, notes, len(ids))
				for _, n := range notes {
					assert.Len(t, n.Sled.Gears, 2, "no sled is half there")
				}
				assert.Subset(t, ids, keysOf(acknowledged))
				return err
			})
			back := fmt.Sprintf("back-%d-%p", round, s)
			write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf(back, "A", "B")) })
			acknowledged[back] = true
		}
	}
}

func keysOf(m map[string]bool) (keys []string) {
	for k := range m {
		keys = append(keys, k)
	}
	return keys
}

// Connections that died while nobody used them are replaced before anything is sent on them, in one attempt.
func TestServer_IsFoundAgainAfterItsConnectionsEnd(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	s := openAt(t, db)
	keeper, err := pgx.Connect(context.Background(), db)
	require.NoError(t, err)
	defer keeper.Close(context.Background())
	for n := range 8 {
		// pg_terminate_backend waits for them to be gone: 5 s at most.
		_, err := keeper.Exec(context.Background(), "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity "+
			"WHERE datname = current_database() AND application_name = 'evenpull'")
		require.NoError(t, err)
		write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf(fmt.Sprintf("sled-%d", n), "A")) })
		assert.EqualValues(t, n+1, revisionOf(t, s))
	}
}

func TestServer_ConnectionsAreSetForSafety(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ given, setting, want string }{
		{"", "lock_timeout", "8s"},
		{"", "idle_in_transaction_session_timeout", "1min"},
		{"", "application_name", "evenpull"},
		{"&application_name=north", "application_name", "north"},
		{"&synchronous_commit=off", "synchronous_commit", "on"}, // what is acknowledged is on the disk
		{"&synchronous_commit=remote_apply", "synchronous_commit", "remote_apply"},
	} {
		s := openAt(t, storetest.URL(t)+c.given)
		for _, db := range []*gorm.DB{s.writer, s.reader} {
			var got string
			require.NoError(t, db.Raw("SHOW "+c.setting).Scan(&got).Error)
			assert.Equal(t, c.want, got, "%s%s", c.setting, c.given)
		}
	}
}

func TestServer_DropsAWriterThatFallsSilent(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	impatient := openAt(t, db+"&idle_in_transaction_session_timeout=200")
	patient := openAt(t, db)
	inside, leave := make(chan struct{}), make(chan struct{})
	var wg sync.WaitGroup
	var silent error
	wg.Go(func() {
		silent = impatient.Write(context.Background(), func(tx *Tx) error {
			close(inside)
			<-leave
			return tx.AddSled(sledOf("fescue", "A"))
		})
	})
	<-inside
	write(t, patient, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	close(leave)
	wg.Wait()
	assert.Equal(t, fleet.Unavailable, kindOf(t, silent))
	read(t, patient, func(r *Reads) error {
		ids, _, err := r.Touched(0)
		assert.Equal(t, []string{"bluestem"}, ids)
		return err
	})
}

func TestServer_WriteWaitsNoLongerThanItsLimit(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	one, other := openAt(t, db), openAt(t, db+"&lock_timeout=50")
	write(t, one, func(tx *Tx) error {
		err := other.Write(context.Background(), func(*Tx) error { return errors.New("must not begin") })
		assert.Equal(t, fleet.Unavailable, kindOf(t, err))
		return tx.AddSled(sledOf("bluestem", "A"))
	})
	write(t, other, func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "A")) })
}

// Ids and dates come in the order of their bytes whatever language the database is set to.
func TestServer_SortsTextByItsBytes(t *testing.T) {
	t.Parallel()
	s := openAt(t, storetest.URL(t))
	ids := []string{"a-b", "a1", "ab", "az", "aé", "b"} // a language has é between b and z
	write(t, s, func(tx *Tx) error {
		for _, id := range []string{"b", "aé", "az", "a-b", "ab", "a1"} {
			if err := tx.AddSled(sledOf(id, "A")); err != nil {
				return err
			}
		}
		return nil
	})
	read(t, s, func(r *Reads) error {
		var got []string
		for after, more := "", true; more; more = after != "" {
			page, next, err := r.Sleds(after, 2)
			require.NoError(t, err)
			for _, sled := range page {
				got = append(got, sled.ID)
			}
			after = next
		}
		assert.Equal(t, ids, got)
		return nil
	})
}

func connectRaw(t testing.TB, db string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), db)
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}
