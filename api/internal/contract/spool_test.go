package contract

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestSpool_GivesAWholeBodyAgainAndAgain(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("TMPDIR", folder)
	for _, size := range []int{0, 1, spooledInMemory, spooledInMemory + 1, 3 * spooledInMemory} {
		body := bytes.Repeat([]byte("a"), size)
		s, err := NewSpool(bytes.NewReader(body))
		require.NoError(t, err, size)
		assert.Equal(t, sha256.Sum256(body), s.Digest, size)
		assert.Equal(t, size > spooledInMemory, s.file != nil, size)
		for range 2 {
			again, err := io.ReadAll(s.Reader())
			require.NoError(t, err, size)
			assert.True(t, bytes.Equal(body, again), size)
		}
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, left, "a file that can be left behind")
		assert.NoError(t, s.Close(), size)
	}
}

func TestSpool_SaysWhatWentWrong(t *testing.T) {
	t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "none"))
	long := strings.Repeat("a", spooledInMemory+1)
	for _, c := range []struct {
		what string
		body io.Reader
		kind fleet.Kind
	}{
		{"a body that breaks off", iotest.ErrReader(errors.New("gone")), fleet.Unreadable},
		{"a body that breaks off later",
			io.MultiReader(strings.NewReader(long[2:]), iotest.ErrReader(errors.New("gone"))), fleet.Unreadable},
		{"no folder for temporary files", strings.NewReader(long), fleet.Unavailable},
	} {
		_, err := NewSpool(c.body)
		var e *fleet.Error
		require.ErrorAs(t, err, &e, c.what)
		assert.Equal(t, c.kind, e.Kind, "%s: %s", c.what, err)
	}
}
