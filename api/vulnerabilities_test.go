package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// vulnerabilityIn makes a database of vulnerabilities (https://go.dev/doc/security/vuln/database) with a made-up one of
// every version of a module.
func vulnerabilityIn(t *testing.T, module string) (address string) {
	t.Helper()
	folder := t.TempDir()
	const id, modified = "GO-2099-0001", "2025-01-01T00:00:00Z"
	type object = map[string]any
	for name, content := range map[string]any{
		"index/db.json":      object{"modified": modified},
		"index/modules.json": []any{object{"path": module, "vulns": []any{object{"id": id, "modified": modified}}}},
		"index/vulns.json":   []any{object{"id": id, "modified": modified}},
		"ID/" + id + ".json": object{
			"schema_version": "1.3.1", "id": id, "modified": modified, "published": modified,
			"summary": "made up for a test", "affected": []any{object{
				"package": object{"name": module, "ecosystem": "Go"},
				"ranges":  []any{object{"type": "SEMVER", "events": []any{object{"introduced": "0"}}}},
			}},
		},
	} {
		encoded, err := json.Marshal(content)
		require.NoError(t, err)
		path := filepath.Join(folder, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		write(t, path, encoded)
	}
	return "file://" + filepath.ToSlash(folder)
}

func TestVulnerabilities_FailWhatCIChecksAndAMissingDatabaseIsSaid(t *testing.T) {
	t.Parallel()
	if !inFull() {
		t.Skip("it builds the checker: with CI=true")
	}
	for _, c := range []struct {
		what, database string
		fails          bool
		says           string
	}{
		{"one in a module that is used", vulnerabilityIn(t, "golang.org/x/text"), true, "GO-2099-0001"},
		{"one in a module that is not", vulnerabilityIn(t, "golang.org/x/nothing"), false,
			"no known vulnerability is reached"},
		{"no database", "http://127.0.0.1:1", false, "NOT CHECKED"},
	} {
		check := exec.Command("../.ci/vulnerabilities", "./internal/fleet")
		check.Env = append(os.Environ(), "GOVULNDB="+c.database)
		said, err := check.CombinedOutput()
		assert.Equal(t, c.fails, err != nil, "%s: %s", c.what, said)
		assert.Contains(t, string(said), c.says, c.what)
	}
}
