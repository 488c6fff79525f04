package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// The elements of both pages that hold an answer.
var (
	askedPart    = regexp.MustCompile(`<p class="asked" id="asked">([^<]*)</p>`)
	headlinePart = regexp.MustCompile(`<h1 id="headline">([^<]*)</h1>`)
	meaningPart  = regexp.MustCompile(`<p class="meaning" id="meaning">([^<]*)</p>`)
	whyPart      = regexp.MustCompile(`<p class="why" id="why"(?: hidden)?>([^<]*)</p>`)
	cautionPart  = regexp.MustCompile(`<p class="caution" id="caution">([^<]*)</p>`)
	pullersPart  = regexp.MustCompile(`<h1 id="headline"><span class="gear">([^<]*)</span> ([^<]*)</h1>`)
)

// wordsIn are the texts that an element of a page holds.
func wordsIn(t *testing.T, page response, part *regexp.Regexp) []string {
	t.Helper()
	found := part.FindStringSubmatch(string(page.body))
	require.NotNil(t, found, "%s in %s", part, page.body)
	for i, text := range found {
		found[i] = html.UnescapeString(text)
	}
	return found[1:]
}

// inWords are the words of the API's answer to a question.
func inWords(t *testing.T, p *program, address string) openapi.InWords {
	t.Helper()
	answers := into[openapi.Equivalents](t, p.do(get(address)), 200).Answers
	require.Len(t, answers, 1)
	return *answers[0].InWords
}

func TestPage_OfAQuestionHoldsTheWordsOfItsAnswer(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	for page, question := range map[string]string{
		"/?sled=bluestem&gear=C&start=0&on=fescue":         "sled=bluestem&gear=C&start_ft=0&on=fescue&units=ft",
		"/?sled=bluestem&gear=C&on=fescue&units=m":         "sled=bluestem&gear=C&start_ft=0&on=fescue&units=m",
		"/?sled=bluestem&gear=C&start=2.5&on=fescue":       "sled=bluestem&gear=C&start_ft=2.5&on=fescue&units=ft",
		"/?top_out=252&start=0&on=fescue&units=ft":         "top_out_ft=252&start_ft=0&on=fescue&units=ft",
		"/?units=ft&on=fescue&gear=A&sled=bluestem&more=1": "sled=bluestem&gear=A&start_ft=0&on=fescue&units=ft",
	} {
		want, got := inWords(t, p, "/v1/equivalents?"+question), p.do(get(page))
		assert.Equal(t, 200, got.StatusCode, page)
		assert.Equal(t, []string{want.Asked}, wordsIn(t, got, askedPart), page)
		assert.Equal(t, []string{want.Headline}, wordsIn(t, got, headlinePart), page)
		assert.Equal(t, []string{want.Meaning}, wordsIn(t, got, meaningPart), page)
		asNobodyStores(t, p, page, got)
	}
	for query, question := range map[string]string{
		"&sled=bluestem&gear=C":            "sled=bluestem&gear=C&start_ft=0&on=fescue&units=ft",
		"&sled=bluestem&gear=A&units=m":    "sled=bluestem&gear=A&start_ft=0&on=fescue&units=m",
		"&sled=bluestem&gear=B&start=1.5":  "sled=bluestem&gear=B&start_ft=1.5&on=fescue&units=ft",
		"&top_out=252.5&sled=any&units=ft": "top_out_ft=252.5&one_pull=true&on=fescue&units=ft",
	} {
		page := "/pullers?show=" + harvest + query
		address := "/v1/equivalents?" + question + "&day=" + harvest
		want, got := inWords(t, p, address).ForPullers, p.do(get(page))
		assert.Equal(t, []string{want.Headline, want.Meaning}, wordsIn(t, got, pullersPart), page)
		assert.Equal(t, []string{want.Rests}, wordsIn(t, got, whyPart), page)
		caution := into[openapi.Equivalents](t, p.do(get(address)), 200).Caution
		assert.Equal(t, []string{caution}, wordsIn(t, got, cautionPart), page)
		asNobodyStores(t, p, page, got)
	}
}

// asNobodyStores holds that a page is for whoever asked, now, and comes whole however it is asked for.
func asNobodyStores(t *testing.T, p *program, page string, got response) {
	t.Helper()
	assert.Equal(t, "no-store", got.Header.Get("Cache-Control"), page)
	assert.Empty(t, got.Header.Get("ETag"), page)
	assert.Equal(t, 200, p.do(get(page).with("If-None-Match", "*")).StatusCode, page)
	head := p.do(request{method: "HEAD", path: page})
	assert.Equal(t, "no-store", head.Header.Get("Cache-Control"), page)
	assert.Empty(t, head.body, page)
	packed := p.do(get(page).with("Accept-Encoding", "gzip"))
	require.Equal(t, "gzip", packed.Header.Get("Content-Encoding"), page)
	unpacked, err := gzip.NewReader(bytes.NewReader(packed.body))
	require.NoError(t, err, page)
	text, err := io.ReadAll(unpacked)
	require.NoError(t, err, page)
	assert.Equal(t, string(got.body), string(text), page)
}

// A page without a question holds nothing of the fleet, nor does one whose question is not whole, wrong or refused:
// what comes is the page as everybody gets it, byte for byte.
// The first answer that a browser is sent stands in plain type before the page's style sheets, and then as always.
func TestPage_OfAFirstAnswerHasItBeforeTheStyleSheets(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	styles := regexp.MustCompile(`\s*<link rel="stylesheet" href="[^"]*">`)
	unstyled := regexp.MustCompile(`(?s)\s*<div class="unstyled">(.*?)</div>`)
	for page, day := range map[string]string{
		"/?sled=bluestem&gear=C&on=fescue":                   "",
		"/pullers?show=" + harvest + "&sled=bluestem&gear=C": "&day=" + harvest,
	} {
		first := p.do(get(page))
		cookies := first.Cookies()
		require.Len(t, cookies, 1, page)
		assert.Equal(t, "evenpull-styles=1; Path=/; Max-Age=31536000; HttpOnly; SameSite=Lax", cookies[0].Raw, page)
		question := "/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&units=ft" + day
		words, headline := inWords(t, p, question), ""
		if headline = words.Headline; strings.HasPrefix(page, "/pullers") {
			headline = words.ForPullers.Headline + " " + words.ForPullers.Meaning
		}
		plain := unstyled.FindSubmatchIndex(first.body)
		require.NotNil(t, plain, page)
		text := html.UnescapeString(string(first.body[plain[2]:plain[3]]))
		assert.Contains(t, text, "<h1>"+headline+"</h1>", page)
		assert.Contains(t, text, "<p>"+words.Sure+"</p>", page)
		assert.Contains(t, text, "<p>This compares where the box tops out", page)
		assert.Empty(t, styles.FindAll(first.body[:plain[1]], -1), page)

		later := p.do(get(page).with("Cookie", "evenpull-styles=1"))
		assert.Empty(t, later.Cookies(), page)
		assert.Empty(t, styles.FindAll(later.body[bytes.Index(later.body, []byte("</head>")):], -1), page)
		assert.Equal(t, styles.FindAll(later.body, -1), styles.FindAll(first.body, -1), page)
		assert.Equal(t, string(styles.ReplaceAll(later.body, nil)),
			string(unstyled.ReplaceAll(styles.ReplaceAll(first.body, nil), nil)), "%s: else it is the same", page)
	}
}

func TestPage_WithoutAnAnswerIsBare(t *testing.T) {
	t.Parallel()
	p := start(t)
	tonight, pullers := p.do(get("/")), p.do(get("/pullers")) // of an empty fleet
	smallFleet(t, p)
	smallSeason(t, p)
	const show = "/pullers?show=" + harvest
	for bare, pages := range map[*response][]string{
		&tonight: {
			"/", "/?sled=bluestem&gear=C", "/?sled=bluestem&gear=C&on=bluestem", "/?sled=bluestem&gear=C&on=nobody",
			"/?sled=nobody&gear=C&on=fescue", "/?sled=bluestem&gear=Z&on=fescue", "/?top_out=0&on=fescue",
			"/?sled=bluestem&gear=C&on=fescue&on=sedge", "/?sled=bluestem&gear=C&start=99&on=fescue",
			"/?sled=bluestem&gear=C&start=-1&on=fescue", "/?sled=bluestem&gear=%ff&on=fescue",
			"/?top_out=99999&on=fescue", "/?sled=bluestem&gear=" + strings.Repeat("C", 30) + "&on=fescue",
		},
		&pullers: {
			"/pullers", show, show + "&sled=bluestem", show + "&sled=nobody&gear=C", show + "&sled=bluestem&gear=Z",
			show + "&sled=bluestem&gear=C&start=99", "/pullers?sled=bluestem&gear=C",
			"/pullers?show=nobody-2099-01-01&sled=bluestem&gear=C", show + "&top_out=0",
		},
	} {
		for _, page := range pages {
			got := p.do(get(page))
			assert.Equal(t, string(bare.body), string(got.body), page)
			assert.Equal(t, "no-cache", got.Header.Get("Cache-Control"), page)
			assert.Equal(t, bare.Header.Get("ETag"), got.Header.Get("ETag"), page)
			again := p.do(get(page).with("If-None-Match", bare.Header.Get("ETag")))
			assert.Equal(t, http.StatusNotModified, again.StatusCode, page)
		}
	}
}

func TestPage_OfAPrivateInstallationHoldsAnAnswerForThoseSignedInAlone(t *testing.T) {
	t.Parallel()
	p := start(t, "--private")
	smallFleetAs(t, p)
	for _, r := range []request{post("/v1/sleds/fescue/readings", readingOf("2", 251)),
		post("/v1/sleds/bluestem/readings", readingOf("C", 250)),
		post("/v1/shows", showOn("Harvest Pull", "2099-07-18", "fescue"))} {
		require.Equal(t, 201, p.do(r.as(p.key)).StatusCode)
	}
	cookie := signIn(t, p, testKey)
	ended := *cookie
	ended.Value = strings.Repeat("x", len(cookie.Value))
	for page, part := range map[string]*regexp.Regexp{
		"/?sled=bluestem&gear=C&on=fescue":                   headlinePart,
		"/pullers?show=" + harvest + "&sled=bluestem&gear=C": pullersPart,
	} {
		path, _, _ := strings.Cut(page, "?")
		bare := p.do(get(path).nobody())
		for who, r := range map[string]request{
			"nobody": get(page).nobody(), "a session that ended": get(page).signedIn(&ended),
			"a wrong key": get(page).nobody().with("Authorization", "Bearer "+strings.Repeat("x", 40)),
		} {
			got := p.do(r)
			assert.Equal(t, 200, got.StatusCode, "%s %s", who, page)
			assert.Equal(t, string(bare.body), string(got.body), "%s %s", who, page)
			for _, link := range got.Header.Values("Link") {
				assert.NotContains(t, link, "/sheet", "%s: whether there is such a show", who)
			}
		}
		got := p.do(get(page).signedIn(cookie))
		assert.Contains(t, wordsIn(t, got, part)[0], "on Fescue", page)
		assert.Equal(t, "no-store", got.Header.Get("Cache-Control"), page)
		assert.Equal(t, string(bare.body), string(p.do(get(path).signedIn(cookie)).body), "%s without a question", path)
	}
}

var aTag = regexp.MustCompile(`<[^>]*>`)

// tagsOfPages are the tags of the pages that hold an answer, and of its words, which stand there as they were given.
func tagsOfPages(t *testing.T, p *program, f fleetOf) (tags []string) {
	t.Helper()
	q := url.QueryEscape
	sled, label, on := q(f.sleds[0]), q(f.labels[0]), q(f.sleds[1])
	want := inWords(t, p, "/v1/equivalents?sled="+sled+"&gear="+label+"&on="+on)
	tonight := p.do(get("/?sled=" + sled + "&gear=" + label + "&on=" + on))
	assert.Equal(t, []string{want.Asked}, wordsIn(t, tonight, askedPart))
	assert.Equal(t, []string{want.Headline}, wordsIn(t, tonight, headlinePart))
	assert.Equal(t, []string{want.Meaning}, wordsIn(t, tonight, meaningPart))
	pullers := p.do(get("/pullers?show=" + q(f.show) + "&sled=" + sled + "&gear=" + label))
	assert.Equal(t, []string{want.ForPullers.Headline, want.ForPullers.Meaning}, wordsIn(t, pullers, pullersPart))
	return append(aTag.FindAllString(string(tonight.body), -1), aTag.FindAllString(string(pullers.body), -1)...)
}

// The answer is worked out once: the page's scripts then find it cached. A page with a question counts as a read, and
// comes bare to an address that reads too often.
func TestPage_OfAQuestionCostsNoMoreThanTheQuestion(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Now()}
	p := serving(t, func(o *serverOptions) { o.ReadRate, o.Now = 10, clock.time })
	smallFleet(t, p)
	count := func(outcome string) float64 {
		return metric(t, p, fmt.Sprintf(`evenpull_cached_answers_total{outcome=%q}`, outcome))
	}
	for _, coding := range []string{"identity", "gzip"} {
		clock.set(clock.time().Add(time.Minute))
		misses, hits := count("miss"), count("hit")
		require.Equal(t, "no-store", p.do(get("/?sled=bluestem&gear=C&on=fescue").with("Accept-Encoding", coding)).
			Header.Get("Cache-Control"))
		assert.Equal(t, misses+1, count("miss"), coding)
		asked := p.do(get("/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&units=ft").
			with("Accept-Encoding", coding))
		assert.Equal(t, 200, asked.StatusCode)
		assert.Equal(t, misses+1, count("miss"), coding)
		assert.Equal(t, hits+1, count("hit"), coding)
	}
	clock.set(clock.time().Add(time.Minute))
	for range 20 { // two seconds' worth
		wordsIn(t, p.do(get("/?sled=bluestem&gear=C&on=fescue")), headlinePart)
	}
	bare := p.do(get("/"))
	assert.Equal(t, string(bare.body), string(p.do(get("/?sled=bluestem&gear=C&on=fescue")).body))
	problemOf(t, p.do(get("/v1/sleds")), 429)
}
