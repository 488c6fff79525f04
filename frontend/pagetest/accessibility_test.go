package pagetest

import (
	"archive/tar"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
)

// fetchAxe fetches axe-core 4 (Deque Systems), which finds breaches of the Web Content Accessibility Guidelines that a
// program can find. It is fetched when the tests run and is no part of the project.
var fetchAxe = sync.OnceValues(func() (script string, err error) {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", errors.New("this test needs npm to fetch axe-core: apt-get install npm")
	}
	dir, err := os.MkdirTemp("", "axe-core")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	pack := exec.Command(npm, "pack", "--silent", "axe-core@4")
	pack.Dir = dir
	if out, err := pack.CombinedOutput(); err != nil {
		return "", fmt.Errorf("axe-core could not be fetched: %w: %s", err, out)
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.tgz"))
	if err != nil || len(names) != 1 {
		return "", fmt.Errorf("npm left %v: %w", names, err)
	}
	file, err := os.Open(names[0])
	if err != nil {
		return "", err
	}
	defer file.Close()
	zipped, err := gzip.NewReader(file)
	if err != nil {
		return "", err
	}
	for archive := tar.NewReader(zipped); ; {
		entry, err := archive.Next()
		if err != nil {
			return "", fmt.Errorf("looking for axe.min.js in the package: %w", err)
		}
		if entry.Name == "package/axe.min.js" {
			text, err := io.ReadAll(archive)
			return string(text), err
		}
	}
})

// axeScript is the text of axe-core. Without it the test leaves itself out, and fails with CI=true.
func axeScript(t *testing.T) string {
	t.Helper()
	script, err := fetchAxe()
	if err != nil {
		leaveOut(t, err.Error())
	}
	return script
}

// axeInFull is axeScript with CI=true. Without it axe-core looks at the pages of TestEveryPage_IsSoundOnEveryScreen
// alone.
func axeInFull(t *testing.T) string {
	t.Helper()
	if !inFull {
		t.Skip("axe-core looks at these with CI=true")
	}
	return axeScript(t)
}

// breaksNoGuideline looks for breaches of WCAG 2.2 at level A or AA. Nothing happens where there is no axe-core.
func (b *tab) breaksNoGuideline(axe, where string) {
	b.t.Helper()
	if axe == "" {
		return
	}
	eval[bool](b, "if (!window.axe) {"+axe+"}; true")
	found := await[[]string](b, `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
		resultTypes: ['violations'] })
		.then(({ violations }) => violations.map(({ id, help, nodes }) => id + ': ' + help + ': ' + nodes.slice(0, 3)
			.map(({ html }) => html.slice(0, 160)).join(' | ')))`)
	assert.Empty(b.t, found, where)
}
