package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// A show can be planned before anybody knows which sled is free: its sheet has the classes and no settings, every sled
// can be looked at, and nothing is noted as run until one is booked.
func TestShow_NeedsNoSled(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	const spring = "/v1/shows/spring-pull-2099-05-02"
	unbooked := showOn("Spring Pull", "2099-05-02", "", "open-4x4", "farm-9500-lb")
	delete(unbooked, "sled")
	made := into[openapi.Show](t, p.do(post("/v1/shows", unbooked)), 201)
	assert.Nil(t, made.Sled)
	assert.Equal(t, made, into[openapi.ShowPage](t, p.do(get("/v1/shows")), 200).Items[1])

	sheet := sheetOf(t, p, made.Id)
	assert.Nil(t, sheet.Sled)
	assert.Empty(t, sheet.SledName)
	require.Len(t, sheet.Rows, 2)
	for _, row := range sheet.Rows {
		assert.Nil(t, row.Tonight.Sled)
		assert.Nil(t, row.Tonight.Nearest)
		assert.Equal(t, "No sled is booked yet.", *row.Tonight.Detail)
		assert.Equal(t, "Bluestem", row.HomeSledName)
	}
	other := into[openapi.Sheet](t, p.do(get(spring+"/sheet?sled=fescue")), 200)
	assert.Equal(t, "Fescue", other.SledName)
	assert.NotNil(t, other.Rows[0].Tonight.Nearest)
	assert.Nil(t, other.Rows[0].Booked, "there is nothing to compare with")
	for _, item := range into[openapi.Candidates](t, p.do(get(spring+"/candidates")), 200).Items {
		assert.False(t, item.Booked)
	}
	for _, path := range []string{spring + "/sheet.csv", "/v1/season?since=2099-01-01", "/pullers?show=" + made.Id} {
		assert.Equal(t, 200, p.do(get(path)).StatusCode, path)
	}
	got := problemOf(t, p.do(post(spring+"/classes/open-4x4/as-run", lineOf(1, "2"))), 409)
	assert.Contains(t, got.Detail, "no sled is booked for Spring Pull")

	// Another copy has it as it is; over, too.
	unbooked["over"] = true
	into[openapi.Show](t, p.do(put(spring, unbooked).with("If-Match", "*")), 200)
	assert.Nil(t, sheetOf(t, p, made.Id).Rows[0].Tonight.Nearest)
	copied := start(t)
	into[openapi.Imported](t, copied.do(post("/v1/import", p.export())), 200)
	assert.Equal(t, p.export(), copied.export())
	assert.Equal(t, string(p.do(get(spring+"/sheet")).body), string(copied.do(get(spring+"/sheet")).body))

	// It is booked, and no longer.
	unbooked["over"], unbooked["sled"] = false, "fescue"
	assert.Equal(t, "fescue", *into[openapi.Show](t, p.do(put(spring, unbooked).with("If-Match", "*")), 200).Sled)
	assert.NotNil(t, sheetOf(t, p, made.Id).Rows[0].Tonight.Nearest)
	unbooked["sled"] = nil
	assert.Nil(t, into[openapi.Show](t, p.do(put(spring, unbooked).with("If-Match", "*")), 200).Sled)
}

// After a swap the sheet says which sled's sheets are out of date, until that one is booked again.
func TestSheet_SaysWhatItReplacesAfterASwap(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	book := func(sled any) *string {
		show := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
		show["sled"] = sled
		into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, show).with("If-Match", "*")), 200)
		return sheetOf(t, p, harvest).Replaces
	}
	assert.Nil(t, sheetOf(t, p, harvest).Replaces)
	assert.Equal(t, "Fescue", *book("bluestem"))
	assert.Equal(t, "Fescue", *book("bluestem"), "another change of the show swaps nothing")
	assert.Equal(t, "Bluestem", *book("fescue"), "and back again")
	other := into[openapi.Sheet](t, p.do(get("/v1/shows/"+harvest+"/sheet?sled=bluestem")), 200)
	assert.Nil(t, other.Replaces, "it is booked for nothing")
	assert.Equal(t, "Fescue", *book(nil))
	assert.Equal(t, "Fescue", *book("bluestem"), "with none booked in between")
	assert.Equal(t, "Bluestem", *book(nil))
	assert.Nil(t, book("bluestem"), "the same sled again replaces nothing")

	assert.Equal(t, "Bluestem", *book("fescue"))
	copied := start(t)
	into[openapi.Imported](t, copied.do(post("/v1/import", p.export())), 200)
	assert.Equal(t, "Bluestem", *sheetOf(t, copied, harvest).Replaces)
}
