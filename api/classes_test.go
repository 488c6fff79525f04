package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func TestClass_IsAddedReadReplacedAndRemoved(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	sent := map[string]any{
		"name": "Farm 9500 lb", "used_by": "Nonesuch Pulling Crew", "weights": "6 blocks",
		"notes":    "two lines\nof notes",
		"setting":  map[string]any{"sled": "bluestem", "gear": "A", "start_ft": 2.5},
		"pull_off": map[string]any{"sled": "fescue", "gear": "2"},
	}
	added := p.do(post("/v1/classes", sent))
	class := into[map[string]any](t, added, 201)
	for _, field := range []string{"name", "used_by", "weights", "notes"} {
		assert.Equal(t, sent[field], class[field], field)
	}
	assert.Equal(t, "farm-9500-lb", class["id"])
	assert.Equal(t, "/v1/classes/farm-9500-lb", added.Header.Get("Location"))
	decoded := into[openapi.Class](t, added, 201)
	assert.Equal(t, 2.5, decoded.Setting.StartFt)
	assert.Equal(t, "fescue", *decoded.PullOff.Sled)
	assert.Equal(t, decoded.Setting.StoodForFt, decoded.Setting.TodayFt)
	read := p.do(get("/v1/classes/farm-9500-lb"))
	assert.Equal(t, string(added.body), string(read.body))
	assert.Equal(t, added.Header.Get("ETag"), read.Header.Get("ETag"))

	delete(sent, "pull_off")
	sent["name"] = "Farm"
	changed := p.do(put("/v1/classes/farm-9500-lb", sent).with("If-Match", read.Header.Get("ETag")))
	replaced := into[openapi.Class](t, changed, 200)
	assert.Equal(t, "farm-9500-lb", replaced.Id, "the slug stays as first made")
	assert.Equal(t, 2, replaced.Revision)
	assert.Nil(t, replaced.PullOff)
	problemOf(t, p.do(remove("/v1/classes/farm-9500-lb").with("If-Match", read.Header.Get("ETag"))), 412)
	assert.Equal(t, 204, p.do(remove("/v1/classes/farm-9500-lb").with("If-Match",
		changed.Header.Get("ETag"))).StatusCode)
	problemOf(t, p.do(get("/v1/classes/farm-9500-lb")), 404)
}

// When its home chart moves, a class goes on meaning the top-out it stood for and says so; renewed, it means today's.
func TestClass_MeansWhatItStoodForUntilItIsRenewed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	added := p.do(post("/v1/classes", classOn("Open 4x4", "bluestem", "B")))
	stood := *into[openapi.Class](t, added, 201).Setting.StoodForFt
	assert.InDelta(t, 262, stood, 1, "the one reading there is")
	for range 5 {
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 282))), 201)
	}
	moved := p.do(get("/v1/classes/open-4x4").with("If-None-Match", added.Header.Get("ETag")))
	now := into[openapi.Class](t, moved, 200).Setting
	assert.Equal(t, stood, *now.StoodForFt)
	require.NotNil(t, now.MovedFt)
	assert.InDelta(t, *now.TodayFt-stood, *now.MovedFt, 1e-9)
	assert.Greater(t, *now.MovedFt, 10.0)

	// The ETag from before the readings is still good: nobody has changed the class.
	named := p.do(put("/v1/classes/open-4x4", classOn("Open", "bluestem", "B")).with("If-Match",
		added.Header.Get("ETag")))
	assert.Equal(t, stood, *into[openapi.Class](t, named, 200).Setting.StoodForFt)
	renewal := classOn("Open", "bluestem", "B")
	renewal["renew"] = true
	renewed := into[openapi.Class](t,
		p.do(put("/v1/classes/open-4x4", renewal).with("If-Match", named.Header.Get("ETag"))), 200)
	assert.Equal(t, *now.TodayFt, *renewed.Setting.StoodForFt)
	assert.Zero(t, *renewed.Setting.MovedFt)
}

func TestClass_ThatAShowListsStaysAndNamesTheShow(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	got := problemOf(t, p.do(remove("/v1/classes/farm-9500-lb").with("If-Match", "*")), 409)
	assert.Contains(t, got.Detail, "Harvest Pull (2099-07-18)")
	require.Equal(t, 204, p.do(remove("/v1/shows/"+harvest).with("If-Match", "*")).StatusCode)
	assert.Equal(t, 204, p.do(remove("/v1/classes/farm-9500-lb").with("If-Match", "*")).StatusCode)
}

// A sled that classes are used to is retired, not deleted, and what they mean stays; a gear of theirs cannot be left
// out.
func TestSled_InUseByClassesStays(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	into[openapi.Sled](t, p.do(post("/v1/sleds",
		map[string]any{"name": "Timothy",
			"gears": []any{map[string]any{"label": "low"}, map[string]any{"label": "high"}}})), 201)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Anything Goes", "timothy", "low"))), 201)
	without := map[string]any{"name": "Timothy", "gears": []any{map[string]any{"label": "high"}}}
	got := problemOf(t, p.do(put("/v1/sleds/timothy", without).with("If-Match", "*")), 409)
	assert.Contains(t, got.Detail, "Anything Goes")
	assert.True(t, into[openapi.Sled](t, p.do(remove("/v1/sleds/timothy").with("If-Match", "*")), 200).Retired)
	class := into[openapi.Class](t, p.do(get("/v1/classes/anything-goes")), 200)
	assert.Nil(t, class.Setting.StoodForFt, "nothing was known")
	into[openapi.Class](t, p.do(put("/v1/classes/anything-goes", classOn("Whatever", "timothy", "low")).with("If-Match",
		"*")), 200)
}

func TestClasses_ListEachItemOnce(t *testing.T) {
	t.Parallel()
	p := demo(t)
	whole := into[openapi.ClassPage](t, p.do(get("/v1/classes")), 200)
	require.Len(t, whole.Items, 8)
	var collected []openapi.Class
	for next := ""; ; {
		page := into[openapi.ClassPage](t, p.do(get("/v1/classes?limit=3"+next)), 200)
		collected = append(collected, page.Items...)
		if page.Next == nil {
			break
		}
		next = "&after=" + *page.Next
	}
	assert.Equal(t, whole.Items, collected)
}
