package main

import (
	"fmt"
	"net/http"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func TestSled_IsAddedReadCorrectedAndRemoved(t *testing.T) {
	t.Parallel()
	p := start(t)
	sent := map[string]any{
		"name": "Little Bluestem Ü", "owner": "Nonesuch Pulling Crew", "travel_ft": 34.5, "take_up_ft": 1.0,
		"rail_mark_ft": 0.25, "notes": "first sled",
		"gears": []any{map[string]any{"label": "3 low", "ratio": 1.31}, map[string]any{"label": "3 high"}},
	}
	added := p.do(post("/v1/sleds", sent))
	sled := into[map[string]any](t, added, 201)
	for field, value := range sent {
		assert.Equal(t, value, sled[field], field)
	}
	assert.Equal(t, "little-bluestem-u", sled["id"])
	assert.Equal(t, "/v1/sleds/little-bluestem-u", added.Header.Get("Location"))
	assert.EqualValues(t, 1, sled["revision"])

	read := p.do(get("/v1/sleds/little-bluestem-u"))
	assert.Equal(t, string(added.body), string(read.body))
	assert.Equal(t, added.Header.Get("ETag"), read.Header.Get("ETag"))

	sent["name"], sent["gears"] = "Renamed", []any{map[string]any{"label": "3", "was": "3 low"}}
	changed := p.do(put("/v1/sleds/little-bluestem-u", sent).with("If-Match", read.Header.Get("ETag")))
	corrected := into[openapi.Sled](t, changed, 200)
	assert.Equal(t, "little-bluestem-u", corrected.Id, "the slug stays as first made")
	assert.Equal(t, "Renamed", corrected.Name)
	assert.Equal(t, 2, corrected.Revision)
	assert.Len(t, corrected.Gears, 1)
	assert.NotEqual(t, read.Header.Get("ETag"), changed.Header.Get("ETag"))

	removal := request{method: "DELETE", path: "/v1/sleds/little-bluestem-u"}
	problemOf(t, p.do(removal.with("If-Match", read.Header.Get("ETag"))), 412)
	assert.Equal(t, 204, p.do(removal.with("If-Match", changed.Header.Get("ETag"))).StatusCode)
	problemOf(t, p.do(get("/v1/sleds/little-bluestem-u")), 404)
}

func TestSled_WithReadingsIsRetiredAndComesBack(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	retired := into[openapi.Sled](t, p.do(request{method: "DELETE", path: "/v1/sleds/fescue"}.with("If-Match", "*")),
		200)
	assert.True(t, retired.Retired)
	assert.Equal(t, 2, retired.Readings)
	table := into[openapi.Table](t, p.do(get("/v1/table?reference=bluestem")), 200)
	assert.Empty(t, table.Sleds)
	back := into[openapi.Sled](t, p.do(put("/v1/sleds/fescue", fescue()).with("If-Match", "*")), 200)
	assert.False(t, back.Retired)
}

// A gear keeps its readings under a new label, and two gears may swap theirs.
func TestSled_LabelsMoveWithTheirReadings(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	swapped := fescue()
	swapped["gears"] = []any{map[string]any{"label": "2", "was": "1"}, map[string]any{"label": "1", "was": "2"}}
	into[openapi.Sled](t, p.do(put("/v1/sleds/fescue", swapped).with("If-Match", "*")), 200)
	for _, r := range into[openapi.ReadingPage](t, p.do(get("/v1/sleds/fescue/readings")), 200).Items {
		assert.Equal(t, map[float64]string{265: "2", 251: "1"}[r.DistanceFt], r.Gear)
	}
}

// What is read back after a reading was added differs, but a correction of the sled is not refused for it.
func TestSled_ETagMovesWithItsReadingsButItsStateDoesNot(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	before := p.do(get("/v1/sleds/bluestem")).Header.Get("ETag")
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), 201)
	after := p.do(get("/v1/sleds/bluestem").with("If-None-Match", before))
	assert.Equal(t, 200, after.StatusCode)
	assert.Equal(t, 200, p.do(put("/v1/sleds/bluestem", bluestem()).with("If-Match", before)).StatusCode)
}

func TestSled_MadeAgainDoesNotTakeTheOldOnesChanges(t *testing.T) {
	t.Parallel()
	p := start(t)
	first := p.do(post("/v1/sleds", bluestem()))
	require.Equal(t, 204, p.do(request{method: "DELETE", path: "/v1/sleds/bluestem"}.with("If-Match", "*")).StatusCode)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	problemOf(t, p.do(put("/v1/sleds/bluestem", bluestem()).with("If-Match", first.Header.Get("ETag"))), 412)
}

// Fifty change the same sled at once, round after round: of those that read the same state, exactly one wins.
func TestSled_TakesOneOfManyCorrectionsAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	const writers, rounds = 50, 4
	for round := range rounds {
		etag := p.do(get("/v1/sleds/bluestem")).Header.Get("ETag")
		statuses := make([]int, writers)
		var all sync.WaitGroup
		for i := range writers {
			all.Go(func() {
				changed := bluestem()
				changed["notes"] = fmt.Sprintf("round %d, writer %d", round, i)
				statuses[i] = p.do(put("/v1/sleds/bluestem", changed).with("If-Match", etag)).StatusCode
			})
		}
		all.Wait()
		count := map[int]int{}
		for _, s := range statuses {
			count[s]++
		}
		assert.Equal(t, map[int]int{200: 1, 412: writers - 1}, count)
	}
	assert.Equal(t, 1+rounds, into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200).Revision)
}

// An id with letters beyond ASCII, and one written with escapes it does not need, find their sled.
func TestSled_IsFoundHoweverItsAddressIsWritten(t *testing.T) {
	t.Parallel()
	p := start(t)
	added := p.do(post("/v1/sleds", sledWith("name", "Ковыль")))
	assert.Equal(t, "ковыль", into[openapi.Sled](t, added, 201).Id)
	assert.Equal(t, string(added.body), string(p.do(get(added.Header.Get("Location"))).body))
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	assert.Equal(t, "bluestem", into[openapi.Sled](t, p.do(get("/v1/sleds/blue%73tem")), 200).Id)
	got := problemOf(t, p.do(post("/v1/sleds/blue%73tem/readings", pullWith("distance_ft", 0))), 422)
	assert.Equal(t, []string{"distance_ft"}, faultsAt(got))
	problemOf(t, p.do(get("/v1/sleds/bluestem%2Fchart")), 404)
}

func TestSleds_ListEachItemOnce(t *testing.T) {
	t.Parallel()
	p := demo(t)
	whole := into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200)
	var collected []openapi.Sled
	for next := ""; ; {
		page := into[openapi.SledPage](t, p.do(get("/v1/sleds?limit=2"+next)), 200)
		collected = append(collected, page.Items...)
		if page.Next == nil {
			break
		}
		next = "&after=" + *page.Next
	}
	assert.Equal(t, whole.Items, collected)
}

func TestIfMatch_OfSeveralETagsHoldsWhenOneDoes(t *testing.T) {
	t.Parallel()
	p := start(t)
	etag := p.do(post("/v1/sleds", bluestem())).Header.Get("ETag")
	change := put("/v1/sleds/bluestem", bluestem())
	assert.Equal(t, http.StatusPreconditionFailed, p.do(change.with("If-Match", "W/"+etag)).StatusCode,
		"a weak ETag never matches")
	assert.Equal(t, http.StatusOK, p.do(change.with("If-Match", `"another", `+etag)).StatusCode)
	etag = p.do(get("/v1/sleds/bluestem")).Header.Get("ETag")
	assert.Equal(t, http.StatusOK, p.do(change.with("If-Match", `"another"`).with("If-Match", etag)).StatusCode,
		"on two lines")
}
