package pagetest

import (
	"encoding/json"
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
)

func TestMeasuringPage_PrintsOnTwoSheets(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/measuring")
	for name, paper := range map[string]chromedp.PDFOption{"letter": chromedp.PDFPaper(chromedp.PaperLetter),
		"A4": chromedp.PDFPaper(chromedp.PaperA4)} {
		pdf, err := chromedp.Run(b.window.ctx, chromedp.PrintToPDF(paper))
		require.NoError(t, err)
		assert.Len(t, regexp.MustCompile(`/Type ?/Page\b`).FindAll(pdf, -1), 2, name)
	}
}

func TestForms_HaveTheColumnsOfTheTemplate(t *testing.T) {
	t.Parallel()
	read := func(name string) string {
		text, err := fs.ReadFile(frontend.Files(), name)
		require.NoError(t, err)
		return string(text)
	}
	for page, script := range map[string]string{
		"measuring.html": "assets/fleet/upload.js", "weighing.html": "assets/weights/upload.js",
	} {
		_, form, found := strings.Cut(read(page), `id="form"`)
		require.True(t, found)
		var columns []string
		for _, head := range regexp.MustCompile(`<th [^>]*>([a-z_]+)</th>`).FindAllStringSubmatch(form, -1) {
			columns = append(columns, head[1])
		}
		list := regexp.MustCompile(`COLUMNS = (\[[^\]]+\])`).FindStringSubmatch(read(script))
		require.NotNil(t, list)
		var template []string
		require.NoError(t, json.Unmarshal([]byte(strings.ReplaceAll(list[1], "'", `"`)), &template))
		assert.Equal(t, columns, template, page)
	}
}

// The page "How it is worked out" follows one example by hand. The program must come to the same.
func TestWorkedOutPage_ExampleIsWhatTheProgramSays(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Bluestem", "travel_ft": 30,
		"gears": []any{map[string]any{"label": "C"}}}, nil)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Fescue", "travel_ft": 32,
		"gears": []any{map[string]any{"label": "2"}, map[string]any{"label": "3"}}}, nil)
	for _, r := range []struct {
		sled, gear, on string
		distance       float64
	}{{"bluestem", "C", "2026-05-09", 252}, {"bluestem", "C", "2026-05-09", 256}, {"fescue", "2", "2026-05-16", 246},
		{"fescue", "3", "2026-05-16", 262}} {
		s.call("POST", "/v1/sleds/"+r.sled+"/readings",
			map[string]any{"gear": r.gear, "distance_ft": r.distance, "measured_on": r.on}, nil)
	}
	var api answers
	s.call("GET", "/v1/equivalents?sled=bluestem&gear=C&on=fescue", nil, &api)
	near, moved := api.Answers[0].Nearest, api.Answers[0].MovedStart
	require.NotNil(t, near)
	require.NotNil(t, moved)
	assert.Equal(t, "2", near.Gear)
	assert.InDelta(t, -7.99, near.DifferenceFt, 0.005)
	assert.Equal(t, "toss-up", near.Confidence)
	assert.Equal(t, "3", moved.Gear)
	assert.InDelta(t, 0.98, moved.StartFt, 0.005)
	assert.InDelta(t, 1.0, moved.RoundedStartFt, 1e-9)
	assert.InDelta(t, 253.81, moved.TopOutFt, 0.005)
	assert.True(t, moved.WorthIt)

	b := s.open(desk, "/worked-out")
	example := b.text("#example")
	for _, figure := range []string{"246 − 253.99 = −7.99 ft", "a toss-up between 2 and 3", "0.98 ft", "253.81 ft"} {
		assert.Contains(t, example, figure)
	}
}
