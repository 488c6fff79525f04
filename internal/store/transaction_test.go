package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/mattn/go-sqlite3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

func revisionOf(t testing.TB, s *Store) int64 {
	t.Helper()
	revision, err := s.Revision(context.Background())
	require.NoError(t, err)
	return revision
}

func kindOf(t testing.TB, err error) fleet.Kind {
	t.Helper()
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	return e.Kind
}

func TestWrite_HappensAsAWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	stop := errors.New("stop")
	assert.ErrorIs(t, s.Write(context.Background(), func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		return stop
	}), stop)
	assert.PanicsWithValue(t, "stop", func() {
		s.Write(context.Background(), func(tx *Tx) error {
			require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
			panic("stop")
		})
	})
	ctx, cancel := context.WithCancel(context.Background())
	assert.ErrorIs(t, s.Write(ctx, func(tx *Tx) error {
		require.NoError(t, tx.AddSled(sledOf("bluestem", "A")))
		cancel()
		return ctx.Err()
	}), context.Canceled)
	assert.Zero(t, revisionOf(t, s))
	read(t, s, func(r *Reads) error {
		found, err := r.HasFleet()
		assert.False(t, found)
		return err
	})
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) }) // the connection is whole
	assert.EqualValues(t, 1, revisionOf(t, s))
}

func TestRevision_MovesOnceForAWriteThatTouchesASled(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	bluestem, fescue := sledOf("bluestem", "A"), sledOf("fescue", "1")
	touched := func(after int64) (ids []string, revision int64) {
		read(t, s, func(r *Reads) (err error) {
			ids, revision, err = r.Touched(after)
			return err
		})
		return ids, revision
	}
	write(t, s, func(tx *Tx) error { return errors.Join(tx.AddSled(bluestem), tx.AddSled(fescue)) })
	assert.EqualValues(t, 1, revisionOf(t, s))
	write(t, s, func(tx *Tx) error {
		return tx.AddKey(Key{Key: fleet.Key{ID: "k", CreatedAt: noon}, Hash: []byte("h")})
	})
	assert.EqualValues(t, 1, revisionOf(t, s), "a key is not of the fleet")
	write(t, s, func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{readingOf(fescue, 0, 1)}) })
	ids, revision := touched(1)
	assert.Equal(t, []string{"fescue"}, ids)
	assert.EqualValues(t, 2, revision)
	write(t, s, func(tx *Tx) error { return tx.DeleteSled("bluestem") })
	ids, revision = touched(2)
	assert.Equal(t, []string{"bluestem"}, ids, "a sled that is gone is seen to be gone")
	assert.EqualValues(t, 3, revision)
	ids, _ = touched(0)
	assert.Equal(t, []string{"bluestem", "fescue"}, ids)
	read(t, s, func(r *Reads) error {
		notes, err := r.Load(ids)
		require.Len(t, notes, 1)
		assert.Equal(t, "fescue", notes[0].Sled.ID)
		return err
	})
}

func TestWrite_StopsWaitingWithItsContext(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	inside, leave := make(chan struct{}), make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		s.Write(context.Background(), func(tx *Tx) error {
			close(inside)
			<-leave
			return nil
		})
	})
	<-inside
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	err := s.Write(ctx, func(tx *Tx) error { return errors.New("must not begin") })
	assert.ErrorIs(t, err, context.DeadlineExceeded)
	require.NoError(t, s.Ping(context.Background()), "a reader waits for no writer")
	close(leave)
	wg.Wait()
}

func TestRead_SeesWholeWritesOnly(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	ctx, stop := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for ctx.Err() == nil {
				err := s.Read(context.Background(), func(r *Reads) error {
					_, revision, err := r.Touched(0)
					if err != nil {
						return err
					}
					notes, err := r.Load([]string{"bluestem"})
					if err != nil {
						return err
					}
					// Revision 1 has no readings; each write after it adds ten.
					if want := 10 * int(revision-1); len(notes[0].Readings) != want {
						return fmt.Errorf("%d readings at revision %d, not %d", len(notes[0].Readings), revision, want)
					}
					return nil
				})
				assert.NoError(t, err)
			}
		})
	}
	for n := range 40 {
		write(t, s, func(tx *Tx) error {
			for i := range 10 {
				if err := tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 10*n+i)}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	stop()
	wg.Wait()
}

func TestWrite_OnAFullDiskChangesNothing(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error {
		return errors.Join(tx.AddSled(sled), tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 0)}))
	})
	var pages int
	require.NoError(t, s.writer.Raw("PRAGMA page_count").Scan(&pages).Error)
	require.NoError(t, s.writer.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+2)).Error)
	many := make([]fleet.Reading, 5000)
	for i := range many {
		many[i] = readingOf(sled, 0, i+1)
	}
	err := s.Write(context.Background(), func(tx *Tx) error { return tx.AddReadings(many) })
	assert.Equal(t, fleet.Full, kindOf(t, err))
	assert.EqualValues(t, 1, revisionOf(t, s))
	read(t, s, func(r *Reads) error {
		readings, _, err := r.Readings("bluestem", "", 100)
		assert.Len(t, readings, 1)
		return err
	})
	require.NoError(t, s.writer.Exec("PRAGMA max_page_count = 1073741823").Error)
	write(t, s, func(tx *Tx) error { return tx.AddReadings(many) })
	assert.EqualValues(t, 2, revisionOf(t, s))
}

func TestStore_ThatIsClosedSaysSo(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	require.NoError(t, s.Close())
	ctx := context.Background()
	assert.Equal(t, fleet.Unavailable, kindOf(t, s.Ping(ctx)))
	assert.Equal(t, fleet.Unavailable, kindOf(t, s.Write(ctx, func(*Tx) error { return nil })))
	_, err := s.Revision(ctx)
	assert.Equal(t, fleet.Unavailable, kindOf(t, err))
}

func TestStore_ErrorsAreExplained(t *testing.T) {
	t.Parallel()
	for says, want := range map[error]fleet.Kind{
		sqlite3.Error{Code: sqlite3.ErrFull}:     fleet.Full,
		sqlite3.Error{Code: sqlite3.ErrReadonly}: fleet.Unavailable,
		sqlite3.Error{Code: sqlite3.ErrIoErr}:    fleet.Unavailable,
		sqlite3.Error{Code: sqlite3.ErrBusy}:     fleet.Unavailable,
		sqlite3.Error{Code: sqlite3.ErrCantOpen}: fleet.Unavailable,
		sqlite3.Error{Code: sqlite3.ErrCorrupt}:  fleet.Unavailable,
		errors.New("sql: database is closed"):    fleet.Unavailable,
	} {
		err := explain(fmt.Errorf("storing readings: %w", says))
		assert.Equal(t, want, kindOf(t, err), says.Error())
		assert.ErrorIs(t, err, says, "the log gets the cause")
	}
	assert.NoError(t, explain(nil))
	assert.Equal(t, context.Canceled, explain(context.Canceled))
	other := errors.New("something else")
	assert.Equal(t, other, explain(other))
}
