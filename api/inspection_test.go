package main

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// inspectedFor gives a sled a list of items that are due every show.
func inspectedFor(t *testing.T, p *program, sled string, words ...string) openapi.InspectionList {
	t.Helper()
	items := mapSlice(words, func(what string) any { return map[string]any{"what": what, "every_shows": 1} })
	return into[openapi.InspectionList](t, p.do(put("/v1/sleds/"+sled+"/inspection-list",
		map[string]any{"items": items}).with("If-Match", "*").as(testKey)), 200)
}

// signedOn is the body that signs one item.
func signedOn(on, item string, well bool) map[string]any {
	one := map[string]any{"item": item, "well": well}
	if !well {
		one["note"] = "a link is cracked"
	}
	return map[string]any{"on": on, "items": []any{one}}
}

func due(t *testing.T, p *program, query, key string) openapi.Due {
	t.Helper()
	return into[openapi.Due](t, p.do(get("/v1/sleds/fescue/due"+query).as(key)), 200)
}

func TestInspectionList_OffersAStartWhileItIsEmpty(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	const path = "/v1/sleds/fescue/inspection-list"
	first := p.do(get(path).as(testKey))
	empty := into[openapi.InspectionList](t, first, 200)
	require.NotNil(t, empty.Offered)
	assert.Len(t, empty.Offered, 12)
	assert.Contains(t, empty.Caution, "certifies nothing")
	assert.Nil(t, empty.UpdatedAt)
	whole := map[string]any{"items": empty.Offered}
	problemOf(t, p.do(put(path, whole)), 428)
	stored := p.do(put(path, whole).with("If-Match", first.Header.Get("ETag")))
	list := into[openapi.InspectionList](t, stored, 200)
	assert.Nil(t, list.Offered)
	assert.Len(t, list.Items, 12)
	problemOf(t, p.do(put(path, whole).with("If-Match", first.Header.Get("ETag"))), 412)
	renamed := into[openapi.InspectionList](t, p.do(put(path, `{"items":[{"what":"Box brake",
		"was":"The box brake holds","every_days":7}]}`).with("If-Match", stored.Header.Get("ETag"))), 200)
	assert.Equal(t, list.Items[1].Id, renamed.Items[0].Id)
	assert.Equal(t, 7, *renamed.Items[0].EveryDays)
}

// From a tap beside the sled to the next show: due, looked at, not well, what was done, who and when.
func TestDue_FollowsWhatTheCrewSigns(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	crew := addKey(t, p, "Gate crew", openapi.Operator).Key
	list := inspectedFor(t, p, "fescue", "Chains", "Guards")
	chains, guards := list.Items[0].Id, list.Items[1].Id
	today := time.Now().Format(time.DateOnly)
	ahead := due(t, p, "?show="+harvest, crew)
	assert.Equal(t, []any{harvest, "2099-07-18", "Fescue", true, true},
		[]any{ahead.Show.Id, ahead.On, ahead.SledName, ahead.Items[0].Due, ahead.Items[1].Due})
	sign := func(body map[string]any) openapi.Inspection {
		body["show"] = harvest
		got := p.do(post("/v1/sleds/fescue/inspections", body).as(crew))
		return into[openapi.InspectionsAdded](t, got, 201).Items[0]
	}
	bad := sign(signedOn(today, chains, false))
	assert.Equal(t, []string{"Gate crew", "Gate crew", "Chains"}, []string{bad.By, bad.SignedBy, bad.What})
	well := sign(signedOn(today, guards, true))
	now := due(t, p, "?show="+harvest, crew)
	assert.False(t, now.Items[0].Due || now.Items[1].Due)
	assert.Equal(t, []openapi.Inspection{bad}, now.Items[0].NotWell)
	assert.Equal(t, well, *now.Items[1].Last)
	problemOf(t, p.do(remove("/v1/inspections/"+bad.Id).as(crew)), 409)
	assert.Equal(t, 204, p.do(remove("/v1/inspections/"+well.Id).as(crew)).StatusCode)
	assert.True(t, due(t, p, "?show="+harvest, crew).Items[1].Due)
	done := signedOn(today, chains, true)
	done["by"], done["items"].([]any)[0].(map[string]any)["done"] = "Bo", "a new link"
	sign(done)
	assert.Empty(t, due(t, p, "?show="+harvest, crew).Items[0].NotWell)
	assert.Equal(t, today, due(t, p, "", crew).On)

	rows := csvRowsAs(t, p, "/v1/sleds/fescue/inspections.csv", crew)
	require.Len(t, rows, 2)
	assert.Equal(t, []string{"no", "a link is cracked", "Gate crew", harvest},
		[]string{rows[0]["well"], rows[0]["note"], rows[0]["by"], rows[0]["show"]})
	assert.Equal(t, []string{"yes", "a new link", "Bo", "Gate crew"},
		[]string{rows[1]["well"], rows[1]["done"], rows[1]["by"], rows[1]["signed_by"]})
	page := into[openapi.InspectionPage](t,
		p.do(get("/v1/sleds/fescue/inspections?limit=1&show="+harvest).as(crew)), 200)
	again := into[openapi.InspectionPage](t,
		p.do(get("/v1/sleds/fescue/inspections?after="+url.QueryEscape(*page.Next)).as(crew)), 200)
	assert.Equal(t, []string{"a new link", "a link is cracked"}, []string{*page.Items[0].Done, *again.Items[0].Note})
	history := into[openapi.HistoryPage](t, p.do(get("/v1/history?who=Gate+crew").as(testKey)), 200)
	assert.Len(t, history.Items, 4, "two found, one taken back, one done")
}

// What is signed does not move the fleet's revision, by which the parts of lists are cached.
func TestInspectionsCSV_HasWhatWasSignedAfterItWasReadBefore(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	const path = "/v1/sleds/fescue/inspections.csv"
	list := inspectedFor(t, p, "fescue", "Chains")
	before := p.do(get(path).as(testKey)).Header.Get("ETag")
	assert.Empty(t, csvRowsAs(t, p, path, testKey))
	signed := into[openapi.InspectionsAdded](t, p.do(post("/v1/sleds/fescue/inspections",
		signedOn(time.Now().Format(time.DateOnly), list.Items[0].Id, true))), 201).Items[0]
	assert.Len(t, csvRowsAs(t, p, path, testKey), 1)
	assert.NotEqual(t, before, p.do(get(path).as(testKey)).Header.Get("ETag"))
	assert.Equal(t, 204, p.do(remove("/v1/inspections/"+signed.Id).as(testKey)).StatusCode)
	assert.Empty(t, csvRowsAs(t, p, path, testKey))
}

// Reading is open here. Still, nobody but the crew hears of it: by no address, whatever else it shows.
func TestInspections_AreForSignedInCrewAlone(t *testing.T) {
	t.Parallel()
	p := start(t, "--public-url", publicURL)
	smallFleet(t, p)
	smallSeason(t, p)
	list := inspectedFor(t, p, "fescue", "Chains unmistakable")
	body := signedOn(time.Now().Format(time.DateOnly), list.Items[0].Id, false)
	body["by"], body["show"] = "Ann unmistakable", harvest
	body["items"].([]any)[0].(map[string]any)["note"] = "cracked unmistakable"
	into[openapi.InspectionsAdded](t, p.do(post("/v1/sleds/fescue/inspections", body)), 201)
	asked := 0
	for _, r := range allRoutes(t) {
		if r.method != "GET" || r.path == "/assets/*" {
			continue
		}
		path := strings.NewReplacer(":sled", "fescue", ":show", harvest, ":class_id", "open-4x4", ":reading", "none").
			Replace(r.path)
		for _, query := range []string{"", "?reference=fescue", "?sled=fescue&gear=1", "?show=" + harvest,
			"?sled=fescue&reference=bluestem&final_ratio=5"} {
			got := p.do(get(path + query).nobody())
			assert.NotContains(t, string(got.body), "unmistakable", path+query)
			ofCrew := strings.Contains(path, "inspection") || strings.HasSuffix(path, "/due")
			if ofCrew && strings.HasPrefix(path, "/v1/") {
				problemOf(t, got, 401)
				problemOf(t, p.do(get(path+query).nobody().with("If-None-Match", "*")), 401)
			}
			if got.StatusCode == 200 {
				asked++
			}
		}
	}
	assert.Greater(t, asked, 100)
	office := addKey(t, p, "Office", openapi.Promoter).Key
	assert.Equal(t, "the key of a promoter cannot do this; it takes that of a manager or an operator",
		problemOf(t, p.do(get("/v1/sleds/fescue/due").as(office)), 403).Detail)
	crew := addKey(t, p, "Gate", openapi.Operator).Key
	assert.Equal(t, "private, no-cache", p.do(get("/v1/sleds/fescue/due").as(crew)).Header.Get("Cache-Control"))
	assert.Contains(t, problemOf(t, p.do(put("/v1/sleds/fescue/inspection-list", `{"items":[]}`).as(crew)), 403).Detail,
		"takes that of a manager")
}

func TestInspections_NameTheirFaults(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	chains := inspectedFor(t, p, "fescue", "Chains").Items[0].Id
	const list, signed = "/v1/sleds/fescue/inspection-list", "/v1/sleds/fescue/inspections"
	namesFaults(t, p, []faulty{
		{"a list of bad form", put(list, `{"items":[{"what":"","every_shows":0,"id":"x"},{"every_days":"often"}],
			"more":1}`).with("If-Match", "*"), []string{"items[0].what", "items[0].every_shows", "items[0].id",
			"items[1].what", "items[1].every_days", "more"}},
		{"a list without sense", put(list, `{"items":[{"what":" Oil ","every_days":7,"every_shows":1},
			{"what":"oil","every_days":7,"was":"Belts"},{"what":"Rails"}]}`).with("If-Match", "*"),
			[]string{"items[0].every_days", "items[1].what", "items[1].was", "items[2].every_days"}},
		{"what was found in bad form", post(signed, `{"on":"soon","items":[{"item":"","well":"yes","photo":1}],
			"by":7}`),
			[]string{"on", "items[0].item", "items[0].well", "items[0].photo", "by"}},
		{"nothing found", post(signed, `{"on":"2026-05-09","items":[]}`), []string{"items"}},
		{"what was found without sense", post(signed, map[string]any{"on": "2999-01-01", "show": "nosuch",
			"items": []any{map[string]any{"item": chains, "well": false},
				map[string]any{"item": "gone", "well": true}}}),
			[]string{"on", "show", "items[0].note", "items[1].item"}},
		{"a day that is none", get("/v1/sleds/fescue/due?on=2026-02-30").as(testKey), []string{"on"}},
		{"a cursor of another list", get(signed + "?after=c2xlZDpi").as(testKey), []string{"after"}},
	})
	for _, path := range []string{"/v1/sleds/brome/due", "/v1/sleds/brome/inspection-list",
		"/v1/sleds/brome/inspections", "/v1/sleds/brome/inspections.csv", "/v1/sleds/fescue/due?show=nosuch"} {
		problemOf(t, p.do(get(path).as(testKey)), 404)
	}
	problemOf(t, p.do(post("/v1/sleds/brome/inspections", signedOn("2026-05-09", chains, true))), 404)
	problemOf(t, p.do(remove("/v1/inspections/none")), 404)
	assert.Empty(t, into[openapi.InspectionPage](t, p.do(get(signed).as(testKey)), 200).Items)
}

func TestInspections_GoIntoTheDocumentOfTheFleetAndComeBack(t *testing.T) {
	t.Parallel()
	from, to := start(t), start(t)
	smallFleet(t, from)
	chains := inspectedFor(t, from, "fescue", "Chains").Items[0].Id
	cracked := signedOn("2026-05-09", chains, false)
	into[openapi.InspectionsAdded](t, from.do(post("/v1/sleds/fescue/inspections", cracked)), 201)
	document := from.do(get("/v1/export").as(testKey))
	into[openapi.Imported](t, to.do(post("/v1/import", document.body)), 200)
	was, is := due(t, from, "?on=2026-05-10", testKey), due(t, to, "?on=2026-05-10", testKey)
	assert.Equal(t, was, is)
	assert.Len(t, is.Items[0].NotWell, 1)
	assert.Equal(t, string(document.body), string(to.do(get("/v1/export").as(testKey)).body))
}
