package store

import (
	"net"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ends are the two ends of a connection.
func ends(t *testing.T) (here, there net.Conn) {
	t.Helper()
	listener, err := net.Listen("unix", filepath.Join(t.TempDir(), "s"))
	require.NoError(t, err)
	defer listener.Close()
	here, err = net.Dial("unix", listener.Addr().String())
	require.NoError(t, err)
	there, err = listener.Accept()
	require.NoError(t, err)
	t.Cleanup(func() { here.Close(); there.Close() })
	return here, there
}

func TestConnection_ThatIsOverIsToldFromOneThatIsSilent(t *testing.T) {
	t.Parallel()
	here, there := ends(t)
	said, err := hasPendingData(here)
	assert.NoError(t, err)
	assert.False(t, said)
	_, err = there.Write([]byte("notice"))
	require.NoError(t, err)
	said, err = hasPendingData(here)
	assert.NoError(t, err)
	assert.True(t, said)
	text := make([]byte, 6)
	_, err = here.Read(text)
	require.NoError(t, err)
	assert.Equal(t, "notice", string(text), "it was looked at, not taken")
	require.NoError(t, there.Close())
	_, err = hasPendingData(here)
	assert.ErrorIs(t, err, net.ErrClosed)
}

// The driver may have a reader of its own waiting on the connection.
func TestConnection_IsInspectedWhileAnotherGoroutineWaitsForIt(t *testing.T) {
	t.Parallel()
	here, _ := ends(t)
	raw, err := here.(syscall.Conn).SyscallConn()
	require.NoError(t, err)
	inside, looked := make(chan struct{}), make(chan error, 1)
	var once sync.Once
	go func() { // until the test closes the connection
		_ = raw.Read(func(uintptr) bool {
			once.Do(func() { close(inside) })
			return false
		})
	}()
	<-inside
	go func() {
		_, err := hasPendingData(here)
		looked <- err
	}()
	select {
	case err := <-looked:
		assert.NoError(t, err)
	case <-time.After(30 * time.Second):
		t.Fatal("the two wait for each other")
	}
}
