package pagetest

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The parts of the API's answers about shows that the pages are held against.
type (
	answerRow struct {
		Nearest *struct {
			Gear    string
			StartFt float64 `json:"start_ft"`
		}
	}
	showSheet struct {
		SledName string `json:"sled_name"`
		Rows     []struct {
			Class, Name string
			Tonight     answerRow
			Booked      *answerRow
			AsRun       []struct {
				FromHook int `json:"from_hook"`
				Gear     string
				Note     string
				PullOff  bool `json:"pull_off"`
			} `json:"as_run"`
			Outcome *struct {
				Hooks     *int
				FullPulls *int     `json:"full_pulls"`
				LongestFt *float64 `json:"longest_ft"`
				Felt      string
			}
		}
	}
	candidates struct {
		Items []struct {
			Sled, Name string
			Booked     bool
			MeanFt     float64 `json:"mean_ft"`
			InWords    string  `json:"in_words"`
		}
	}
)

// inDays is a date as the API writes it. Shows of the past are over by themselves, so that dates in tests follow the
// clock.
func inDays(n int) string { return time.Now().AddDate(0, 0, n).Format(time.DateOnly) }

// evening is eight classes in the demo fleet's own gears, and a show of them. It returns the show's id.
func (s site) evening(name string, day int, sled string, classes ...string) string {
	s.t.Helper()
	if classes == nil {
		classes = s.eightClasses()
	}
	var show struct{ ID string }
	s.call("POST", "/v1/shows", map[string]any{"name": name, "date": inDays(day), "place": "Alder Fairground",
		"sled": sled, "classes": classes}, &show)
	return show.ID
}

// eight are classes as a promoter would write them down: name, gear on Bluestem.
var eight = []struct{ name, gear string }{
	{"Farm stock 9,500 lb", "C"}, {"Farm stock 12,000 lb", "B"}, {"Hot farm 9,500 lb", "D"}, {"Antique 5,500 lb", "E"},
	{"Pro stock 10,000 lb", "A"}, {"Four-wheel-drive trucks 6,200 lb", "C"}, {"Diesel trucks 8,000 lb", "D"},
	{"Garden tractors 1,050 lb", "E"},
}

// classes are the names of all classes there are.
func (s site) classes() []string {
	s.t.Helper()
	var page struct{ Items []struct{ Name string } }
	s.call("GET", "/v1/classes?limit=500", nil, &page)
	var names []string
	for _, c := range page.Items {
		names = append(names, c.Name)
	}
	return names
}

func (s site) eightClasses() []string {
	s.t.Helper()
	var ids []string
	for _, c := range eight {
		ids = append(ids, s.class(c.name, c.gear, ""))
	}
	return ids
}

func (s site) class(name, gear, pullOff string) string {
	s.t.Helper()
	input := map[string]any{"name": name, "setting": map[string]any{"sled": "bluestem", "gear": gear},
		"weights": "4 × 500 lb in the box, 2 on the pan"}
	if pullOff != "" {
		input["pull_off"] = map[string]any{"sled": "bluestem", "gear": pullOff}
	}
	var made struct{ ID string }
	s.call("POST", "/v1/classes", input, &made)
	return made.ID
}

// change changes a show as somebody else would, over the API.
func (s site) change(show string, change map[string]any) {
	s.t.Helper()
	get, err := http.Get(s.base + "/v1/shows/" + show)
	require.NoError(s.t, err)
	defer get.Body.Close()
	input := map[string]any{}
	require.NoError(s.t, json.NewDecoder(get.Body).Decode(&input))
	for _, own := range []string{"id", "revision", "created_at", "updated_at", "pullers_url"} {
		delete(input, own)
	}
	for name, value := range change {
		input[name] = value
	}
	body, err := json.Marshal(input)
	require.NoError(s.t, err)
	req, err := http.NewRequestWithContext(s.t.Context(), "PUT", s.base+"/v1/shows/"+show,
		strings.NewReader(string(body)))
	require.NoError(s.t, err)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+managerKey)
	req.Header.Set("If-Match", get.Header.Get("ETag"))
	put, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer put.Body.Close()
	require.Equal(s.t, 200, put.StatusCode)
}

// pages counts the pages that a sheet prints on.
func (b *tab) pages(paper chromedp.PDFOption) int {
	b.t.Helper()
	pdf, err := chromedp.Run(b.window.ctx, chromedp.PrintToPDF(paper))
	require.NoError(b.t, err)
	return len(regexp.MustCompile(`/Type ?/Page\b`).FindAll(pdf, -1))
}

var papers = map[string]chromedp.PDFOption{"letter": chromedp.PDFPaper(chromedp.PaperLetter),
	"A4": chromedp.PDFPaper(chromedp.PaperA4)}

func TestShowPage_FromTheFirstClassToBothSheets(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	b := s.open(desk, "/shows")
	known := len(s.classes())
	b.press("#to-new-class")
	for i, c := range eight {
		b.write("#new-class input[name=name]", c.name)
		b.pick("#new-class select[name='setting.sled']", "bluestem")
		b.pick("#new-class [data-at='setting.gear'] input[value="+c.gear+"]", c.gear)
		b.press("#new-class button[type=submit]")
		if i == 0 {
			b.giveKey(managerKey)
		}
		b.until(fmt.Sprintf("document.querySelectorAll('#classes-list > li').length === %d && "+
			"document.querySelector('#new-class input[name=name]').value === ''", known+i+1))
	}
	assert.Contains(t, b.text("#class-farm-stock-9-500-lb"), "C on Bluestem, from full back: that is 255 ± 2 ft")

	b.press("#to-new-show")
	b.write("#new-show-name", "Harvest pull")
	b.write("#new-show-place", "Alder Fairground")
	b.press("#new-show button[type=submit]")
	b.says("#new-show-form", "Give the date.")
	assert.Equal(t, "Harvest pull", eval[string](b, "document.querySelector('#new-show-name').value"),
		"nothing typed is lost")
	b.pick("#new-show-date", inDays(10))
	b.pick("#new-show-sled", "fescue")
	// One by one puts a class first, and all the rest behind it.
	b.pick("#new-show select[aria-label='Class to add']", "farm-stock-9-500-lb")
	eval[bool](b, `([...document.querySelectorAll('#new-show .order ~ .actions button')].find((b) =>
		b.textContent === 'Add').click(), true)`)
	eval[bool](b, `([...document.querySelectorAll('#new-show .order ~ .actions button')].find((b) =>
		b.textContent === 'Add all').click(), true)`)
	for _, c := range s.classes() { // those of the demo are another promoter's
		if !slices.ContainsFunc(eight, func(own struct{ name, gear string }) bool { return own.name == c }) {
			b.press(fmt.Sprintf("#new-show [aria-label=%q]", "Take out "+c))
		}
	}
	b.until("document.querySelectorAll('#new-show .order li').length === 8")
	assert.Equal(t, "Farm stock 9,500 lb", b.text("#new-show .order li:first-child .name"))
	b.press("#new-show .order li:nth-child(2) button[data-move='1']")
	b.until("document.activeElement.getAttribute('aria-label') === 'Move Antique 5,500 lb down'")
	b.do(chromedp.KeyEvent("\r"))
	assert.Equal(t, "Antique 5,500 lb", b.text("#new-show .order li:nth-child(4) .name"), "a second press moves it on")
	b.press("#new-show button[type=submit]")

	id := "harvest-pull-" + inDays(10)
	b.until("location.search === '?show=" + id + "' && document.querySelectorAll('#sheet-body tbody tr').length === 8")
	b.press("#show-parts [data-part=book]")
	b.until("document.querySelectorAll('#candidates tbody tr').length > 0")
	var ranked candidates
	s.call("GET", "/v1/shows/"+id+"/candidates", nil, &ranked)
	names := eval[[]string](b, "[...document.querySelectorAll('#candidates tbody tr')].map((r) => r.dataset.sled)")
	var want []string
	for _, c := range ranked.Items {
		want = append(want, c.Sled)
		assert.Contains(t, b.text("#candidates [data-sled="+c.Sled+"]"), plain(c.InWords))
		assert.Regexp(t, `^Within 5 ft for (\d of|all) 8 classes`, plain(c.InWords))
	}
	assert.Equal(t, want, names)
	assert.Contains(t, b.text("#candidates tr.chosen"), "Fescue booked")
	assert.NotContains(t, b.text("#candidates"), "in 100")
	b.press("#last-fold summary")
	assert.Contains(t, b.text("#last-time"), "No earlier show: ")

	// Another sled: every line that would change is shown before anything is booked.
	var other showSheet
	s.call("GET", "/v1/shows/"+id+"/sheet?sled=timothy", nil, &other)
	b.press("#candidates [data-sled=timothy] button")
	b.says("#changes", "Timothy instead of Fescue")
	assert.Equal(t, 8, eval[int](b, "document.querySelectorAll('#changes tbody tr').length"))
	for i, row := range other.Rows {
		line := b.text(fmt.Sprintf("#changes tbody tr:nth-child(%d)", i+1))
		assert.Contains(t, line, row.Name)
		assert.Contains(t, line, row.Booked.Nearest.Gear+" from full back")
		assert.Contains(t, line, row.Tonight.Nearest.Gear+" from full back")
	}
	assert.Equal(t, "Fescue is booked.", b.text("#show-sled"))
	b.press("#changes .primary")
	b.says("#show-sled", "Timothy is booked.")
	b.until("document.activeElement.id === 'book'")
	b.press("#show-parts [data-part=sheet]")
	b.says("#sheet-heading", "Tonight on Timothy")
	for i, row := range other.Rows {
		assert.Contains(t, b.text(fmt.Sprintf("#sheet-body tbody tr:nth-child(%d)", i+1)),
			row.Tonight.Nearest.Gear+" from full back")
	}
	b.press("#show-parts [data-part=settings]")
	b.until("document.querySelector('#qr img')?.complete && document.querySelector('#qr img').naturalWidth > 0")
	assert.Contains(t, b.text("#qr"), "https://sleds.example/pullers?show="+id)

	for _, page := range []string{"/sheet", "/fence"} {
		b.goTo(page + "?show=" + id)
		b.until("document.querySelectorAll('#body tbody tr').length === 8 && [...document.images].every((i) => " +
			"i.complete)")
		assert.Equal(t, "Timothy", b.text("#sled"))
		for name, paper := range papers {
			assert.Equal(t, 1, b.pages(paper), "%s on %s", page, name)
		}
	}
	assert.Contains(t, b.text(".means"), "a faster tractor does not move it sooner")
}

func TestSheetPage_PrintsManyClassesOnOnePage(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	var ids []string
	for i := range 20 {
		pullOff := ""
		if i%3 == 0 {
			pullOff = "D"
		}
		name := []string{"Farm stock 9,500 lb", "Limited super stock tractors 10,000 lb",
			"Antique division II 6,500 lb", "Super farm"}[i%4]
		ids = append(ids, s.class(fmt.Sprintf("%s, round %d", name, i+1), string("ABCDE"[i%5]), pullOff))
	}
	b := s.open(desk, "/shows")
	for _, count := range []int{14, 20} {
		// Timothy has the longest labels
		id := s.evening(fmt.Sprintf("Grand county fair %d", count), 20, "timothy", ids[:count]...)
		for _, page := range []string{"/sheet", "/fence"} {
			b.goTo(page + "?show=" + id)
			b.until(fmt.Sprintf("document.querySelectorAll('#body tbody tr').length === %d && "+
				"[...document.images].every((i) => i.complete)", count))
			for name, paper := range papers {
				assert.Equal(t, 1, b.pages(paper), "%s of %d classes on %s", page, count, name)
			}
		}
	}
	b.goTo("/sheet?show=grand-county-fair-20-" + inDays(20))
	b.until("document.querySelector('#body tbody tr')")
	// Home weights are never tonight's: they name their sled, and what is tonight's is an empty box.
	assert.Equal(t, "on Bluestem: 4 × 500 lb in the box, 2 on the pan tonight", b.text("#body tbody .weights"))
}

func TestShowPage_OverwritesNoBookingMadeMeanwhile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	id := s.evening("Harvest pull", 10, "fescue")
	b := s.open(desk, "/shows?part=book&show="+id)
	b.expectRefusals()
	b.press("#candidates [data-sled=timothy] button")
	b.says("#changes", "Timothy instead of Fescue")

	s.change(id, map[string]any{"sled": "brome", "place": "Maple Park"})

	b.press("#changes .primary")
	b.giveKey(managerKey)
	b.says("#changes", "Nothing was booked.")
	b.press("#changes [role=status] button")
	b.says("#changes", "Timothy instead of Brome")
	b.says("#show-sled", "Brome is booked.")
	b.press("#changes .primary")
	b.says("#show-sled", "Timothy is booked.")

	// The same with the form: two people change a show at once.
	b.press("#show-parts [data-part=settings]")
	b.until("document.querySelector('#edit-place')?.value === 'Maple Park'")
	b.write("#edit-notes", "Scales open at four.")
	s.change(id, map[string]any{"promoter": "Somebody Else", "place": "Alder Fairground"})
	b.press("#edit-form .order li:first-child button[data-move='1']")
	b.press("#edit-form button[type=submit]")
	b.says("#edit-note", "what you typed is still here")
	b.press("#edit-note button")
	b.says("#edit-note", "Kept as you typed them: notes, running order.")
	assert.Equal(t, "Alder Fairground", eval[string](b, "document.querySelector('#edit-place').value"),
		"what nobody touched is filled in anew")
	b.press("#edit-form button[type=submit]")
	b.says("#edit-note", "Saved.")
	var show struct{ Sled, Promoter, Notes string }
	s.call("GET", "/v1/shows/"+id, nil, &show)
	assert.Equal(t, struct{ Sled, Promoter, Notes string }{"timothy", "Somebody Else", "Scales open at four."}, show)
	b.press("#show-parts [data-part=sheet]")
	b.says("#sheet-body tbody tr:first-child th", "Farm stock 12,000 lb")
}

// On a device a day behind, what is today is today where the show is. The two zones lie 25 hours apart (IANA time zone
// database), so that their dates always differ. Not beside others: Chromium sets the clock of every tab that shares a
// process with this one.
func TestShow_IsTonightByTheClockOfItsPlace(t *testing.T) {
	s := serve(t, "--demo")
	ahead, err := time.LoadLocation("Pacific/Kiritimati")
	require.NoError(t, err)
	id := s.evening("Atoll pull", 10, "fescue")
	date := time.Now().In(ahead).Format(time.DateOnly)
	s.change(id, map[string]any{"date": date, "zone": "Pacific/Pago_Pago"})
	b := s.open(desk, "/worked-out")
	b.clockOf("Pacific/Pago_Pago")
	defer b.clockOf("") // the machine's own, for whoever gets this window next
	b.goTo("/shows?show=" + id)
	b.says("#sheet-body", "Farm stock 12,000 lb")
	assert.False(t, eval[bool](b, "document.querySelector('#night-form').checkVisibility()"), "it is tomorrow there")
	b.press("#show-parts [data-part=settings]")
	b.until("document.querySelector('#edit-zone')?.checkVisibility()")
	assert.Equal(t, "Pacific/Pago_Pago", eval[string](b, "document.querySelector('#edit-zone').value"))
	b.write("#edit-zone", "Nowhere/Atall")
	b.expectRefusals()
	b.press("#edit-form button[type=submit]")
	b.giveKey(managerKey)
	b.says("#edit-form", "Must be the name of a time zone like America/Chicago")
	b.write("#edit-zone", ahead.String())
	b.press("#edit-form button[type=submit]")
	b.says("#edit-note", "Saved.")
	b.press("#show-parts [data-part=sheet]")
	b.until("document.querySelector('#night-form').checkVisibility()")
	b.goTo("/shows")
	b.until("document.querySelector('#shows-ahead .near')")
	assert.Equal(t, "Today", b.text("#shows-ahead .near"))
	b.goTo("/shows?part=run&show=" + id)
	b.says("#run-classes", "On now")
	b.goTo("/")
	b.says("#next-show", "Today Atoll pull")
}

func (b *tab) clockOf(zone string) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: zone})
		return err
	}))
}

func TestShowPage_ClosesAShowAndOpensItAgain(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	id := s.evening("Harvest pull", 10, "fescue")
	b := s.open(desk, "/shows?part=settings&show="+id)
	b.press("#over")
	b.press("dialog[open] .primary")
	b.giveKey(managerKey)
	b.until("document.querySelector('#show-over').checkVisibility()")
	assert.True(t, eval[bool](b, "document.querySelector('#edit-form fieldset').disabled"))
	b.press("#show-parts [data-part=book]")
	b.until("document.querySelectorAll('#candidates tbody tr').length > 0")
	assert.Zero(t, eval[int](b, "document.querySelectorAll('#candidates button').length"),
		"no other sled is booked for a show that is over")
	b.press("#show-parts [data-part=settings]")
	b.press("#over")
	b.press("dialog[open] .primary")
	b.until("!document.querySelector('#show-over').checkVisibility()")
	b.press("#show-parts [data-part=book]")
	b.until("document.querySelectorAll('#candidates button').length > 0")
}

func TestShowPage_ShowsWhatEachClassRanOnLastTime(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	classes := s.eightClasses()
	before := s.evening("Spring pull", -30, "timothy", classes...)
	at := "/v1/shows/" + before + "/classes/" + classes[0]
	s.call("POST", at+"/as-run", map[string]any{"from_hook": 1, "gear": "high 1"}, nil)
	s.call("PUT", at+"/outcome", map[string]any{"hooks": 14, "full_pulls": 3, "longest_ft": 312.5, "felt": "soft"}, nil)
	b := s.open(desk, "/shows?part=book&show="+s.evening("Harvest pull", 10, "fescue", classes...))
	b.press("#last-fold summary")
	b.says("#last-time tbody tr", "high 1 on Timothy, from full back")
	for _, part := range []string{"3 of 14", "longest 312.5 ft", "felt too soft", "here", "Spring pull"} {
		assert.Contains(t, b.text("#last-time tbody tr"), part)
	}
	assert.Contains(t, b.text("#last-time tbody tr:nth-child(2)"), "as the sheet said; what was set was not noted")
}

func TestShowPage_SavesTheSheetAsASpreadsheet(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	id := s.evening("Harvest pull", 10, "fescue")
	b := s.open(desk, "/shows?show="+id)
	catch := `(URL.createObjectURL = (file) => { file.text().then((text) => { document.body.dataset.saved = text; });
		return 'data:,'; }, true)`
	eval[bool](b, catch)
	b.press("#sheet-csv")
	b.until("document.body.dataset.saved")
	assert.Contains(t, eval[string](b, "document.body.dataset.saved"), "Farm stock 9,500 lb")
	b.goTo("/shows")
	eval[bool](b, catch)
	b.press("#classes-csv")
	b.until("document.body.dataset.saved")
	assert.Equal(t, len(s.classes())+1,
		len(slices.Collect(strings.Lines(strings.TrimSpace(eval[string](b, "document.body.dataset.saved"))))))
}

// What people type is text, wherever it is shown.
func TestShowPages_ShowNamesAsText(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	const markup = `<img src=x onerror="document.title='it ran'">`
	var sled, class, show struct{ ID string }
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail " + markup, "travel_ft": 30,
		"gears": []any{map[string]any{"label": "<b>1</b>"}}}, &sled)
	s.call("POST", "/v1/sleds/"+sled.ID+"/readings",
		map[string]any{"gear": "<b>1</b>", "distance_ft": 250, "measured_on": inDays(-9)}, nil)
	s.call("POST", "/v1/classes", map[string]any{"name": "Super " + markup, "weights": markup, "notes": markup,
		"used_by": markup,
		"setting": map[string]any{"sled": sled.ID, "gear": "<b>1</b>"}, "pull_off": map[string]any{"sled": sled.ID,
			"gear": "<b>1</b>"}}, &class)
	s.call("POST", "/v1/shows", map[string]any{"name": "Pull " + markup, "date": inDays(-2), "place": markup,
		"promoter": markup, "notes": markup,
		"sled": sled.ID, "classes": []string{class.ID}}, &show)
	at := "/v1/shows/" + url.PathEscape(show.ID) + "/classes/" + url.PathEscape(class.ID)
	s.call("POST", at+"/as-run", map[string]any{"from_hook": 1, "gear": "<b>1</b>", "note": markup, "weights": markup},
		nil)
	s.call("PUT", at+"/outcome", map[string]any{"note": markup}, nil)
	b := s.open(phone, "/shows")
	for page, places := range map[string][]string{
		"/shows": {"#shows-past", "#class-" + class.ID},
		"/shows?show=" + show.ID: {"h1#show-name", "#show-facts", "#show-notes",
			"#sheet-body"},
		"/shows?part=run&show=" + show.ID:                     {".run summary", ".lines", ".went summary"},
		"/shows?part=book&show=" + show.ID:                    {"#candidates tr.chosen"},
		"/shows?part=settings&show=" + show.ID:                {"#show-name", ".order .name"},
		"/sheet?show=" + show.ID:                              {"#name", "#sled", "#when", "#body"},
		"/fence?show=" + show.ID:                              {"#name", "#sled", "#when", "#body"},
		"/season?since=" + inDays(-5) + "&until=" + inDays(0): {"#other-classes h3", "#other-classes tbody"},
	} {
		b.goTo(page)
		b.until(fmt.Sprintf("document.querySelector(%q)?.checkVisibility()", places[0]))
		eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), true)")
		for _, place := range places {
			b.says(place, "<img src=x")
		}
		assert.Zero(t, eval[int](b, "document.querySelectorAll('img[src=x], main td b').length"), page)
		assert.NotEqual(t, "it ran", eval[string](b, "document.title"), page)
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), 360, page)
	}
}

// On the printed cab sheet no word of a setting is broken, beside short gear labels and long ones.
func TestSheetPage_BreaksNoWordOfASetting(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var shows struct{ Items []map[string]any }
	s.call("GET", "/v1/shows?limit=1", nil, &shows)
	for _, sled := range []string{"timothy", "fescue"} {
		var made struct{ ID string }
		s.call("POST", "/v1/shows", map[string]any{"name": "On " + sled, "date": "2099-12-12", "sled": sled,
			"classes": shows.Items[0]["classes"]}, &made)
		b := s.open(screen{width: 733, height: 1060}, "/sheet?show="+made.ID) // A4 within its margins
		b.until("document.querySelectorAll('#body tr').length > 5")
		b.do(chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia,
				emulation.SetEmulatedMediaParams{Media: "print"})
			return err
		}))
		broken := eval[[]string](b, `[...document.querySelectorAll('.set .start')].flatMap(({ firstChild: text }) =>
			[...text.data.matchAll(/\S+/g)].filter(({ 0: word, index }) => {
			const range = document.createRange();
			range.setStart(text, index);
			range.setEnd(text, index + word.length);
			return range.getClientRects().length > 1;
		}).map(([word]) => word))`)
		assert.Empty(t, broken, sled)
	}
}
