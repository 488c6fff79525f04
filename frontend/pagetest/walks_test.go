package pagetest

import (
	"fmt"
	"html"
	"io"
	"math"
	"net/http"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// walk is somebody on the way to something, with what it costs: the keystroke-level model of Card, Moran and Newell
// (Communications of the ACM 23, 1980, 396–410), its figures as remembered: a tap 1.1 s, thinking of what comes next
// 1.35 s, and 0.5 s for each character of text or of the page's own pad, as for letters without meaning. That somebody
// reads a page for the first time is not in it; readingANewPage, an assumption of our own, is added for each kind of
// page.
type walk struct {
	*tab
	name    string
	known   map[string]bool // pages that have been seen
	step    int
	seconds float64
}

const (
	tapTakes        = 1.1
	thinkingTakes   = 1.35
	typingTakes     = 0.5
	readingANewPage = 10
)

func (s site) walk(name string, on screen, path string) *walk {
	s.t.Helper()
	w := &walk{tab: s.open(on, path), name: name, known: map[string]bool{}}
	w.reads()
	return w
}

// reads takes in the page that is open, when it is the first of its kind.
func (w *walk) reads() {
	w.t.Helper()
	page := eval[string](w.tab, "location.pathname + [...new URLSearchParams(location.search).keys()]")
	if !w.known[page] {
		w.known[page] = true
		w.seconds += readingANewPage
	}
}

func (w *walk) taps(selector string) {
	w.t.Helper()
	w.tap(selector)
	w.seconds += thinkingTakes + tapTakes
}

// arrives is a tap that leads to another page.
func (w *walk) arrives(selector, ready string) {
	w.t.Helper()
	w.taps(selector)
	w.until(ready)
	w.reads()
}

func (w *walk) types(selector, text string) {
	w.t.Helper()
	w.tap(selector)
	eval[bool](w.tab, fmt.Sprintf("(document.querySelector(%q).select(), true)", selector))
	w.do(chromedp.KeyEvent(text))
	w.seconds += thinkingTakes + tapTakes + typingTakes*float64(len(text))
}

// notes notes a top-out with the thumb; the gear is tapped only when it is another than before.
func (w *walk) notes(gear, distance string) {
	w.t.Helper()
	pick := fmt.Sprintf("#note-gears input[value='%s']", gear)
	w.until("document.querySelector(\"" + pick + "\")")
	if !eval[bool](w.tab, "document.querySelector(\""+pick+"\").checked") {
		w.taps(pick)
	}
	w.padded(distance)
	w.seconds += thinkingTakes + typingTakes*float64(len(distance))
	w.taps("#note-form button[value=topped-out]")
	w.state("sent")
}

func (w *walk) signsIn() {
	w.t.Helper()
	w.giveKey(managerKey)
	w.seconds += thinkingTakes + typingTakes*float64(len(managerKey))
}

// sees holds the page as it is now against its picture.
func (w *walk) sees() {
	w.t.Helper()
	w.step++
	w.shown(fmt.Sprintf("walks/%s-%d.png", w.name, w.step))
}

func (w *walk) took() time.Duration {
	return time.Duration(w.seconds * float64(time.Second)).Round(time.Second)
}

// Nobody has entered anything; three minutes of one person's doing later the page says which gear is nearest, and
// rightly so.
func TestWalk_FromAnEmptyInstallationToTheFirstAnswer(t *testing.T) {
	t.Parallel()
	s := serve(t)
	w := s.walk("first-answer", phone, "/")
	w.expectRefusals()
	w.says("main", "No sleds yet.")
	w.sees()
	const formReady = "document.querySelector('#add-form')?.checkVisibility()"
	for i, sled := range []struct {
		name, gears string
		tops        map[string]string
		order       []string
	}{
		{"Bluestem", "A, B, C", map[string]string{"A": "280", "B": "260", "C": "240"}, []string{"A", "B", "C"}},
		{"Fescue", "1, 2, 3", map[string]string{"1": "272", "2": "255", "3": "231"}, []string{"1", "2", "3"}},
	} {
		w.until("document.querySelector('.first-steps [aria-current] a')")
		if i == 1 {
			w.says(".first-steps [aria-current]", "Bluestem is here. Add the other sled.")
			w.sees()
		}
		w.arrives(".first-steps [aria-current] a", formReady)
		w.until(fmt.Sprintf("document.querySelectorAll('#sleds > li').length === %d", i))
		w.types("#add-name", sled.name)
		w.types("#add-gears", sled.gears)
		if i == 0 {
			w.sees()
		}
		w.taps("#add-form button[type=submit]")
		if i == 0 {
			w.signsIn()
		}
		w.until("document.querySelector('#enter-link')?.checkVisibility()")
		w.reads()
		w.arrives("#enter-link", "document.querySelector('#note-gears input')")
		for _, gear := range sled.order {
			w.notes(gear, sled.tops[gear])
		}
		if i == 0 {
			w.sees()
		}
		w.arrives("nav a[href='/']", "document.querySelector('main')")
	}
	w.pick("#question select[name=sled]", "bluestem")
	w.seconds += 2 * (thinkingTakes + tapTakes)
	w.taps("#question input[name=gear][value=B]")
	w.pick("#question select[name=on]", "fescue")
	w.seconds += 2 * (thinkingTakes + tapTakes)
	w.says("#headline", "2 on Fescue.") // without another tap; 255 ft lies 5 ft from 260 ft, 272 ft 12 ft
	w.says("main", "5 ft earlier")
	w.sees()
	t.Logf("from nothing to the first answer in %s of a new user's doing", w.took())
	assert.Less(t, w.took(), 3*time.Minute)
}

// Thirty readings of one day, noted beside the track. One is noted in the wrong gear: the page says at once which gear
// it fits, and it is put right there and then. One is misread and nobody looks: the sled's page finds it afterward. In
// the end the chart is as it would have been without them.
func TestWalk_ThroughAManagersDayOfThirtyReadings(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	truth := map[string]map[string]float64{} // start → gear → where it tops out
	for _, start := range []string{"0", "2", "4"} {
		truth[start] = map[string]float64{}
		for _, gear := range []string{"A", "B", "C", "D", "E"} {
			at, err := strconv.ParseFloat(start, 64)
			require.NoError(t, err)
			truth[start][gear], _ = s.notedChart("bluestem", gear, at)
		}
	}
	before := len(s.readings("bluestem"))
	w := s.walk("thirty-readings", phone, "/worked-out")
	w.tab.signIn(managerKey)
	w.goTo("/note?sled=bluestem")
	w.noted()
	w.seconds = 0 // known ground
	noted := 0
	scatter := []float64{0.4, -0.6, 0.2, -0.3, 0.7, -0.2} // percent: as readings differ anyway
	for i, start := range []string{"0", "2", "4"} {
		if i > 0 {
			for range 4 { // four marks of half a foot
				w.taps("#note-start + button")
			}
			w.until(fmt.Sprintf("document.querySelector('#note-start').value === %q", start))
		}
		for _, gear := range []string{"A", "B", "C", "D", "E"} {
			for range 2 {
				distance := math.Round(truth[start][gear] * (1 + scatter[noted%len(scatter)]/100))
				noted++
				switch noted {
				case 7: // D was in, B is noted
					require.Equal(t, "D", gear)
					w.notes("B", fmt.Sprint(distance))
					w.says("#note-latest .fit", "it fits gear D")
					w.sees()
					w.taps("#note-latest button[data-does=undo]")
					w.state("aside")
					w.notes("D", fmt.Sprint(distance))
					w.says("#note-latest .fit", "Fits")
				case 22: // a tape misread by ten feet, and nobody looks at what the page says
					w.notes(gear, fmt.Sprint(distance+10))
				default:
					w.notes(gear, fmt.Sprint(distance))
				}
			}
		}
	}
	w.sees()
	minutes := w.seconds / 60
	t.Logf("thirty readings with one put right in %s, %.1f a minute", w.took(), 30/minutes)
	assert.Greater(t, 30/minutes, 7.0)
	require.Len(t, s.readings("bluestem"), before+31)

	w.arrives("#sled-link", "document.querySelector('#checks li')")
	w.says("#checks", "than the other readings say")
	w.until("document.querySelector('#readings-list li')")
	w.do(chromedp.ScrollIntoView("#checks"))
	w.sees()
	assert.Equal(t, 1, eval[int](w.tab, "document.querySelectorAll('#checks li').length"), w.text("#checks"))
	w.taps("#checks li .plain")
	w.until("document.activeElement?.id.startsWith('reading-')")
	w.sees()
	w.press("#" + eval[string](w.tab, "document.activeElement.id") + " [aria-label^='Set aside']")
	w.reply("the tape was misread")
	w.until("document.querySelectorAll('#checks li').length === 0")
	w.says("#readings-list", "Set aside: The tape was misread.")
	w.sees()
	for start, gears := range truth {
		for gear, was := range gears {
			at, _ := strconv.ParseFloat(start, 64)
			now, _ := s.notedChart("bluestem", gear, at)
			assert.InDelta(t, was, now, 0.006*was, "%s from %s ft", gear, start)
		}
	}
}

// From the code on the fence to what to tell the crew: one tap.
func TestWalk_FromTheCodeOnTheFenceToTheAnswerInOneTap(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	req, err := http.Get(s.base + "/v1/shows/" + show + "/qr.svg")
	require.NoError(t, err)
	defer req.Body.Close()
	drawing, err := io.ReadAll(req.Body)
	require.NoError(t, err)
	at := regexp.MustCompile(`https://sleds\.example(/[^\s<]*)`).FindStringSubmatch(string(drawing))
	require.NotNil(t, at, "%.400s", drawing)
	w := s.walk("fence-code", phone, html.UnescapeString(at[1]))
	w.says("#headline", "What is your gear tonight?")
	w.sees()
	w.taps("#next-step button:nth-of-type(4)")
	w.says("#headline .gear", "on Fescue")
	w.says("#answer", "so")
	w.sees()
	assert.Equal(t, "D", eval[string](w.tab, "document.querySelector('#ran-gear').value"))
	whole := eval[struct{ Top, Bottom, Scrolled float64 }](w.tab, `(() => {
		const box = document.querySelector('#sure').getBoundingClientRect();
		return {Top: document.querySelector('#headline').getBoundingClientRect().top,
			Bottom: box.bottom, Scrolled: scrollY};
	})()`)
	assert.Zero(t, whole.Scrolled)
	assert.Positive(t, whole.Top)
	assert.LessOrEqual(t, whole.Bottom, 640.0, "all of it without scrolling")
	var api answers
	s.call("GET", "/v1/equivalents?sled=bluestem&gear=D&on=fescue", nil, &api)
	require.NotNil(t, api.Answers[0].Nearest)
	w.says("#headline", api.Answers[0].Nearest.Gear+" on Fescue")
}
