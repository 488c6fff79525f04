// Package pagetest tests the pages in a real browser before the real program.
//
// One Chromium serves all tests. Tests run in parallel, each at pages of its own device (device_test.go). Those that
// only read share one program with the demo fleet (sharedDemo); each that writes starts one with a database of its own
// (serve).
//
// With CI=true everything is tested. Without it, what takes minutes is tested in part; each test that leaves something
// out says what.
package pagetest

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
)

// inFull says that nothing may be left out for want of time.
var inFull = os.Getenv("CI") == "true"

// The program and the browser, made once for all tests.
var (
	program   string          // the real program, built from this module
	browser   context.Context // nil where there is no Chromium
	windows   windowPool
	demo      sharedProgram
	noBrowser string // why there is no browser
)

func TestMain(m *testing.M) {
	flag.Parse()
	code, err := run(m)
	if err != nil {
		log.Print(err)
		code = 1
	}
	os.Exit(code)
}

func run(m *testing.M) (code int, err error) {
	chromium, found := chromiumPath()
	if !found {
		noBrowser = "these tests need Chromium: apt-get install chromium"
		return m.Run(), nil
	}
	if err := moreAtOnce(); err != nil {
		return 0, err
	}
	dir, err := os.MkdirTemp("", "evenpull-pages")
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	program = filepath.Join(dir, "evenpull")
	if out, err := exec.Command("go", "build", "-o", program, "evenpull/api").CombinedOutput(); err != nil {
		return 0, fmt.Errorf("building the program: %w\n%s", err, out)
	}
	// The features are those that the library switches off, and the lists under the address bar, which are pages of
	// their own and would be drawn beside each of ours.
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.UserDataDir(filepath.Join(dir, "profile")),
		chromedp.Flag("disable-features", "Translate,BlinkGenPropertyTrees,WebUIOmniboxPopup,WebUIOmniboxAimPopup"))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	process, end := chromedp.NewContext(allocator)
	defer end()
	if err := chromedp.Do(process); err != nil {
		return 0, fmt.Errorf("starting Chromium: %w", err)
	}
	// A private profile keeps nothing on the disk, which costs less.
	profile, closeProfile := chromedp.NewContext(process, chromedp.WithNewBrowserContext())
	defer closeProfile()
	if err := chromedp.Do(profile); err != nil {
		return 0, fmt.Errorf("opening a profile: %w", err)
	}
	browser = profile
	code = m.Run()
	return code, demo.end()
}

// chromiumPath finds Chromium: without a window where it is installed so, which costs a third less of the processor.
func chromiumPath() (path string, found bool) {
	for _, name := range []string{"chromium-headless-shell", "chromium"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, true
		}
	}
	return "", false
}

// moreAtOnce lets more tests run at once than there are processors, since each often waits for its page. It bounds the
// number of tabs as well. The flag -parallel, where it is given, has the last word.
func moreAtOnce() error {
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "test.parallel" })
	if given {
		return nil
	}
	return flag.Set("test.parallel", strconv.Itoa(2*runtime.GOMAXPROCS(0)))
}

// inPart is all of a list with CI=true, and else its first few.
func inPart[T any](list []T, few int) []T {
	if inFull {
		return list
	}
	return list[:few]
}

// leaveOut leaves a test out for want of something, or fails it with CI=true.
func leaveOut(t *testing.T, why string) {
	t.Helper()
	if inFull {
		t.Fatal(why)
	}
	t.Skip(why)
}
