package pagetest

import (
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// visit is what a page took, as the browser counts it.
type visit struct {
	Requests         int
	Sent, Unpacked   float64 // bytes: over the wire, head and all; and as the page used them
	FirstPaint, Done float64 // ms from the start: the first text or drawing; the last thing that was loaded
}

const visitScript = `(() => {
	const [page] = performance.getEntriesByType('navigation'), parts = [page,
		...performance.getEntriesByType('resource')];
	const sum = (of) => parts.reduce((total, part) => total + part[of], 0);
	return { Requests: parts.length, Sent: sum('transferSize'), Unpacked: sum('decodedBodySize'),
		FirstPaint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1,
			Done: Math.max(...parts.map((part) => part.responseEnd)) };
})()`

// shiftScript is how much of the screen moved by how much of it while the page loaded: the cumulative layout shift of
// the Layout Instability API (WICG draft). web.dev calls up to 0.1 good.
const shiftScript = `new Promise((resolve) => {
	let sum = 0;
	new PerformanceObserver((list) => list.getEntries().forEach((shift) =>
		{ if (!shift.hadRecentInput) sum += shift.value; })).observe({ type: 'layout-shift', buffered: true });
	setTimeout(() => resolve(sum), 50);
})`

// Every page on a first visit: nothing a thumb is about to touch moves; under 300 kB unpacked, and the answer page
// and the pages of shows under 100 kB over the wire. Without CI=true the first of the pages.
func TestEveryPage_IsLight(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, page := range inPart(looks(), 8) {
		t.Run(page.path, func(t *testing.T) {
			t.Parallel()
			// Slow enough for the page to be seen half there. The browser's own slow line now and then brings nothing
			// any more.
			slow := &wire{latency: 150 * time.Millisecond, perByte: time.Second / 200_000}
			b := s.in(t).over(slow).deviceOn(phone).tab() // a device that has nothing of it yet
			b.see(page)
			got := eval[visit](b, visitScript)
			// where a link into the middle is followed once there is a middle
			if !strings.HasPrefix(page.path, "/docs") {
				moved := await[float64](b, shiftScript)
				assert.Less(t, moved, 0.1, "what was there moved while it loaded")
			}
			t.Logf("%3d requests, %5.1f kB sent, %5.1f kB unpacked", got.Requests, got.Sent/1000, got.Unpacked/1000)
			assert.Greater(t, got.Sent, 5_000.0, "the browser must have counted")
			assert.Less(t, got.Unpacked, 300_000.0)
			if page.path == "/" || strings.HasPrefix(page.path, "/?") || strings.HasPrefix(page.path, "/shows") {
				assert.Less(t, got.Sent, 100_000.0)
			}
		})
	}
}

// How long a first visit to an answer takes over a poor line (400 kbit/s, 400 ms there and back) on a phone with a
// sixth of this machine's speed, and how much longer than to a page that holds nothing but the same words. It is told,
// not tested: no test measures time. It runs where its figures are seen, with -v, and not beside others.
func TestFirstVisit_OverAPoorLine(t *testing.T) {
	if testing.Short() || !testing.Verbose() {
		t.Skip("it tells times, which go test -v -run PoorLine shows")
	}
	s := sharedDemo(t)
	for _, page := range []look{
		{"/?sled=bluestem&gear=C&start=0&on=timothy", "Boolean(document.querySelector('.unstyled h1'))"},
		{"/pullers?show=" + demo.evening + "&sled=bluestem&gear=C",
			"Boolean(document.querySelector('.unstyled h1'))"},
	} {
		first := s.open(phone, page.path)
		first.until(page.ready)
		bare := bareText(t, first.text("#answer"))
		first.leave()
		paint, answer := overAPoorLine(s, page)
		_, least := overAPoorLine(bare, look{"/", "Boolean(document.querySelector('h1'))"})
		t.Logf("%s: first contentful paint %v, answer %v; bare text %v; the answer takes %.2f times as long", page.path,
			paint, answer, least, answer.median()/least.median())
	}
}

// times are milliseconds, in order.
type times []float64

func (t times) median() float64 { return t[len(t)/2] }

func (t times) String() string {
	return fmt.Sprintf("%.0f ms (%.0f to %.0f)", t.median(), t[0], t[len(t)-1])
}

// overAPoorLine visits a page a few times, each on a device that has nothing of it yet: how long until something is
// painted, and until its answer is.
func overAPoorLine(s site, page look) (paints, answers times) {
	for range 5 {
		b := s.over(&wire{latency: 400 * time.Millisecond, perByte: time.Second / 50_000}).deviceOn(phone).tab()
		b.expectRefusals() // of the icon that browsers ask for beside what is no page
		b.goTo("/healthz")
		b.do(speedOf(6))
		// The page notes by itself when its answer is there: to be asked again and again would slow it down.
		b.beforeEveryPage(fmt.Sprintf("new MutationObserver(() => { if (%s) window.thereAt ??= "+
			"performance.now(); }).observe(document, { subtree: true, childList: true, attributes: true, "+
			"characterData: true })", page.ready))
		b.goTo(page.path)
		b.quiet()
		b.until("window.thereAt && performance.getEntriesByName('first-contentful-paint').length > 0")
		paint := eval[visit](b, visitScript).FirstPaint
		paints = append(paints, paint)
		// what is there before anything is painted is painted first
		answers = append(answers, max(paint, eval[float64](b, "window.thereAt")))
		b.leave()
	}
	slices.Sort(paints)
	slices.Sort(answers)
	return paints, answers
}

// bareText serves a page that holds a text and nothing else: no style, no script.
func bareText(t *testing.T, text string) site {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprintf(w, `<!doctype html><html lang="en-US"><head><meta name="viewport" content="width=device-width">`+
			`<link rel="icon" href="data:,"><title>Bare</title></head><body><h1>%s</h1></body></html>`,
			html.EscapeString(text))
	}))
	t.Cleanup(server.Close)
	return site{t: t, base: server.URL}
}
