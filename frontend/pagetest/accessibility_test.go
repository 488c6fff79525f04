package pagetest

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// axeScript is axe-core 4 (Deque Systems), which finds breaches of the Web Content Accessibility Guidelines that a program can
// find. It is fetched when the test runs and is no part of the project. Without it the test leaves itself out, and fails with
// CI=true.
func axeScript(t *testing.T) string {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		leaveOut(t, "this test needs npm to fetch axe-core: apt-get install npm")
	}
	dir := t.TempDir()
	pack := exec.Command(npm, "pack", "--silent", "axe-core@4")
	pack.Dir = dir
	if out, err := pack.CombinedOutput(); err != nil {
		leaveOut(t, fmt.Sprintf("axe-core could not be fetched: %v: %s", err, out))
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.tgz"))
	require.NoError(t, err)
	require.Len(t, names, 1)
	file, err := os.Open(names[0])
	require.NoError(t, err)
	defer file.Close()
	zipped, err := gzip.NewReader(file)
	require.NoError(t, err)
	for archive := tar.NewReader(zipped); ; {
		entry, err := archive.Next()
		require.False(t, errors.Is(err, io.EOF), "the package holds no axe.min.js")
		require.NoError(t, err)
		if entry.Name == "package/axe.min.js" {
			script, err := io.ReadAll(archive)
			require.NoError(t, err)
			return string(script)
		}
	}
}

// At three widths, light and dark, with everything that folds opened: no breach of WCAG 2.2 at level A or AA that axe-core finds.
func TestEveryPage_BreaksNoGuideline(t *testing.T) {
	axe := axeScript(t)
	s := serve(t, "--demo")
	pages := s.looks()
	for _, on := range sights() {
		b := s.lookFrom(on)
		for _, page := range pages {
			b.see(page)
			b.unfoldAll(page)
			eval[bool](b, axe+"; true")
			found := await[[]string](b, `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'], resultTypes: ['violations'] })
				.then(({ violations }) => violations.map(({ id, help, nodes }) => id + ': ' + help + ': ' + nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')))`)
			assert.Empty(t, found, "%s at %s", page.path, on)
		}
	}
}

// Whoever asked the system for less motion gets none: nothing on any page moves, fades or scrolls smoothly. Without that wish the
// answer fades, so that the test looks where there is something to see.
func TestEveryPage_MovesNothingWhereNoMotionIsWanted(t *testing.T) {
	s := serve(t, "--demo")
	const moving = `[...document.querySelectorAll('*')].filter((e) => ['', '::before', '::after'].some((part) => {
		const style = getComputedStyle(e, part), lasts = (times) => times.split(',').some((time) => parseFloat(time) > 0);
		return lasts(style.transitionDuration) || lasts(style.animationDuration) || style.scrollBehavior === 'smooth';
	})).map((e) => e.outerHTML.slice(0, 100))`
	b := s.open(phone, "/")
	assert.NotEmpty(t, eval[[]string](b, moving))
	b.do(chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		features := []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}}
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
		return err
	}))
	for _, page := range s.looks() {
		b.see(page)
		assert.Empty(t, eval[[]string](b, moving), page.path)
	}
}

// With the keyboard alone, from the first stop to the last: every stop is seen, with a ring around it, and none is a trap.
func TestEveryPage_ShowsEveryStopOfTheKeyboard(t *testing.T) {
	s := serve(t, "--demo")
	pages := s.looks()
	for _, on := range []sight{{phone, false}, {desk, true}} {
		b := s.lookFrom(on)
		for _, page := range pages {
			b.see(page)
			want := eval[int](b, `document.querySelectorAll('a[href], button:not([disabled]), select, textarea, input, summary, [tabindex="0"]').length`)
			seen := map[string]bool{}
			first, last := "", ""
			for stop := range want + 20 {
				b.do(chromedp.KeyEvent(kb.Tab))
				at := eval[map[string]any](b, `(() => {
					const e = document.activeElement;
					if (!e || e === document.body) return { none: true };
					window.stops ??= new Map();
					if (!window.stops.has(e)) window.stops.set(e, String(window.stops.size));
					const box = e.getBoundingClientRect(), style = getComputedStyle(e);
					const label = e.matches('input[type=radio]') ? e.closest('label') : e;
					const ringed = [e, label, label?.querySelector('span')].some((of) => of && (getComputedStyle(of).outlineStyle !== 'none' && parseFloat(getComputedStyle(of).outlineWidth) >= 2));
					return { id: window.stops.get(e), html: e.outerHTML.slice(0, 100), parts: e.matches("input[type=date]"), ringed, inSight: box.bottom > 0 && box.top < innerHeight && style.visibility !== 'hidden' };
				})()`)
				if at["none"] == true {
					break
				}
				id := at["id"].(string)
				if id == last && at["parts"] == true {
					continue // a date has stops inside, with the browser's own ring
				}
				last = id
				if first == "" {
					first = id
				} else if id == first {
					break // around
				}
				assert.False(t, seen[id] && stop < want, "%s at %s: the keyboard is caught at %v", page.path, on, at["html"])
				seen[id] = true
				assert.Equal(t, true, at["ringed"], "%s at %s: no ring around %v", page.path, on, at["html"])
				assert.Equal(t, true, at["inSight"], "%s at %s: out of sight: %v", page.path, on, at["html"])
			}
			assert.Greater(t, len(seen), 5, page.path)
		}
	}
}

// Text at twice its size, as WCAG 2.2 success criterion 1.4.4 asks: nothing lies outside the page.
func TestEveryPage_HoldsTextAtTwiceItsSize(t *testing.T) {
	s := serve(t, "--demo")
	b := s.lookFrom(sight{desk, true})
	for _, page := range s.looks() {
		b.see(page)
		eval[bool](b, "(document.documentElement.style.fontSize = '200%', true)")
		wide := eval[[]string](b, `[...document.querySelectorAll('body *')].filter((e) => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.scroll, .unseen, pre')).map((e) => e.outerHTML.slice(0, 80))`)
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(desk.width), "%s: %v", page.path, wide)
	}
}
