package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// firstReading is the id of a sled's newest reading.
func firstReading(t *testing.T, p *program, sled string) string {
	t.Helper()
	page := into[openapi.ReadingPage](t, p.do(get("/v1/sleds/"+sled+"/readings")), 200)
	require.NotEmpty(t, page.Items)
	return page.Items[0].Id
}

func TestReading_HasEverythingThatWasNoted(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	noted := map[string]any{
		"gear": "B", "start_ft": 2.5, "distance_ft": 242.25, "ended": "topped-out", "measured_on": "2025-06-01",
		"day":   "spring test",
		"place": "Nonesuch Flats", "by": "crew", "note": "a little damp", "marked_by": "flag", "taken_with": "wheel",
		"surface": "hard clay", "weights": "none", "tire_psi": 90.0, "speed_mph": 4.0,
	}
	got := p.do(post("/v1/sleds/bluestem/readings", noted))
	reading := into[map[string]any](t, got, 201)
	for field, value := range noted {
		assert.Equal(t, value, reading[field], field)
	}
	assert.Nil(t, reading["set_aside"])
	assert.Equal(t, "bluestem", reading["sled"])
	assert.Equal(t, string(got.body), string(p.do(get(got.Header.Get("Location"))).body))
	assert.Equal(t, got.Header.Get("ETag"), p.do(get(got.Header.Get("Location"))).Header.Get("ETag"))
}

func TestReading_HasDefaults(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	measured := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 281))), 201)
	assert.Equal(t, openapi.Ended("topped-out"), measured.Ended)
	assert.Equal(t, "2025-05-10", measured.Day)
	assert.Zero(t, measured.StartFt)
	assert.Nil(t, measured.PlusMinusFt)
	stated := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", pullWith("ended", "stated"))), 201)
	require.NotNil(t, stated.PlusMinusFt)
	assert.Equal(t, 8.0, *stated.PlusMinusFt)
}

func TestReading_IsSetAsideAndComesBackAndTheTableFollows(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	id := firstReading(t, p, "bluestem")
	question := get("/v1/table?reference=bluestem")
	with := p.do(question)

	aside := into[openapi.Reading](t,
		p.do(patch("/v1/readings/"+id, `{"set_aside":{"reason":"  the flag fell over "}}`)), 200)
	require.NotNil(t, aside.SetAside)
	assert.Equal(t, "the flag fell over", aside.SetAside.Reason)
	without := p.do(question)
	assert.NotEqual(t, string(with.body), string(without.body), "an answer older than the last write")

	back := into[openapi.Reading](t, p.do(patch("/v1/readings/"+id, `{"set_aside":null}`)), 200)
	assert.Nil(t, back.SetAside)
	assert.Equal(t, string(with.body), string(p.do(question).body))
}

func TestReading_ThatCorrectsSetsTheOldOneAside(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	old := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 208))), 201)
	corrected := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", map[string]any{
		"gear": "A", "distance_ft": 280, "measured_on": "2025-05-10", "replaces": old.Id,
	})), 201)
	assert.Equal(t, old.Id, *corrected.Replaces)
	now := into[openapi.Reading](t, p.do(get("/v1/readings/"+old.Id)), 200)
	assert.NotNil(t, now.SetAside)
}

// Going through pages of any size lists each reading once, newest first.
func TestReadings_ListEachItemOnce(t *testing.T) {
	t.Parallel()
	p := demo(t)
	whole := into[openapi.ReadingPage](t, p.do(get("/v1/sleds/bluestem/readings?limit=500")), 200)
	require.Nil(t, whole.Next)
	require.Greater(t, len(whole.Items), 7)
	var collected []openapi.Reading
	path := "/v1/sleds/bluestem/readings?limit=7"
	for next := ""; ; {
		page := into[openapi.ReadingPage](t, p.do(get(path+next)), 200)
		collected = append(collected, page.Items...)
		if page.Next == nil {
			break
		}
		require.Len(t, page.Items, 7)
		next = "&after=" + *page.Next
	}
	assert.Equal(t, whole.Items, collected)
	for i := 1; i < len(collected); i++ {
		assert.GreaterOrEqual(t, collected[i-1].MeasuredOn, collected[i].MeasuredOn)
	}
}
