package pagetest

import (
	"encoding/json"
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
	b.until("document.querySelector('#import-result h3')?.textContent && document.querySelector('#import-progress').hidden")
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
			if (type !== 'dragenter' && !taken) throw new Error(type + ' is left to the browser, which would leave the page for the file');
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

func TestImport_LooksThroughChecksAndKeepsASpreadsheet(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(desk)
	before := s.everyReading()
	b.choose("notebook.csv", "sled,gear,start_ft,distance_ft,measured_on\nbluestem,C,0,255,2026-05-09\nfescue,2,0,248,2026-05-10\n\nfescue,2,0,247,2026-05-10\n")
	b.says("#import-count", "3 rows, and all fit as far as can be seen here.")
	assert.Contains(t, b.text("#import-result table"), "Bluestem C 0 ft 255 ft May 9, 2026")
	b.press("#import-check")
	b.says("#import-next", "Every row fits. Nothing is kept yet.")
	assert.Equal(t, before, s.everyReading())
	assert.Equal(t, "import-keep", eval[string](b, "document.activeElement.id"), "the keyboard goes on to what is next")
	b.press("#import-keep")
	b.says("#import-kept", "3 readings of notebook.csv kept.")
	b.says("#import-kept", "Fescue 2 readings")
	assert.Equal(t, before+3, s.everyReading())
	assert.Equal(t, "2026-05-10", s.reading("fescue", 247).MeasuredOn)
	b.until("document.querySelector('#sleds').innerText.includes('" + fmt.Sprint(len(s.readings("bluestem"))) + " readings')")
	b.press("#import-kept a")
	b.until("location.search === '?sled=bluestem'")
}

func TestImport_MarksABadRowBeforeAnythingIsSent(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
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
		"bluestem,C,0,250,2026-05-09,,,x",
	}, "\n"))
	b.says("#import-count", "7 rows: 6 do not fit, 1 does.")
	rows := eval[[]string](b, "[...document.querySelectorAll('#import-faults tbody tr')].map((row) => row.innerText.replace(/\\s+/g, ' ').trim())")
	assert.Equal(t, []string{
		"3 Gear Bluestem has no gear “Q”; it has A, B, C, D, E.",
		"5 Sled There is no sled “nosuch”; there are Bluestem, Brome, Fescue, Ryegrass, Sedge, Timothy.",
		"5 Distance “far” is no length. Write it like 12.5, 12' 6\" or 3.81 m.",
		"5 Date There is no day “2026-02-30”.",
		"5 How it ended “exploded” says nothing known of how it ended. Write topped out, stopped short, past the top, or stated.",
		"6 Box stopped at A pull that stopped short needs where the box stood.",
		"7 Distance “1,250” can be read in two ways. Write 1250, or 1.250.",
		"8 Gear The gear is missing.",
		"8 Date 2199-05-09 lies in the future.",
		"9 the row There are 8 cells under 7 headings. A decimal comma, perhaps: put such a cell in quotes, or use a point.",
	}, rows)
	assert.True(t, eval[bool](b, "document.querySelector('#import-check').disabled"))
	assert.Zero(t, eval[int](b, "performance.getEntriesByType('resource').filter(({name}) => name.includes('/v1/readings')).length"), "nothing was sent")
	assert.Equal(t, before, s.everyReading())
}

// What only the API knows comes back to the row of the file it is about; the preview stays.
func TestImport_MarksWhatTheServerFindsInTheFilesOwnRows(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(desk)
	b.expectRefusals()
	before := s.everyReading()
	b.choose("notebook.csv", "Sled;Gear;Start (m);Distance (m);Date\n\nBluestem;C;0;77,4;2026-05-09\n\nBluestem;C;11;77,4;2026-05-09\n") // the travel is 34.5 ft, 10.5 m
	b.says("#import-count", "2 rows, and all fit as far as can be seen here.")
	b.press("#import-check")
	b.says("#import-faults", "Nothing was kept. The server found 1 fault")
	assert.Regexp(t, `^5 Start The box of Bluestem tops out at 34\.5 ft \(10\.5 m\) of travel`, b.text("#import-faults tbody tr"))
	assert.True(t, eval[bool](b, "document.querySelector('#import-check').checkVisibility() && !document.querySelector('#import-check').disabled"), "the preview stays")
	assert.Equal(t, before, s.everyReading())
}

func TestImport_MatchesColumnsLooselyAndLetsThemBeChosen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(phone)
	// A byte-order mark, semicolons, decimal commas, meters, names of people's own, dates by the day.
	b.choose("notebook.csv", "\ufeffSled Name;GEAR;Box start;Top-out distance (m);Date;How it ended;Who;Tire pressure (bar);Color\n"+
		"Blue Stem;c;0;77,4;9/5/2026;Topped out;crew notes;6;red\nFESCUE;gear 2;12' 6\";45,1;25.5.2026;;crew notes;6;red\n")
	uses := func() []string {
		return eval[[]string](b, "[...document.querySelectorAll('#import-result select')].map((list) => list.selectedOptions[0].textContent)")
	}
	assert.Equal(t, []string{"Sled", "Gear", "Start (ft)", "Distance (m)", "Date", "How it ended", "Noted or stated by", "left out", "left out"}, uses())
	first := eval[[]string](b, "[...document.querySelectorAll('#import-result > div table tbody tr')].map((row) => row.innerText.replace(/\\s+/g, ' ').trim())")
	assert.Equal(t, []string{
		"2 Bluestem C 0 ft 77.4 m May 9, 2026 topped out, spot marked crew notes",
		"3 Fescue 2 12.5 ft 45.1 m May 25, 2026 not said: topped out crew notes",
	}, first)
	b.pick("#import-column-8", eval[string](b, "[...document.querySelectorAll('#import-column-8 option')].find((o) => o.textContent === 'Note').value"))
	b.until("document.querySelector('#import-result > div table').innerText.includes('red')")
	assert.Equal(t, "Note", uses()[8])
	// A field has one column: the other one gives way.
	b.pick("#import-column-8", eval[string](b, "[...document.querySelectorAll('#import-column-8 option')].find((o) => o.textContent === 'Gear').value"))
	b.says("#import-count", "2 rows: 2 do not fit")
	assert.Equal(t, "left out", uses()[1])
	b.pick("#import-column-1", eval[string](b, "[...document.querySelectorAll('#import-column-1 option')].find((o) => o.textContent === 'Gear').value"))
	b.says("#import-count", "2 rows, and all fit as far as can be seen here.")
	b.press("#import-check")
	b.press("#import-keep")
	b.says("#import-kept", "2 readings of notebook.csv kept.")
	// 1 ft = 0.3048 m exactly: NIST Special Publication 811, Appendix B.
	r := s.reading("bluestem", 77.4/0.3048)
	assert.Equal(t, []string{"C", "2026-05-09", "crew notes"}, []string{r.Gear, r.MeasuredOn, r.By})
	assert.InDelta(t, 12.5, s.reading("fescue", 45.1/0.3048).StartFt, 1e-9)
}

func TestImport_KnowsWhatPeopleWriteOverColumns(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/fleet")
	for heading, use := range map[string]string{
		"Gear": "gear", "distance (ft)": "distance_ft ft", "Distance, m": "distance_ft m", "distance_m": "distance_ft m", "Distance pulled [meters]": "distance_ft m", "Distance": "distance_ft ft",
		"top-out": "distance_ft ft", "Date": "measured_on", "date measured": "measured_on", "sled name": "sled", "SLED": "sled", "Start position (m)": "start_ft m", "start_ft": "start_ft ft",
		"end_m": "end_ft m", "Box stopped at": "end_ft ft", "How did it end?": "ended", "plus_minus_ft": "plus_minus_ft ft", "±": "plus_minus_ft ft", "Test day": "day", "Track": "place", "Noted by": "by",
		"Remarks": "note", "marked_by": "marked_by", "Taken with": "taken_with", "Weights in box": "weights", "tire_psi": "tire_psi", "Tire pressure (psi)": "tire_psi", "Speed mph": "speed_mph",
		"Tire pressure (bar)": "", "Speed (km/h)": "", "Distance (cm)": "", "Color": "", "": "",
	} {
		got := await[string](b, fmt.Sprintf(`import('/assets/fleet/upload/columns.js').then(({guessUses, fieldOf}) => {
			const [use] = guessUses([%q], 'ft');
			return use ? use.name + (fieldOf(use.name).kind === 'length' ? ' ' + use.units : '') : '';
		})`, heading))
		assert.Equal(t, use, got, "%q", heading)
	}
	assert.Equal(t, "distance_ft m", await[string](b, `import('/assets/fleet/upload/columns.js').then(({guessUses}) => { const [use] = guessUses(['Distance'], 'm'); return use.name + ' ' + use.units; })`),
		"a length that does not say its unit is in that of the page")
	two := await[[]string](b, `import('/assets/fleet/upload/columns.js').then(({guessUses}) => guessUses(['Distance to fence', 'Distance', 'Notes', 'Remarks'], 'ft').map((use) => use?.name ?? ''))`)
	assert.Equal(t, []string{"", "distance_ft", "note", ""}, two, "a field goes to the column that names it best, and to the first of equals")
}

func TestImport_AsksAboutDatesThatCanBeReadInTwoWays(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	const heading = "sled\tgear\tdistance_ft\tmeasured_on\n"
	b.choose("a.tsv", heading+"bluestem\tC\t255\t9/5/2026\nbluestem\tC\t255\t5/5/2026\n")
	b.says("#import-dates", "Dates such as 9/5/2026 can be read in two ways. Which comes first?")
	assert.True(t, eval[bool](b, "document.querySelector('#import-check').disabled"))
	b.pick("#import-first-month", "month")
	b.says("#import-result table", "Sep 5, 2026")
	b.pick("#import-first-day", "day")
	b.says("#import-result table", "May 9, 2026")
	assert.False(t, eval[bool](b, "document.querySelector('#import-check').disabled"))

	for _, c := range []struct{ says, rows, date string }{
		{"one row shows that the day comes first", "bluestem\tC\t255\t9/5/2026\nbluestem\tC\t255\t25/5/2026\n", "May 9, 2026"},
		{"one row shows that the month comes first", "bluestem\tC\t255\t5/9/2026\nbluestem\tC\t255\t5/25/2026\n", "May 9, 2026"},
		{"words need no order", "bluestem\tC\t255\t9 May 2026\nbluestem\tC\t255\tMay 10, 2026\n", "May 9, 2026"},
		{"so does the standard", "bluestem\tC\t255\t2026-05-09\n", "May 9, 2026"},
	} {
		b.choose("b.tsv", heading+c.rows)
		assert.False(t, eval[bool](b, "!!document.querySelector('#import-dates')"), c.says)
		assert.Contains(t, b.text("#import-result > div table tbody tr"), c.date, c.says)
	}
}

func TestImport_TakesOnceForAllRowsWhatNoColumnSays(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(phone)
	b.choose("one sled.csv", "gear,distance\nC,255\nD,243\n")
	b.says("#import-count", "2 rows: 2 do not fit")
	b.pick("#import-sled", "bluestem")
	b.says("#import-faults", "The date is missing.")
	b.pick("#import-date", "2026-05-09")
	b.says("#import-count", "2 rows, and all fit as far as can be seen here.")
	b.press("#import-check")
	b.press("#import-keep")
	b.says("#import-kept", "2 readings")
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
			if (!bar.hidden) seen.push(bar.innerText.trim() + ' ' + (bar.querySelector('progress').hasAttribute('value') ? 'share' : 'unknown'));
		}).observe(bar, {attributes: true, childList: true, subtree: true, characterData: true});
		return true;
	})()`)
	b.drop("#import .drop", "notebook.csv", file.String())
	b.says("#import-count", "20000 rows, and all fit as far as can be seen here.")
	b.press("#import-check")
	b.says("#import-next", "Keep 20000 readings")
	b.press("#import-keep")
	b.says("#import-kept", "20000 readings of notebook.csv kept.")
	assert.Equal(t, before+rows, s.everyReading())
	seen := strings.Join(eval[[]string](b, "[...new Set(seen)]"), "\n")
	for _, state := range []string{"Looking through notebook.csv … share", "Sending it to be checked … share", "The server looks through it … unknown", "Sending … share", "The server keeps it … unknown"} {
		assert.Contains(t, seen, state)
	}
	assert.True(t, eval[bool](b, "document.querySelector('#import-progress').hidden"))
}

// 200,000 rows are gone through in steps: the page answers in between.
func TestImport_LetsThePageAnswerWhileAFileIsGoneThrough(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	got := await[struct{ Steps, Rows, Bad, Listed int }](b, `(async () => {
		const [{UploadFile}, {Sleds}] = await Promise.all([import('/assets/fleet/upload/file.js'), import('/assets/fleet/upload/check.js')]);
		const {items} = await (await fetch('/v1/sleds')).json();
		const lines = ['sled,gear,distance_ft,measured_on'];
		for (let i = 0; i < 200000; i++) lines.push('bluestem,' + (i % 100 === 0 ? 'Q' : 'C') + ',' + (250 + i % 10) + ',2026-05-09');
		const file = await UploadFile.read(new File([lines.join('\n')], 'large.csv'), 'ft');
		let Steps = 0, done = false;
		const turn = () => { if (!done) { Steps++; setTimeout(turn); } };
		turn();
		const checked = await file.check(new Sleds(items), () => {}, new AbortController().signal);
		done = true;
		return {Steps, Rows: checked.rows, Bad: checked.badRows, Listed: checked.bad.length};
	})()`)
	assert.Equal(t, []int{200_000, 2_000, 1_000}, []int{got.Rows, got.Bad, got.Listed})
	assert.Greater(t, got.Steps, 5, "others get their turn")
}

func TestImport_TakesAFileWhereverOnThePageItIsDropped(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(desk)
	b.drop("h1", "notebook.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,255,2026-05-09\n")
	b.says("#import-result h3", "notebook.csv")
	b.says("#import-count", "1 row, and it fits as far as can be seen here.")

	// Another one takes its place; what cannot be used says why.
	for name, c := range map[string]struct{ content, says string }{
		"empty.csv":   {"", "empty.csv is empty. The first row has to name the columns"},
		"picture.csv": {"PNG\x00\x01", "picture.csv is no text."},
	} {
		b.drop("#import", name, c.content)
		b.says("#import-problem", c.says)
	}
	b.drop("#import", "headings.csv", "sled,gear,distance_ft,measured_on\n")
	b.says("#import-count", "There are no readings under the headings.")
	b.drop("#import", "quotes.csv", "sled,gear,distance_ft,measured_on,note\nbluestem,C,255,2026-05-09,\"no end\nbluestem,C,255,2026-05-09,x\n")
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
	b.press("#import-check")
	b.says("#import-problem", "The server could not be reached. The file is still here: try again when there is signal.")
	assert.Contains(t, b.text("#import-result table"), "255 ft")
	desk.signal(b, true)
	b.press("#import-check")
	b.press("#import-keep")
	b.says("#import-kept", "1 reading of notebook.csv kept.")
	assert.Equal(t, before+1, s.everyReading())
}

func TestImport_SavesATemplateInTheUnitsOfThePage(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	eval[bool](b, `(URL.createObjectURL = (file) => { file.text().then((text) => { document.body.dataset.saved = text; }); return 'data:,'; }, true)`)
	b.press("#import-template")
	b.until("document.body.dataset.saved?.startsWith('sled,gear,start_ft,distance_ft,')")
	b.press("input[name=frame-units][value=m]")
	b.press("#import-template")
	b.until("document.body.dataset.saved?.startsWith('sled,gear,start_m,distance_m,')")
	// What it names is what the page itself finds in it.
	template := eval[string](b, "document.body.dataset.saved.trim()")
	b.choose("readings.csv", template+"\nbluestem,C,0,77.4,,,2026-05-09,,,,\n")
	assert.Zero(t, eval[int](b, "[...document.querySelectorAll('#import-result select')].filter((list) => list.value === '').length"), "every column is known")
}

func TestImport_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, on := range inPart([]screen{phone, desk, {width: 768, height: 1024}, {width: 360, height: 640, dark: true}}, 2) {
		b := s.importing(on)
		b.choose("a notebook with a name that is longer than most.csv", "Sled Name;Gear;Box start;Top-out distance (m);Date;How it ended;Where it was that day\nBluestem;Q;0;far;9/5/2026;exploded;Nonesuch flats\nFescue;2;0;75;9/5/2026;;\n")
		b.pick("#import-first-day", "day")
		b.until("document.querySelector('#import-faults tbody tr')")
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), on.String())
		small := eval[[]string](b, `[...document.querySelectorAll('#import :is(button, select, summary, input:not([type=radio]), .choice)')]
			.filter((e) => e.checkVisibility()).filter((e) => { const box = e.getBoundingClientRect(); return box.height < 44 || box.width < 44; }).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "%s: targets under 44 px", on)
		unnamed := eval[[]string](b, `[...document.querySelectorAll('#import :is(input, select)')].filter((e) => !e.labels?.length && !e.getAttribute('aria-label')).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, unnamed, on.String())
		b.leave()
	}
	// By keyboard alone, from the file on.
	b := s.importing(desk)
	b.choose("notebook.csv", "sled,gear,distance_ft,measured_on\nbluestem,C,255,2026-05-09\n")
	eval[bool](b, "(document.querySelector('#import-file').focus(), true)")
	for range 10 {
		b.do(chromedp.KeyEvent(kb.Tab))
		if eval[string](b, "document.activeElement.id") == "import-check" {
			break
		}
	}
	b.do(chromedp.KeyEvent("\r"))
	b.until("document.activeElement.id === 'import-keep'")
	b.do(chromedp.KeyEvent("\r"))
	b.says("#import-kept", "1 reading of notebook.csv kept.")
	assert.Equal(t, "import-kept", eval[string](b, "document.activeElement.id"))
}

// What is sent is CSV as the API takes it, whatever the file looked like.
func TestImport_SendsCSVAsTheAPITakesIt(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.importing(phone)
	sent := await[string](b, `(async () => {
		const [{UploadFile}, {Sleds}] = await Promise.all([import('/assets/fleet/upload/file.js'), import('/assets/fleet/upload/check.js')]);
		const {items} = await (await fetch('/v1/sleds')).json();
		const text = 'Sled;Gear;Start;Distance (m);Date;Notes\r\nTimothy;LOW 1;;81,5;9 May 2026;"two\r\nlines; and ""quotes"", and commas"\r\n;;;;;\r\n';
		const file = await UploadFile.read(new File([text], 'a.csv'), 'ft');
		return (await file.check(new Sleds(items), () => {}, new AbortController().signal)).parts.join('');
	})()`)
	assert.Equal(t, "sled,gear,start_ft,distance_m,measured_on,note\ntimothy,low 1,,81.5,2026-05-09,\"two\r\nlines; and \"\"quotes\"\", and commas\"\n", sent)

	// An older spreadsheet's letters: Windows-1252 has é as one byte (WHATWG Encoding Standard, index windows-1252).
	guessed := await[map[string]any](b, `import('/assets/fleet/upload/text.js').then(({textOf}) => textOf(new Uint8Array([0x52, 0xe9]).buffer))`)
	assert.Equal(t, map[string]any{"text": "Ré", "guessed": true}, guessed)
	utf16 := await[json.RawMessage](b, `import('/assets/fleet/upload/text.js').then(({textOf}) => textOf(new Uint8Array([0xff, 0xfe, 0x52, 0, 0xe9, 0]).buffer))`)
	assert.JSONEq(t, `{"text": "Ré", "guessed": false}`, string(utf16))
}
