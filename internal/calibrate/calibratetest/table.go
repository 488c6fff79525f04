package calibratetest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rounds is how often a simulation draws: all of it with CI=true, else a part.
func Rounds(all, part int) int {
	if os.Getenv("CI") == "true" {
		return all
	}
	return part
}

// HoldTable holds rows against testdata/simulated/<name>.csv of the package under test, to the letter, where CI is
// true; the method page shows that table. EVENPULL_UPDATE=true writes it anew.
func HoldTable(t *testing.T, name string, rows [][]string) {
	t.Helper()
	var b strings.Builder
	w := csv.NewWriter(&b)
	require.NoError(t, w.WriteAll(rows))
	t.Logf("%s:\n%s", name, b.String())
	if os.Getenv("CI") != "true" {
		return
	}
	file := filepath.Join("testdata", "simulated", name+".csv")
	if os.Getenv("EVENPULL_UPDATE") == "true" {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String(), "written anew with CI=true EVENPULL_UPDATE=true")
}
