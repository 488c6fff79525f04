package openapi

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGeneratedCode_IsFresh(t *testing.T) {
	t.Parallel()
	settings, err := os.ReadFile("oapi-codegen.yaml")
	require.NoError(t, err)
	folder := t.TempDir()
	fresh := filepath.Join(folder, "fresh.go")
	elsewhere := strings.Replace(string(settings), "output: openapi.gen.go", "output: "+fresh, 1)
	require.Contains(t, elsewhere, fresh)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "settings.yaml"), []byte(elsewhere), 0o600))
	generate := exec.Command("go", "tool", "oapi-codegen", "-config", filepath.Join(folder, "settings.yaml"), "openapi.yaml")
	out, err := generate.CombinedOutput()
	require.NoError(t, err, "%s", out)
	want, err := os.ReadFile(fresh)
	require.NoError(t, err)
	got, err := os.ReadFile("openapi.gen.go")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "openapi.gen.go is stale; run: go generate ./openapi")
}
