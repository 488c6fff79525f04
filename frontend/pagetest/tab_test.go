package pagetest

import (
	"context"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"sync"
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

// patience is how long one thing on a page may take. It is what a machine with too much to do needs, not what a page
// should.
const patience = time.Minute

// tab is one page of the browser. It notes every complaint of the browser and fails the test for those at its end.
type tab struct {
	t      *testing.T
	site   site
	base   string // of the addresses of the site, as this device knows it
	window *window
	alone  bool // no other tab of its device comes after it
	gone   bool

	features []*emulation.MediaFeature

	mu         sync.Mutex
	arrived    bool // the first page is there: what came before was another user's
	complaints []string
	refusals   bool                         // the page is expected to be refused something
	noSignal   bool                         // the page is expected to find no network
	received   float64                      // bytes over the wire, as the browser counts them
	underWay   map[network.RequestID]string // addresses
	begun      int                          // how many requests have begun
	page       cdp.LoaderID                 // of the page in sight
	ended      chan struct{}                // closed when the next request ends
}

// leave closes the tab. What a browser stores for one tab alone must not be found in the device's next one, whose
// window is therefore a new one.
func (b *tab) leave() {
	b.t.Helper()
	if b.gone {
		return
	}
	b.gone = true
	b.window.events.Store(nil)
	b.check()
	if b.alone {
		windows.giveBack(b.window)
	} else {
		b.window.close()
	}
}

// listen notes exceptions, console errors, dialogs that a script opened, what the Content-Security-Policy stopped and
// requests to other hosts.
func (b *tab) listen(event any) {
	switch e := event.(type) {
	case *page.EventFrameNavigated:
		b.mu.Lock()
		b.arrived = true
		b.mu.Unlock()
	case *runtime.EventExceptionThrown:
		b.complain(fmt.Sprintf("exception: %+v", e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			b.complain(fmt.Sprintf("console %s: %v", e.Type, e.Args))
		}
	case *cdplog.EventEntryAdded:
		refused := e.Entry.Source == cdplog.EntrySourceNetwork &&
			strings.Contains(e.Entry.Text, "the server responded with a status of 4")
		b.mu.Lock()
		expected := refused && b.refusals || b.noSignal && e.Entry.Source == cdplog.EntrySourceNetwork &&
			strings.Contains(e.Entry.Text, "net::ERR_")
		b.mu.Unlock()
		// The browser itself asks for this beside a document of the API, which names no icon.
		expected = expected || strings.HasSuffix(e.Entry.URL, "/favicon.ico")
		if !expected && (e.Entry.Level == cdplog.EntryLevelError || e.Entry.Level == cdplog.EntryLevelWarning) {
			b.complain(fmt.Sprintf("%s: %s %s", e.Entry.Source, e.Entry.Text, e.Entry.URL))
		}
	case *page.EventJavascriptDialogOpening:
		b.complain("a dialog of the browser: " + e.Message) // none of ours: a script opened it
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
		// inside the page: downloads, the browser's own icons
		own := err == nil && (at.Scheme == "blob" || at.Scheme == "data")
		if !own && (err != nil || at.Scheme+"://"+at.Host != b.base) {
			b.complain("a request to another host: " + e.Request.URL)
		}
	}
}

// requested notes what the page in sight asks for. What a page before it did not finish nobody tells, nor the end of
// the request for the icon of a tab, for which no page waits.
func (b *tab) requested(e *network.EventRequestWillBeSent) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.begun++
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
	delete(b.underWay, id)
	close(b.ended)
	b.ended = make(chan struct{})
}

// hasPage says whether the tab has been anywhere.
func (b *tab) hasPage() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.arrived
}

func (b *tab) complain(what string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.arrived {
		b.complaints = append(b.complaints, what)
	}
}

func (b *tab) check() {
	b.mu.Lock()
	defer b.mu.Unlock()
	assert.Empty(b.t, b.complaints, "the browser complained")
}

// expectNoSignal lets the page find no network from here on.
func (b *tab) expectNoSignal() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.noSignal = true
}

// expectRefusals lets the page be refused things from here on: a 4xx is then no complaint.
func (b *tab) expectRefusals() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.refusals = true
}

func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.window.ctx, patience)
	defer cancel()
	require.NoError(b.t, chromedp.Do(ctx, actions...))
}

// loadedScript waits until the page is loaded, and what came with it has given way to what its scripts know.
const loadedScript = `(async () => {
	if (document.readyState !== 'complete') await new Promise((resolve) => addEventListener('load', resolve));
	while (document.querySelector('[data-from-server]')) await new Promise((resolve) => setTimeout(resolve, 20));
	return true;
})()`

// goTo goes to a path of the site and waits until the page is loaded. (The library's own waiting goes by what the
// browser tells of the frame, and misses the end where the page before was still on its way somewhere.)
func (b *tab) goTo(path string) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		went, err := cdp.Call(ctx, t, page.Navigate, page.NavigateParams{URL: b.base + path})
		if err == nil && went.ErrorText != "" {
			err = fmt.Errorf("%s: %s", path, went.ErrorText)
		}
		return err
	}))
	wait[bool](b, loadedScript, path+" is loaded")
}

// eval evaluates an expression on the page.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.window.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err, expression)
	return value
}

// await evaluates an expression on the page and waits for its promise.
func await[T any](b *tab, expression string) T {
	b.t.Helper()
	value, err := awaited[T](b, patience, expression)
	require.NoError(b.t, err, expression)
	return value
}

func awaited[T any](b *tab, patience time.Duration, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(b.window.ctx, patience)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// pageText is what the page says just now, for a test that fails.
func (b *tab) pageText() string {
	text, err := awaited[string](b, 5*time.Second, "document.body.innerText")
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

// onPaper shows the page as it is printed, or as it is on the screen again.
func (b *tab) onPaper(printed bool) {
	b.t.Helper()
	medium := ""
	if printed {
		medium = "print"
	}
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Media: medium, Features: b.features})
		return err
	}))
}

// media sets a feature of the screen or of the wishes of whoever looks at it, as CSS asks for it.
func (b *tab) media(name, value string) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		b.features = append(slices.DeleteFunc(b.features,
			func(f *emulation.MediaFeature) bool { return f.Name == name }),
			&emulation.MediaFeature{Name: name, Value: value})
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: b.features})
		return err
	}))
}

// beforeEveryPage runs a script on every page that is opened from here on, ahead of the page's own.
func (b *tab) beforeEveryPage(script string) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		added, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument,
			page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		b.window.scripts = append(b.window.scripts, added.Identifier)
		return err
	}))
}

// hold makes every page from here on hold what it asks of addresses that begin so, the last of them until letThrough.
func (b *tab) hold(begin string) {
	b.t.Helper()
	b.beforeEveryPage(fmt.Sprintf(`(() => {
		const fetched = window.fetch;
		window.fetch = (at, ...more) => !String(at).startsWith(%q) ? fetched(at, ...more)
			: new Promise((resolve) => {
				window.letThrough = () => {
					window.fetch = fetched;
					resolve(fetched(at, ...more));
				};
			});
	})()`, begin))
}
