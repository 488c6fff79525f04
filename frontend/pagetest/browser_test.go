package pagetest

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	cdplog "github.com/chromedp/cdproto/log"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	managerKey = "a-key-for-the-browser-tests"
	patience   = 20 * time.Second // for one thing to happen on a page
	lookEvery  = 20 * time.Millisecond
)

// The program and the browser, made once for all tests.
var (
	program string          // the real program, built from this module
	browser context.Context // nil where there is no Chromium
	missing string          // why there is none
)

func TestMain(m *testing.M) { os.Exit(run(m)) }

func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "evenpull-browser")
	if err != nil {
		log.Print(err)
		return 1
	}
	defer os.RemoveAll(dir)
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		missing = "these tests need Chromium: apt-get install chromium"
		return m.Run()
	}
	program = filepath.Join(dir, "evenpull")
	if out, err := exec.Command("go", "build", "-o", program, "evenpull/api").CombinedOutput(); err != nil {
		log.Printf("building the program: %v\n%s", err, out)
		return 1
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.UserDataDir(filepath.Join(dir, "profile")))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	var closeBrowser context.CancelFunc
	browser, closeBrowser = chromedp.NewContext(allocator)
	defer closeBrowser()
	if err := chromedp.Do(browser); err != nil {
		log.Printf("starting Chromium: %v", err)
		return 1
	}
	return m.Run()
}

// site is the running program with a database of its own.
type site struct {
	t    *testing.T
	base string
}

var startLine = regexp.MustCompile(`Evenpull is at (http://[^/]+)/`)

// leaveOut leaves a test out for want of something, or fails it with CI=true.
func leaveOut(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// serve starts the program, with the demo fleet or empty, and ends it with the test.
func serve(t *testing.T, args ...string) site {
	t.Helper()
	if browser == nil {
		leaveOut(t, missing)
	}
	cmd := exec.Command(program, append(args, "--addr", "127.0.0.1:0", "--db", filepath.Join(t.TempDir(), "fleet.db"))...)
	cmd.Env = append(os.Environ(), "EVENPULL_MANAGER_KEY="+managerKey)
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	var stderr strings.Builder
	cmd.Stderr = &stderr
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		assert.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
		_, _ = io.Copy(io.Discard, stdout)
		assert.NoError(t, cmd.Wait(), "the program must end cleanly: %s", &stderr)
	})
	lines := bufio.NewScanner(stdout)
	for lines.Scan() {
		if at := startLine.FindStringSubmatch(lines.Text()); at != nil {
			return site{t: t, base: at[1]}
		}
	}
	require.FailNow(t, "the program did not start", stderr.String())
	return site{}
}

// call uses the API as a program would and decodes the answer.
func (s site) call(method, path string, body, into any) {
	s.t.Helper()
	text, err := json.Marshal(body)
	require.NoError(s.t, err)
	req, err := http.NewRequestWithContext(s.t.Context(), method, s.base+path, strings.NewReader(string(text)))
	require.NoError(s.t, err)
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	req.Header.Set("Authorization", "Bearer "+managerKey)
	res, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	require.NoError(s.t, err)
	require.Less(s.t, res.StatusCode, 300, "%s %s: %s", method, path, answer)
	if into != nil {
		require.NoError(s.t, json.Unmarshal(answer, into))
	}
}

// tab is one page of the browser with a storage of its own. It notes every complaint of the browser and fails the
// test for those at its end.
type tab struct {
	t    *testing.T
	ctx  context.Context
	site site

	mu         sync.Mutex
	complaints []string
	refusals   bool                         // the page is expected to be refused something
	noSignal   bool                         // the page is expected to find no network
	received   float64                      // bytes over the wire, as the browser counts them
	underWay   map[network.RequestID]string // addresses
	page       cdp.LoaderID                 // of the page in sight
	lastMove   time.Time                    // when a request last began or ended
}

// screen is what the page is looked at with.
type screen struct {
	width, height int64
	dark          bool
}

var (
	phone = screen{width: 360, height: 640}
	desk  = screen{width: 1280, height: 900}
)

func (s screen) String() string {
	if s.dark {
		return fmt.Sprintf("%d px, dark", s.width)
	}
	return fmt.Sprintf("%d px, light", s.width)
}

// open opens a tab on a path of the site, on a device that has never been there.
func (s site) open(on screen, path string) *tab {
	s.t.Helper()
	b := s.tabOf(browser, on, chromedp.WithNewBrowserContext())
	b.goTo(path)
	return b
}

// tabOf opens an empty tab.
func (s site) tabOf(device context.Context, on screen, options ...chromedp.ContextOption) *tab {
	s.t.Helper()
	b := &tab{t: s.t, site: s, underWay: map[network.RequestID]string{}}
	ctx, cancel := chromedp.NewContext(device, append(options, chromedp.WithListener(b.listen))...)
	s.t.Cleanup(cancel)
	b.ctx = ctx
	require.NoError(s.t, chromedp.Do(ctx)) // the tab lives as long as the context of its first action
	theme := "light"
	if on.dark {
		theme = "dark"
	}
	b.do(chromedp.EmulateViewport(on.width, on.height, func(p *emulation.SetDeviceMetricsOverrideParams, _ *emulation.SetTouchEmulationEnabledParams) {
		p.Mobile = on.width < 500
	}), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}}
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
		if err != nil {
			return err
		}
		if _, err = cdp.Call(ctx, t, cdplog.Enable, cdp.Empty{}); err != nil {
			return err
		}
		_, err = cdp.Call(ctx, t, network.Enable, network.EnableParams{})
		return err
	}))
	s.t.Cleanup(b.check)
	return b
}

// listen notes exceptions, console errors, dialogues that a script opened, what the Content-Security-Policy stopped and requests
// to other hosts.
func (b *tab) listen(event any) {
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		b.complain(fmt.Sprintf("exception: %+v", e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			b.complain(fmt.Sprintf("console %s: %v", e.Type, e.Args))
		}
	case *cdplog.EventEntryAdded:
		refused := e.Entry.Source == cdplog.EntrySourceNetwork && strings.Contains(e.Entry.Text, "the server responded with a status of 4")
		b.mu.Lock()
		expected := refused && b.refusals || b.noSignal && e.Entry.Source == cdplog.EntrySourceNetwork && strings.Contains(e.Entry.Text, "net::ERR_")
		b.mu.Unlock()
		if !expected && (e.Entry.Level == cdplog.EntryLevelError || e.Entry.Level == cdplog.EntryLevelWarning) {
			b.complain(fmt.Sprintf("%s: %s %s", e.Entry.Source, e.Entry.Text, e.Entry.URL))
		}
	case *page.EventJavascriptDialogOpening:
		b.complain("a dialogue of the browser: " + e.Message) // none of ours: a script opened it
	case *network.EventLoadingFinished:
		b.finished(e.RequestID)
		b.mu.Lock()
		b.received += e.EncodedDataLength
		b.mu.Unlock()
	case *network.EventLoadingFailed:
		b.finished(e.RequestID)
	case *network.EventRequestWillBeSent:
		b.requested(e)
		at, err := url.Parse(e.Request.URL)
		own := err == nil && (at.Scheme == "blob" || at.Scheme == "data") // inside the page: downloads, the browser's own icons
		if !own && (err != nil || at.Scheme+"://"+at.Host != b.site.base) {
			b.complain("a request to another host: " + e.Request.URL)
		}
	}
}

// requested notes what the page in sight asks for. What a page before it did not finish nobody tells, nor the end of the request for
// the icon of a tab, for which no page waits.
func (b *tab) requested(e *network.EventRequestWillBeSent) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.lastMove = time.Now()
	if string(e.RequestID) == string(e.LoaderID) { // for the page itself
		b.page = e.LoaderID
		clear(b.underWay)
	}
	if e.LoaderID == b.page && e.Type != network.ResourceTypeOther {
		b.underWay[e.RequestID] = e.Request.URL
	}
}

func (b *tab) finished(id network.RequestID) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.lastMove = time.Now()
	delete(b.underWay, id)
}

func (b *tab) complain(what string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.complaints = append(b.complaints, what)
}

func (b *tab) check() {
	b.mu.Lock()
	defer b.mu.Unlock()
	assert.Empty(b.t, b.complaints, "the browser complained")
}

// expectRefusals lets the page be refused things from here on: a 4xx is then no complaint.
func (b *tab) expectRefusals() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.refusals = true
}

func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	require.NoError(b.t, chromedp.Do(ctx, actions...))
}

func (b *tab) goTo(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.site.base + path))
}

// eval evaluates an expression on the page.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err, expression)
	return value
}

// until waits for an expression to be true. (The library's own waiting compiles code on the page, which the
// Content-Security-Policy forbids.)
func (b *tab) until(expression string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		is, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("!!("+expression+")"))
		if err == nil && is {
			return
		}
		select {
		case <-ctx.Done():
			require.FailNow(b.t, "it did not happen in time", "%s\nthe page says: %s", expression, b.pageText())
		case <-tick.C:
		}
	}
}

func (b *tab) pageText() string {
	ctx, cancel := context.WithTimeout(b.ctx, time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("document.body.innerText"))
	if err != nil {
		return err.Error()
	}
	return plain(text)[:min(len(plain(text)), 1500)]
}

// text is what an element says, its spaces made plain.
func (b *tab) text(selector string) string {
	b.t.Helper()
	return plain(eval[string](b, fmt.Sprintf("document.querySelector(%q)?.innerText ?? ''", selector)))
}

// plain makes every kind of space one ordinary space.
func plain(s string) string { return strings.Join(strings.Fields(s), " ") }

// says waits until an element says something.
func (b *tab) says(selector, what string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`(document.querySelector(%q)?.innerText ?? '').replace(/\s+/g, ' ').includes(%q)`, selector, what))
}

// pick chooses in a select or ticks a radio button, as a person's choice does.
func (b *tab) pick(selector, value string) {
	b.t.Helper()
	b.until(fmt.Sprintf("(() => { const f = document.querySelector(%q); return f && (!f.options || [...f.options].some((o) => o.value === %q)); })()", selector, value))
	eval[bool](b, fmt.Sprintf(`(() => {
		const field = document.querySelector(%q);
		if (field.type === 'radio') field.checked = true; else field.value = %q;
		field.dispatchEvent(new Event('input', {bubbles: true}));
		field.dispatchEvent(new Event('change', {bubbles: true}));
		return true;
	})()`, selector, value))
}

// write types into a field that is empty or is to be overwritten.
func (b *tab) write(selector, text string) {
	b.t.Helper()
	b.until(fmt.Sprintf("document.querySelector(%q)?.checkVisibility()", selector))
	eval[bool](b, fmt.Sprintf("(() => { const f = document.querySelector(%q); f.focus(); f.select(); return true; })()", selector))
	b.do(chromedp.KeyEvent(text))
}

func (b *tab) press(selector string) {
	b.t.Helper()
	// Looked for and pressed in one go: between the two the page may draw it anew.
	b.until(fmt.Sprintf("(thing => thing?.checkVisibility() && (thing.click(), true))(document.querySelector(%q))", selector))
}

// giveKey answers the dialogue that asks somebody to sign in.
func (b *tab) giveKey(key string) {
	b.t.Helper()
	b.until("document.activeElement?.id === 'sign-in-key' && document.activeElement.matches('dialog[open] *')")
	b.do(chromedp.KeyEvent(key + "\r"))
}

// reply answers the dialogue that asks for a line of text.
func (b *tab) reply(text string) {
	b.t.Helper()
	b.until("document.activeElement?.id === 'dialogue-text'")
	b.do(chromedp.KeyEvent(text + "\r"))
}
