package store

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
)

const killVariable = "STORE_TEST_WRITE_UNTIL_KILLED"

// TestMain makes this test binary a writer that acknowledges each write with a line, when a test starts it as one.
func TestMain(m *testing.M) {
	if db := os.Getenv(killVariable); db != "" {
		writeUntilKilled(db)
	}
	os.Exit(m.Run())
}

func writeUntilKilled(db string) {
	s, err := Open(context.Background(), db, Options{})
	for err == nil {
		err = s.Write(context.Background(), func(tx *Tx) error {
			_, n, err := tx.Touched(0)
			if err != nil {
				return err
			}
			return tx.AddSled(sledOf(fmt.Sprintf("sled-%06d", n), "A", "B"))
		})
		if err == nil {
			fmt.Println("written")
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

func TestKill_LosesNothingAcknowledged(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	acknowledged := 0
	for _, lines := range []int{1, 40, 150} { // the first kill comes right after the first write ever
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), killVariable+"="+db)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		scan := bufio.NewScanner(out)
		for n := 0; n < lines && scan.Scan(); n++ {
			acknowledged++
		}
		require.NoError(t, child.Process.Kill()) // SIGKILL
		for scan.Scan() {
			acknowledged++ // acknowledged before the kill, read after it
		}
		require.ErrorContains(t, child.Wait(), "killed")
		if !storetest.OnServer() {
			require.FileExists(t, db+"-wal", "the kill left something to recover")
		}
		require.GreaterOrEqual(t, acknowledged, lines)

		s, err := Open(context.Background(), db, Options{})
		require.NoError(t, err)
		stored := 0
		read(t, s, func(r *Reads) error {
			ids, _, err := r.Touched(0)
			if err != nil {
				return err
			}
			notes, err := r.Load(ids)
			for _, n := range notes {
				assert.Len(t, n.Sled.Gears, 2, "no sled is half there")
			}
			stored = len(notes)
			return err
		})
		assert.GreaterOrEqual(t, stored, acknowledged)
		revision, err := s.Revision(context.Background())
		require.NoError(t, err)
		assert.EqualValues(t, stored, revision, "each write moved the revision by one")
		require.NoError(t, s.Close())
		acknowledged = stored // written but not acknowledged counts from now on
	}
}
