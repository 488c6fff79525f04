package storetest

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const ownerVariable = "STORETEST_OWN_A_SERVER"

func TestServer_KeepsItsDataThroughAKill(t *testing.T) {
	t.Parallel()
	v := Postgres(t)
	url := v.URL(t)
	first, second := ask(t, url, "SHOW fsync"),
		ask(t, v.URL(t), "SELECT COUNT(*)::text FROM pg_class WHERE relname = 'marks'")
	assert.Equal(t, "on", first)
	assert.Equal(t, "0", second)
	ask(t, url, "CREATE TABLE marks AS SELECT 'after the kill' AS mark")
	v.Kill(t)
	_, err := pgx.Connect(context.Background(), url)
	require.Error(t, err)
	v.Start(t)
	assert.Equal(t, "after the kill", ask(t, url, "SELECT mark FROM marks"))
}

// A test process that is killed takes its server with it.
func TestServer_EndsWithItsOwner(t *testing.T) {
	if os.Getenv(ownerVariable) != "" {
		v := Postgres(t)
		_, err := os.Stdout.WriteString("\nfolder " + v.folder + "\n")
		require.NoError(t, err)
		select {} // until it is killed
	}
	t.Parallel()
	find(t)
	owner := exec.Command(os.Args[0], "-test.run", "^"+t.Name()+"$")
	owner.Env = append(os.Environ(), ownerVariable+"=1")
	out, err := owner.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, owner.Start())
	said := make([]byte, 0, 4096)
	for !strings.Contains(string(said), "folder ") || !strings.HasSuffix(string(said), "\n") {
		more := make([]byte, 4096)
		n, err := out.Read(more)
		require.NoError(t, err, "%s", said)
		said = append(said, more[:n]...)
	}
	_, folder, _ := strings.Cut(string(said), "folder ")
	folder = strings.TrimSpace(folder)
	require.FileExists(t, filepath.Join(folder, "data", "postmaster.pid"))
	require.NoError(t, owner.Process.Kill())
	require.Error(t, owner.Wait())
	require.Eventually(t, func() bool {
		_, err := os.Stat(folder)
		return os.IsNotExist(err)
	}, 30*time.Second, 20*time.Millisecond)
}

func ask(t *testing.T, url, statement string) (answer string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), url)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	rows, err := conn.Query(context.Background(), statement)
	require.NoError(t, err)
	for rows.Next() {
		require.NoError(t, rows.Scan(&answer))
	}
	require.NoError(t, rows.Err())
	return answer
}
