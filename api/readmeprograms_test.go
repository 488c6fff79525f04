package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The programs in the README are run as they stand there, but for the address, and print what it says.
func TestTheReadmesProgramsPrintWhatItSays(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	p := demo(t)
	program := func(language string) string {
		found := regexp.MustCompile("(?s)```" + language + "\n(.*?)```\n").FindSubmatch(text)
		require.NotNil(t, found, language)
		return strings.ReplaceAll(string(found[1]), "http://127.0.0.1:8080", p.address)
	}
	said := regexp.MustCompile("Both print `([^`]+)`").FindSubmatch(text)
	require.NotNil(t, said)
	want := string(said[1]) + "\n"

	file := filepath.Join(t.TempDir(), "main.go")
	require.NoError(t, os.WriteFile(file, []byte(program("go")), 0o600))
	out, err := exec.Command("go", "run", file).CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Equal(t, want, string(out))

	python, err := exec.LookPath("python3")
	if err != nil {
		const missing = "the program in Python was not run: apt-get install python3"
		if os.Getenv("CI") == "true" {
			t.Fatal(missing)
		}
		t.Skip(missing)
	}
	out, err = exec.Command(python, "-c", program("python")).CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Equal(t, want, string(out))
}
