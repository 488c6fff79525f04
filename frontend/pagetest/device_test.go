package pagetest

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	cdplog "github.com/chromedp/cdproto/log"

	"github.com/stretchr/testify/require"
)

// screen is what a page is looked at with.
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

// device is a phone or a computer that has never been at the site: its tabs share what is stored on it, and closing one
// loses nothing of that. All devices live in one browser. Each knows the site by a host name of its own (a browser
// takes every name under localhost for this machine, RFC 6761, section 6.3), and what a browser stores it stores by
// host.
type device struct {
	site   site
	screen screen
	wire   *wire // between the device and the site, nil where nothing is
	base   string
	worker bool // the service worker of the pages starts
}

var deviceNumber atomic.Int64

// deviceOn makes a device.
func (s site) deviceOn(on screen) device {
	name := fmt.Sprintf("device%d.localhost", deviceNumber.Add(1))
	return device{site: s, screen: on, base: strings.Replace(s.base, "127.0.0.1", name, 1), worker: inFull}
}

// device makes a device whose service worker starts, and whose network can be cut.
func (s site) device(on screen) device {
	w := &wire{}
	d := s.over(w).deviceOn(on)
	d.wire, d.worker = w, true
	return d
}

// open opens a tab on a path of the site, on a device that has never been there. The service worker of the pages, which
// reads all of them, starts only with CI=true: without it, where a test is about what the worker does.
func (s site) open(on screen, path string) *tab {
	s.t.Helper()
	b := s.deviceOn(on).tab()
	b.goTo(path)
	return b
}

// tab opens an empty tab on the device. It closes with the test, or earlier with leave.
func (d device) tab() *tab {
	t := d.site.t
	t.Helper()
	w, err := windows.take()
	require.NoError(t, err)
	b := &tab{t: t, site: d.site, base: d.base, window: w, alone: d.wire == nil,
		underWay: map[network.RequestID]string{}, ended: make(chan struct{})}
	w.use(b.listen)
	t.Cleanup(b.leave)
	theme := "light"
	if d.screen.dark {
		theme = "dark"
	}
	b.do(chromedp.EmulateViewport(d.screen.width, d.screen.height,
		func(p *emulation.SetDeviceMetricsOverrideParams, _ *emulation.SetTouchEmulationEnabledParams) {
			p.Mobile = d.screen.width < 500
		}))
	b.media("prefers-color-scheme", theme)
	if !d.worker {
		b.beforeEveryPage("if (navigator.serviceWorker) navigator.serviceWorker.register = () => new Promise(() => " +
			"{});")
	}
	return b
}

// at opens a tab with or without signal.
func (d device) at(path string, signal bool) *tab {
	d.site.t.Helper()
	b := d.tab()
	d.signal(b, signal)
	b.goTo(path)
	return b
}

// signal puts a tab on or off the network. The browser's protocol does it for the page; for the worker, which it does
// not reach, the wire is cut.
func (d device) signal(b *tab, on bool) {
	b.t.Helper()
	if !on {
		b.expectNoSignal()
	}
	d.wire.cut.Store(!on)
	b.do(networkOf(on))
	if on && b.hasPage() {
		// The browser answers before its network does so. The page must not hear of it earlier.
		b.eventually("fetch('/healthz', {cache: 'no-store'}).then(() => true, () => false)")
	}
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, network.OverrideNetworkState,
			network.OverrideNetworkStateParams{Offline: !on, DownloadThroughput: -1, UploadThroughput: -1})
		return err
	}))
}

// networkOf puts the network of a tab on or off.
func networkOf(on bool) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		conditions := []*network.Conditions{{Offline: !on, DownloadThroughput: -1, UploadThroughput: -1}}
		_, err := cdp.Call(ctx, t, network.EmulateNetworkConditionsByRule,
			network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: conditions})
		return err
	})
}

// speedOf makes the processor of a tab so many times slower.
func speedOf(slower float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slower})
		return err
	})
}

// windowPool holds the windows of the browser that no test uses just now. To open a window takes longer than most of
// what a test does in it, so that they are used again. There are as many as tests that run at once need.
type windowPool struct {
	mu   sync.Mutex
	free []*window
}

// window is a window of the browser with one tab.
type window struct {
	ctx     context.Context
	close   context.CancelFunc
	events  atomic.Pointer[func(event any)]
	scripts []page.ScriptIdentifier // that run before those of every page
}

func (p *windowPool) take() (*window, error) {
	p.mu.Lock()
	if n := len(p.free); n > 0 {
		w := p.free[n-1]
		p.free = p.free[:n-1]
		p.mu.Unlock()
		return w, nil
	}
	p.mu.Unlock()
	w := &window{}
	w.ctx, w.close = chromedp.NewContext(browser, chromedp.WithListener(func(event any) {
		if listen := w.events.Load(); listen != nil {
			(*listen)(event)
		}
	}))
	return w, chromedp.Do(w.ctx, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, cdplog.Enable, cdp.Empty{}); err != nil {
			return err
		}
		if _, err := cdp.Call(ctx, t, network.Enable, network.EnableParams{}); err != nil {
			return err
		}
		// Only one window has the focus. Each page is told that it is that one.
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled,
			emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
}

func (w *window) use(listen func(event any)) { w.events.Store(&listen) }

// giveBack makes the window as it was in the beginning, but for the page, which stays until the next user goes to
// another. A window that does not obey is closed.
func (p *windowPool) giveBack(w *window) {
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	err := chromedp.Do(ctx, networkOf(true), speedOf(1),
		chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			for _, script := range w.scripts {
				if _, err := cdp.Call(ctx, t, page.RemoveScriptToEvaluateOnNewDocument,
					page.RemoveScriptToEvaluateOnNewDocumentParams{Identifier: script}); err != nil {
					return err
				}
			}
			return nil
		}))
	if err != nil {
		w.close()
		return
	}
	w.scripts = nil
	p.mu.Lock()
	defer p.mu.Unlock()
	p.free = append(p.free, w)
}
