package store

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// putTogether lays a file and a log beside one another, as they were.
func putTogether(t *testing.T, file, log []byte) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "fleet.db")
	require.NoError(t, os.WriteFile(path, file, 0o600))
	require.NoError(t, os.WriteFile(path+"-wal", log, 0o600))
	return path
}

// now is the file and the log of a database in use.
func now(t *testing.T, s *Store) (file, log []byte) {
	t.Helper()
	file, err := os.ReadFile(s.path)
	require.NoError(t, err)
	log, err = os.ReadFile(s.path + "-wal")
	require.NoError(t, err)
	return file, log
}

func addSleds(t *testing.T, s *Store, prefix string, n int) {
	t.Helper()
	for i := range n {
		write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf(fmt.Sprintf("%s-%d", prefix, i), "A")) })
	}
}

func TestLog_IsItsFilesOwnHoweverMuchOfItIsInTheFile(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	addSleds(t, s, "first", 3)
	began, _ := now(t, s)
	all := []string{"first-0", "first-1", "first-2"}
	holds := func(what string, file, log []byte, want []string) {
		sleds, _ := stored(t, putTogether(t, file, log))
		assert.Equal(t, want, sleds, what)
	}
	file, log := now(t, s)
	holds("none", file, log, all)
	// holds on to what the log holds from here on
	require.NoError(t, s.Read(context.Background(), func(r *Reads) error {
		_, err := r.Sled("first-0")
		require.NoError(t, err)
		addSleds(t, s, "next", 2)
		require.NoError(t, s.writer.Exec("PRAGMA wal_checkpoint(PASSIVE)").Error)
		return nil
	}))
	all = append(all, "next-0", "next-1")
	file, log = now(t, s)
	require.NotEqual(t, began, file)
	holds("a part", file, log, all)
	require.NoError(t, s.writer.Exec("PRAGMA wal_checkpoint(PASSIVE)").Error)
	file, log = now(t, s)
	holds("all of it", file, log, all)
	addSleds(t, s, "then", 1)
	file, log = now(t, s)
	holds("and it has begun anew", file, log, append(all, "then-0"))
	_, err := Open(context.Background(), putTogether(t, began, log), Options{})
	assert.ErrorContains(t, err, "is the log of another database")
}

// Two go on from one file, as when somebody copies it by hand and tries something out. Neither's log is taken for the
// other's.
func TestLog_OfADuplicateIsAnothers(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	addSleds(t, s, "first", 3)
	require.NoError(t, s.Close())
	duplicate, err := os.ReadFile(s.path)
	require.NoError(t, err)
	one := openAt(t, s.path)
	two := openAt(t, putTogether(t, duplicate, nil))
	for _, s := range []*Store{one, two} {
		addSleds(t, s, "next", 2)
		require.NoError(t, s.writer.Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error)
		addSleds(t, s, "then", 2)
	}
	file, log := now(t, one)
	_, logOfTwo := now(t, two)
	sleds, _ := stored(t, putTogether(t, file, log))
	assert.Len(t, sleds, 7)
	path := putTogether(t, file, logOfTwo)
	before := folder(t, path)
	for what, open := range map[string]func() error{
		"a start":  func() error { _, err := Open(context.Background(), path, Options{}); return err },
		"a guest":  func() error { _, err := OpenReadOnly(context.Background(), path, Options{}); return err },
		"a check":  func() error { _, err := Check(context.Background(), path); return err },
		"a backup": func() error { return Backup(context.Background(), path, filepath.Join(t.TempDir(), "copy.db")) },
		"a restore from it": func() error {
			_, err := Restore(context.Background(), path, filepath.Join(t.TempDir(), "fleet.db"), noon)
			return err
		},
	} {
		assert.ErrorContains(t, open(), "is the log of another database, not of "+path, what)
		assert.Equal(t, before, folder(t, path), what)
	}
}

// A copy made at the moment from which the log goes on holds the same, on other pages.
func TestLog_IsNotThatOfACopyOfTheSameMoment(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	addSleds(t, s, "first", 3)
	require.NoError(t, s.writer.Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error)
	copied := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(context.Background(), copied))
	addSleds(t, s, "next", 2)
	file, log := now(t, s)
	sleds, _ := stored(t, putTogether(t, file, log))
	assert.Len(t, sleds, 5)
	moment, err := os.ReadFile(copied)
	require.NoError(t, err)
	require.Equal(t, fileHeader(file).stamp(), fileHeader(moment).stamp())
	_, err = Open(context.Background(), putTogether(t, moment, log), Options{})
	assert.ErrorContains(t, err, "is the log of another database")
}

// What SQLite does not read of a log, because it is damaged, tells nothing either.
func TestLog_IsJudgedAsFarAsItIsWhole(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	addSleds(t, s, "first", 3)
	require.NoError(t, s.writer.Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error)
	addSleds(t, s, "next", 2)
	file, log := now(t, s)
	const firstStamp = logHeader + frameHeader + 60
	for at := range firstStamp + 4 {
		damaged := bytes.Clone(log)
		damaged[at] ^= 0x10
		path := putTogether(t, file, damaged)
		own, err := ownLog(path)
		require.NoError(t, err)
		require.True(t, own, at)
	}
	damaged := bytes.Clone(log)
	damaged[firstStamp] ^= 0x10
	sleds, _ := stored(t, putTogether(t, file, damaged))
	assert.Equal(t, []string{"first-0", "first-1", "first-2"}, sleds)
	for _, length := range []int{1, logHeader - 1, logHeader, logHeader + frameHeader, firstStamp} {
		sleds, _ := stored(t, putTogether(t, file, log[:length]))
		assert.Len(t, sleds, 3, length)
	}
}

// What another program has written, and a version of this one that knew no stamp, is read.
func TestLog_WithoutAStampIsTakenForTheFilesOwn(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	addSleds(t, s, "first", 1)
	require.NoError(t, s.Close())
	db := openRaw(t, s.path)
	db.SetMaxOpenConns(1)
	run(t, db, "UPDATE sleds SET notes = 'by hand'")
	file, log := now(t, s)
	head, own, err := readLog(s.path+"-wal", fileHeader(file))
	require.NoError(t, err)
	assert.True(t, own)
	assert.NotZero(t, head)
	s = openAt(t, putTogether(t, file, log))
	read(t, s, func(r *Reads) error {
		sled, err := r.Sled("first-0")
		assert.Equal(t, "by hand", sled.Notes)
		return err
	})
}

// Guests look while the owner writes, folds the log into the file and begins it anew, all the time.
func TestLog_InUseIsNeverTakenForAnothers(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	require.NoError(t, s.writer.Exec("PRAGMA wal_autocheckpoint = 1").Error)
	looks := 1500
	if testing.Short() {
		looks = 300
	}
	var looking sync.WaitGroup
	var begun atomic.Int64
	for range 8 {
		looking.Go(func() {
			for n := 0; n < looks || begun.Load() <= 5; n++ { // on a busy machine the writes are few
				own, err := ownLog(s.path)
				if !assert.NoError(t, err) || !assert.True(t, own) {
					return
				}
			}
		})
	}
	over := make(chan struct{})
	go func() {
		looking.Wait()
		close(over)
	}()
	var last [logHeader]byte
	for i := 0; ; i++ {
		select {
		case <-over:
			t.Logf("the log was begun %d times in %d writes", begun.Load(), i)
			assert.Greater(t, begun.Load(), int64(5))
			return
		default:
		}
		addSleds(t, s, fmt.Sprint("sled-", i), 1)
		if head, _, err := readLog(s.path+"-wal", fileHeader{}); err == nil && head != last {
			last = head
			begun.Add(1)
		}
	}
}
