package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// The lines of a class settle what pulled which hooks: by hook, and then as they were noted.
func TestAsRun_IsOnTheSheetByHook(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	sent := map[string]any{"from_hook": 1, "gear": "2", "start_ft": 0.5, "weights": "7 blocks",
		"note": "test pull\nwent full", "pull_off": false}
	later := lineOf(15, "1")
	later["pull_off"] = true
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), later)), 201)
	got := p.do(post(asRunAt("open-4x4"), sent))
	line := into[map[string]any](t, got, 201)
	for field, value := range sent {
		assert.EqualValues(t, value, line[field], field)
	}
	assert.Equal(t, "fescue", line["sled"])
	assert.InDelta(t, 251*(1-0.5/31), line["top_out_ft"], 3, "the one reading there is, a straight shape")
	assert.Equal(t, false, line["show_changed"])

	lines := sheetOf(t, p, harvest).Rows[0].AsRun
	require.Len(t, lines, 2)
	assert.Equal(t, []int{1, 15}, []int{lines[0].FromHook, lines[1].FromHook})
	assert.True(t, lines[1].PullOff)
	assert.Empty(t, sheetOf(t, p, harvest).Rows[1].AsRun)

	assert.Equal(t, 204, p.do(remove(asRunAt("open-4x4")+"/"+lines[0].Id)).StatusCode)
	assert.Equal(t, lines[1:], sheetOf(t, p, harvest).Rows[0].AsRun)
	problemOf(t, p.do(remove(asRunAt("open-4x4")+"/"+lines[0].Id)), 404)
	problemOf(t, p.do(remove(asRunAt("farm-9500-lb")+"/"+lines[1].Id)), 404)
}

// An operator without signal has run by a sheet that was changed meanwhile: the line is taken, and says so. One that no
// longer fits says what went wrong.
func TestAsRun_ChangesTheETagOfTheSheet(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	seen := sheetOf(t, p, harvest).ShowRevision
	line := lineOf(1, "2")
	line["sheet_revision"] = seen
	assert.False(t, into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), line)), 201).ShowChanged)
	noted := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
	noted["notes"] = "gates at five"
	into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, noted).with("If-Match", "*")), 200)
	assert.True(t, into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), line)), 201).ShowChanged)

	swapped := showOn("Harvest Pull", "2099-07-18", "bluestem", "open-4x4", "farm-9500-lb")
	into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, swapped).with("If-Match", "*")), 200)
	got := problemOf(t, p.do(post(asRunAt("open-4x4"), line)), 422)
	require.Equal(t, []string{"gear"}, faultsAt(got))
	assert.Contains(t, got.Errors[0].Detail, "changed to Bluestem since this sheet")
	for _, r := range sheetOf(t, p, harvest).Rows[0].AsRun {
		assert.Equal(t, "fescue", r.Sled, "what was run stays with the sled that pulled")
	}
}

// A whole number is one however JSON writes it (RFC 8259, section 6, has one kind of number).
func TestAsRun_TakesAWholeNumberHoweverItIsWritten(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	for _, hook := range []string{"12", "12.0", "1.2e1", "120E-1"} {
		got := p.do(post(asRunAt("open-4x4"), `{"from_hook":`+hook+`,"gear":"1"}`))
		assert.Equal(t, 12, into[openapi.AsRun](t, got, 201).FromHook, hook)
	}
}

// A class with notes stays on its show, and the show with it.
func TestAsRun_IsNotLost(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), lineOf(1, "2"))), 201)
	into[openapi.Outcome](t, p.do(put(outcomeAt("farm-9500-lb"), `{"hooks":4}`)), 200)
	for _, class := range []string{"open-4x4", "farm-9500-lb"} {
		problemOf(t, p.do(put("/v1/shows/"+harvest,
			showOn("Harvest Pull", "2099-07-18", "fescue", class)).with("If-Match", "*")), 409)
	}
	problemOf(t, p.do(remove("/v1/shows/"+harvest).with("If-Match", "*")), 409)
	renamed := map[string]any{"name": "Fescue", "gears": []any{map[string]any{"label": "1"}}}
	problemOf(t, p.do(put("/v1/sleds/fescue", renamed).with("If-Match", "*")), 409)
}

func TestOutcome_IsReplacedAndRemoved(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	assert.Nil(t, sheetOf(t, p, harvest).Rows[0].Outcome)
	sent := map[string]any{"longest_ft": 318.25, "hooks": 12.0, "full_pulls": 0.0, "felt": "hard",
		"note": "a dry track"}
	got := p.do(put(outcomeAt("open-4x4"), sent))
	assert.Equal(t, sent, into[map[string]any](t, got, 200))
	stored := into[openapi.Outcome](t, got, 200)
	assert.Equal(t, &stored, sheetOf(t, p, harvest).Rows[0].Outcome)

	into[openapi.Outcome](t, p.do(put(outcomeAt("open-4x4"), `{"felt":"right"}`)), 200)
	now := sheetOf(t, p, harvest).Rows[0].Outcome
	require.NotNil(t, now)
	assert.Nil(t, now.Hooks, "replaced as a whole")
	assert.JSONEq(t, `{}`, string(p.do(put(outcomeAt("open-4x4"), `{}`)).body))
	assert.Nil(t, sheetOf(t, p, harvest).Rows[0].Outcome)
}
