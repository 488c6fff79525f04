package main

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program in the README is run as it stands there, but for the address, and prints what it says.
func TestReadme_ItsProgramPrintsWhatItSays(t *testing.T) {
	t.Parallel()
	python, err := exec.LookPath("python3")
	if err != nil {
		const missing = "the program in Python was not run: apt-get install python3"
		if os.Getenv("CI") == "true" {
			t.Fatal(missing)
		}
		t.Skip(missing)
	}
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	p := demo(t)
	found := regexp.MustCompile("(?s)```python\n(.*?)```\n").FindSubmatch(text)
	require.NotNil(t, found)
	program := strings.ReplaceAll(string(found[1]), "http://127.0.0.1:8080", p.address)
	said := regexp.MustCompile("It prints `([^`]+)`").FindSubmatch(text)
	require.NotNil(t, said)
	out, err := exec.Command(python, "-c", program).CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Equal(t, string(said[1])+"\n", string(out))
}
