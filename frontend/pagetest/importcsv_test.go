package pagetest

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// importing opens the page that takes a spreadsheet's file, signed in.
func (s site) importing(on screen) *tab {
	s.t.Helper()
	b := s.open(on, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/fleet")
	b.until("document.querySelector('#sleds li') && document.querySelector('#import-file').checkVisibility()")
	b.quiet() // the script that takes the file comes last
	return b
}

// choose chooses a file of that content.
func (b *tab) choose(name, content string) {
	b.t.Helper()
	file := filepath.Join(b.t.TempDir(), name)
	require.NoError(b.t, os.WriteFile(file, []byte(content), 0o600))
	eval[bool](b, "(document.querySelector('#import-result').replaceChildren(), true)")
	b.do(chromedp.SetUploadFiles(chromedp.CSS("#import-file"), []string{file}))
	b.until("document.querySelector('#import-result h3')?.textContent && " +
		"document.querySelector('#import-progress').hidden")
}

// drop drops a file of that content on an element, as a mouse does that comes from another window.
func (b *tab) drop(selector, name, content string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`(() => {
		const dataTransfer = new DataTransfer();
		dataTransfer.items.add(new File([%q], %q, {type: 'text/csv'}));
		const place = document.querySelector(%q);
		for (const type of ['dragenter', 'dragover', 'drop']) {
			const taken = !place.dispatchEvent(new DragEvent(type, {dataTransfer, bubbles: true, cancelable: true}));
			if (type !== 'dragenter' && !taken) {
				throw new Error(type + ' is left to the browser, which would leave the page for the file');
			}
		}
		return true;
	})()`, content, name, selector))
}

// everyReading counts the readings of the fleet.
func (s site) everyReading() int {
	s.t.Helper()
	var list sledList
	s.call("GET", "/v1/sleds", nil, &list)
	sum := 0
	for _, sled := range list.Items {
		sum += sled.Readings
	}
	return sum
}

// reading is the one of a sled that noted that distance.
func (s site) reading(sled string, distanceFt float64) noteReading {
	s.t.Helper()
	for _, r := range s.readings(sled) {
		if math.Abs(r.DistanceFt-distanceFt) < 1e-9 {
			return r
		}
	}
	require.FailNow(s.t, "no such reading", "%g ft on %s", distanceFt, sled)
	return noteReading{}
}

func TestImport_ShowsHowASpreadsheetIsUnderstoodAndKeepsIt(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(desk)
	before := s.everyReading()
	b.choose("notebook.csv", "sled,gear,start_ft,distance_ft,measured_on\nbluestem,C,0,255,2026-05-09\n"+
		"fescue,2,0,248,2026-05-10\n\n"+
		"fescue,2,0,247,2026-05-10\n")
	b.says("#import-count", "3 rows, and all fit.")
	b.says("#import-next", "Nothing is stored yet.")
	assert.Contains(t, b.text("#import-result table"), "Bluestem C 0 ft 255 ft May 9, 2026")
	assert.Equal(t, before, s.everyReading())
	b.press("#import-store")
	b.says("#import-stored", "3 readings of notebook.csv stored.")
	b.says("#import-stored", "Fescue 2 readings")
	assert.Equal(t, before+3, s.everyReading())
	assert.Equal(t, "2026-05-10", s.reading("fescue", 247).MeasuredOn)
	b.until("document.querySelector('#sleds').innerText.includes('" + fmt.Sprint(len(s.readings("bluestem"))) +
		" readings')")
	b.press("#import-stored a")
	b.until("location.search === '?sled=bluestem'")
}

func TestImport_MarksABadRowBeforeAnythingIsKept(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	b.expectRefusals()
	before := s.everyReading()
	b.choose("notebook.csv", strings.Join([]string{
		"sled,gear,start_ft,distance_ft,measured_on,ended,end_ft",
		"bluestem,C,0,255,2026-05-09,,",
		"bluestem,Q,0,250,2026-05-09,,",
		"",
		"nosuch,C,0,far,2026-02-30,exploded,",
		"bluestem,C,0,200,2026-05-09,stopped-short,",
		`bluestem,C,0,"1,250",2026-05-09,,`,
		"bluestem,,0,250,2199-05-09,,",
		"bluestem,C,40,250,2026-05-09,,,x",
		"bluestem,C,40,250,2026-05-09", // the travel is 34.5 ft, 10.5 m
	}, "\n"))
	b.says("#import-count", "8 rows: 7 do not fit, 1 does.")
	rows := eval[[]string](b, "[...document.querySelectorAll('#import-faults tbody tr')].map((row) => "+
		"row.innerText.replace(/\\s+/g, ' ').trim())")
	assert.Equal(t, []string{
		`3 Gear Bluestem has no gear "Q"; it has A, B, C, D, E.`,
		`5 Distance Must be a length like 12.5, 12' 6" or 3.81 m, not "far".`,
		`5 Date There is no day "2026-02-30".`,
		`5 How it ended Must be topped out, stopped short, past the top or stated, not "exploded".`,
		`5 Sled There is no sled "nosuch"; there are Bluestem, Brome, Fescue, Ryegrass, Sedge, Timothy.`,
		"6 Box stopped at A reading that stopped short needs the box position where it stopped.",
		`7 Distance Can be read in two ways; write 1250 or 1.250, not "1,250".`,
		"8 Gear Is missing.",
		"8 Date 2199-05-09 lies in the future.",
		"9 the row Has 8 cells under 7 headings; a decimal comma, perhaps: put such a cell in quotes, or write a " +
			"point.",
		"10 Start The box of Bluestem tops out at 34.5 ft (10.5 m) of travel; it cannot start at 40 ft (12.2 m).",
	}, rows)
	assert.True(t, eval[bool](b, "document.querySelector('#import-store').disabled"))
	assert.Equal(t, before, s.everyReading())
}

// What the server finds only when it stores stands beside the preview, which stays.
func TestImport_MarksWhatIsFoundWhenItIsKept(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(desk)
	b.expectRefusals()
	before := s.everyReading()
	// the travel is 34.5 ft, 10.5 m
	b.choose("notebook.csv", "Sled;Gear;Start (m);Distance (m);Date\n\nBluestem;C;10,4;0,85;2026-08-02\n")
	b.says("#import-count", "1 row, and it fits.")
	// Somebody else notes a change meanwhile.
	s.call("POST", "/v1/sleds/bluestem/changes",
		map[string]any{"made_on": "2026-08-01", "what": "the cut-off moved", "travel_ft": 34,
			"effect": "by-ratio"}, nil)
	b.press("#import-store")
	b.says("#import-faults", "The box of Bluestem tops out at 34 ft (10.4 m) of travel")
	assert.Regexp(t, `^3 Start `, b.text("#import-faults tbody tr"))
	assert.True(t, eval[bool](b, "document.querySelector('#import-store').checkVisibility() && "+
		"!document.querySelector('#import-store').disabled"), "the preview stays")
	assert.Equal(t, before, s.everyReading())
}

func TestImport_MatchesColumnsLooselyAndLetsThemBeChosen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(phone)
	b.expectRefusals()
	// A byte-order mark, semicolons, decimal commas, meters, names of people's own, dates by the day.
	b.choose("notebook.csv", "\ufeffSled Name;GEAR;Box start;Top-out distance (m);Date;How it ended;Who;Tire "+
		"pressure (bar);Color\n"+
		"Blue Stem;c;full back;77,4;9/5/2026;Topped out;crew notes;6;red\nFESCUE;gear 2;12' "+
		"6\";45,1;25.5.2026;;crew notes;6;red\n")
	uses := func() []string {
		return eval[[]string](b, "[...document.querySelectorAll('#import-result select')].map((list) => "+
			"list.selectedOptions[0].textContent)")
	}
	assert.Equal(t, []string{"Sled", "Gear", "Start (ft)", "Distance (m)", "Date", "How it ended", "Noted or stated by",
		"left out", "left out"}, uses())
	first := eval[[]string](b, "[...document.querySelectorAll('#import-result > div table tbody tr')].map((row) => "+
		"row.innerText.replace(/\\s+/g, ' ').trim())")
	assert.Equal(t, []string{
		"2 Bluestem C 0 ft 77.4 m May 9, 2026 topped out, spot marked crew notes",
		"3 Fescue 2 12.5 ft 45.1 m May 25, 2026 topped out, spot marked crew notes",
	}, first)
	b.pick("#import-column-8", "note")
	b.until("document.querySelector('#import-result > div:not(#import-faults) table').innerText.includes('red')")
	assert.Equal(t, "Note", uses()[8])
	// A field has one column: the other one gives way.
	b.pick("#import-column-8", "gear")
	b.says("#import-count", "2 rows: 2 do not fit")
	assert.Equal(t, "left out", uses()[1])
	b.pick("#import-column-1", "gear")
	b.says("#import-count", "2 rows, and all fit.")
	b.press("#import-store")
	b.says("#import-stored", "2 readings of notebook.csv stored.")
	// 1 ft = 0.3048 m exactly: NIST Special Publication 811, Appendix B.
	r := s.reading("bluestem", 77.4/0.3048)
	assert.Equal(t, []string{"C", "2026-05-09", "crew notes"}, []string{r.Gear, r.MeasuredOn, r.By})
	assert.InDelta(t, 12.5, s.reading("fescue", 45.1/0.3048).StartFt, 1e-9)
}

// The pages and the server have one list each of the fields of a reading and of a weighing, and they are the same.
func TestFields_AreThoseOfTheServer(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/fleet")
	type field struct{ Name, Label, Kind string }
	var want []field
	for _, f := range fleet.ReadingFields() {
		want = append(want, field{f.Name, f.Label, string(f.Kind)})
	}
	assert.Equal(t, want, await[[]field](b, "import('/assets/model/fields.js').then(({FIELDS}) => FIELDS)"))
	want = nil
	for _, f := range fleet.WeighingFields() {
		want = append(want, field{f.Name, f.Label, string(f.Kind)})
	}
	assert.Equal(t, want, await[[]field](b, "import('/assets/weights/upload.js').then(({FIELDS}) => FIELDS)"))
}

// A length that does not say its unit is in that of the page.
func TestImport_ReadsLengthsInTheUnitsOfThePage(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).importing(phone)
	b.press("input[name=frame-units][value=m]")
	b.choose("notebook.csv", "Sled,Gear,Distance,Date\nbluestem,C,77.4,2026-05-09\n")
	assert.Equal(t, "Bluestem C 77.4 m May 9, 2026",
		strings.TrimPrefix(b.text("#import-result > div table tbody tr"), "2 "))
}

func TestImport_AsksAboutDatesThatCanBeReadInTwoWays(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	b.expectRefusals()
	const heading = "sled\tgear\tdistance_ft\tmeasured_on\n"
	b.choose("a.tsv", heading+"bluestem\tC\t255\t9/5/2026\nbluestem\tC\t255\t5/5/2026\n")
	b.says("#import-dates", "Dates such as 9/5/2026 can be read in two ways. Which comes first?")
	b.says("#import-count", "2 rows. Say first how the dates are meant.")
	assert.True(t, eval[bool](b, "document.querySelector('#import-store').disabled"))
	b.press("#import-first-month")
	b.says("#import-result table", "Sep 5, 2026")
	eval[bool](b, "(document.querySelector('#import-first-day').focus(), true)")
	b.press("#import-first-day")
	b.says("#import-result table", "May 9, 2026")
	assert.False(t, eval[bool](b, "document.querySelector('#import-store').disabled"))
	assert.Equal(t, "import-first-day", eval[string](b, "document.activeElement.id"), "the keyboard stays where it was")

	b.choose("b.tsv", heading+"bluestem\tC\t255\t9/5/2026\nbluestem\tC\t255\t25/5/2026\n")
	assert.False(t, eval[bool](b, "!!document.querySelector('#import-dates')"),
		"one row shows that the day comes first")
	assert.Contains(t, b.text("#import-result > div table tbody tr"), "May 9, 2026")
}

func TestImport_TakesOnceForAllRowsWhatNoColumnSays(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(phone)
	b.expectRefusals()
	b.choose("one sled.csv", "gear,distance\nC,255\nD,243\n")
	b.says("#import-count", "2 rows: 2 do not fit")
	b.pick("#import-sled", "bluestem")
	b.until("!document.querySelector('#import-faults').innerText.includes('Sled')")
	assert.Contains(t, b.text("#import-faults tbody tr"), "1 Date Is missing;")
	b.pick("#import-date", "2026-05-09")
	b.says("#import-count", "2 rows, and all fit.")
	b.press("#import-store")
	b.says("#import-stored", "2 readings")
	r := s.reading("bluestem", 243)
	assert.Equal(t, []string{"D", "2026-05-09"}, []string{r.Gear, r.MeasuredOn})
}

func TestImport_ShowsTheProgressOfALargeFile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(desk)
	before := s.everyReading()
	const rows = 20_000
	var file strings.Builder
	file.WriteString("sled,gear,start_ft,distance_ft,measured_on,note\n")
	for i := range rows {
		fmt.Fprintf(&file, "bluestem,C,0,%d,2026-05-09,\"row %d, of a long notebook\"\n", 250+i%10, i)
	}
	// Every state of the bar is noted as it comes.
	eval[bool](b, `(() => {
		window.seen = [];
		const bar = document.querySelector('#import-progress');
		new MutationObserver(() => {
			if (!bar.hidden) seen.push(bar.innerText.trim() + ' ' + (bar.querySelector('progress')
				.hasAttribute('value') ? 'share' : 'unknown'));
		}).observe(bar, {attributes: true, childList: true, subtree: true, characterData: true});
		return true;
	})()`)
	b.drop("#import .drop", "notebook.csv", file.String())
	b.says("#import-count", "20000 rows, and all fit.")
	b.press("#import-store")
	b.says("#import-stored", "20000 readings of notebook.csv stored.")
	assert.Equal(t, before+rows, s.everyReading())
	seen := strings.Join(eval[[]string](b, "[...new Set(seen)]"), "\n")
	for _, state := range []string{"Sending it to be checked … share", "The server looks through it … unknown",
		"Sending … share", "The server stores it … unknown"} {
		assert.Contains(t, seen, state)
	}
	assert.True(t, eval[bool](b, "document.querySelector('#import-progress').hidden"))
}

func TestImport_TakesAFileWhereverOnThePageItIsDropped(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(desk)
	b.expectRefusals()
	b.drop("h1", "notebook.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,255,2026-05-09\n")
	b.says("#import-result h3", "notebook.csv")
	b.says("#import-count", "1 row, and it fits.")

	// Another one takes its place; what cannot be used says why.
	for name, c := range map[string]struct{ content, says string }{
		"empty.csv":   {"", "The file is empty; the first row must name the columns"},
		"picture.csv": {"PNG\x00\x01", "The file is no text;"},
	} {
		b.drop("#import", name, c.content)
		b.says("#import-problem", c.says)
	}
	b.drop("#import", "headings.csv", "sled,gear,distance_ft,measured_on\n")
	b.says("#import-count", "There are no readings under the headings.")
	b.drop("#import", "quotes.csv",
		"sled,gear,distance_ft,measured_on,note\nbluestem,C,255,2026-05-09,\"no end\nbluestem,C,255,2026-05-09,x\n")
	b.says("#import-faults", "The quotes do not match")
	b.drop("#import", "inches.csv", "sled,gear,start,distance_ft,measured_on\nbluestem,C,12' 6\",255,2026-05-09\n")
	b.says("#import-result > div table", "12.5 ft")
}

func TestImport_KeepsTheFileAndItsPreviewWithoutSignal(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	desk := s.device(desk)
	b := desk.at("/fleet", true)
	b.signIn(managerKey)
	b.until("document.querySelector('#sleds li') && document.querySelector('#import-file').checkVisibility()")
	b.quiet() // the script that takes the file comes last
	before := s.everyReading()
	b.choose("notebook.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,255,2026-05-09\n")
	desk.signal(b, false)
	b.press("#import-store")
	b.says("#import-problem", "The server could not be reached, or its answer did not come back. The file is still "+
		"here: try again when there is signal.")
	assert.Contains(t, b.text("#import-result table"), "255 ft")
	b.drop("#import", "later.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,256,2026-05-09\n")
	b.says("#import-problem", "The server could not be reached. The file is still here: try again when there is "+
		"signal.")
	desk.signal(b, true)
	eval[bool](b, "(document.querySelector('#import-again')?.click(), true)") // if it has not noticed by itself
	b.says("#import-result table", "256 ft")
	b.press("#import-store")
	b.says("#import-stored", "1 reading of later.csv stored.")
	assert.Equal(t, before+1, s.everyReading())
}

func TestImport_SavesATemplateInTheUnitsOfThePage(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	eval[bool](b, `(URL.createObjectURL = (file) => { file.text().then((text) => { document.body.dataset.saved = text;
		}); return 'data:,'; }, true)`)
	b.press("#import-template")
	b.until("document.body.dataset.saved?.startsWith('sled,gear,start_ft,distance_ft,')")
	b.press("input[name=frame-units][value=m]")
	b.press("#import-template")
	b.until("document.body.dataset.saved?.startsWith('sled,gear,start_m,distance_m,')")
	// What it names is what the page itself finds in it.
	template := eval[string](b, "document.body.dataset.saved.trim()")
	b.choose("readings.csv", template+"\nbluestem,C,0,77.4,,,2026-05-09,,,,\n")
	assert.Zero(t, eval[int](b, "[...document.querySelectorAll('#import-result select')].filter((list) => "+
		"list.value === '').length"), "every column is known")
}

func TestImport_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, on := range inPart([]screen{phone, desk, {width: 768, height: 1024}, {width: 360, height: 640, dark: true}},
		2) {
		b := s.importing(on)
		b.expectRefusals()
		b.choose("a notebook with a name that is longer than most.csv",
			"Sled Name;Gear;Box start;Top-out distance (m);Date;How it ended;Where it was that "+
				"day\nBluestem;Q;0;far;9/5/2026;exploded;Nonesuch flats\nFescue;2;0;75;9/5/2026;;\n")
		b.press("#import-first-day")
		b.until("document.querySelector('#import-faults tbody tr')")
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), on.String())
		small := eval[[]string](b, `[...document.querySelectorAll('#import :is(button, select, summary, ' +
			'input:not([type=radio]), .choice)')]
			.filter((e) => e.checkVisibility()).filter((e) => { const box = e.getBoundingClientRect();
				return box.height < 44 || box.width < 44; }).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "%s: targets under 44 px", on)
		unnamed := eval[[]string](b, `[...document.querySelectorAll('#import :is(input, select)')].filter((e) =>
			!e.labels?.length && !e.getAttribute('aria-label')).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, unnamed, on.String())
		b.leave()
	}
	// By keyboard alone, from the file on.
	b := s.importing(desk)
	b.choose("notebook.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,255,2026-05-09\n")
	eval[bool](b, "(document.querySelector('#import-file').focus(), true)")
	for range 10 {
		b.do(chromedp.KeyEvent(kb.Tab))
		if eval[string](b, "document.activeElement.id") == "import-store" {
			break
		}
	}
	b.do(chromedp.KeyEvent("\r"))
	b.says("#import-stored", "1 reading of notebook.csv stored.")
	assert.Equal(t, "import-stored", eval[string](b, "document.activeElement.id"))
}
