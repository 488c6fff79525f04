package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// By hand, with parts that move the box 0.125 ft per foot of ground in a gear of ratio 1: at 15 miles an hour, 22 ft/s
// exactly since a mile has 5280 ft (NIST SP 811, Appendix B), the box runs 2.75 ft/s. Its drive lets go in 0.2 s, in
// which it runs 0.55 ft; a brake of 10 ft/s² then holds it after 2.75²/20 = 0.378125 ft. Together 0.928125 ft.
func TestCutoff_RoomIsAsWorkedByHand(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Sedge", 1, 1.1, 0))), 201)
	room := into[openapi.CutoffList](t,
		p.do(get("/v1/sleds/sedge/cutoff?ground_speed_mph=15&release_s=0.2&brake_ft_s2=10")), 200)
	require.Len(t, room.Gears, 3)
	direct := room.Gears[0]
	assert.Equal(t, openapi.BasisGeared, direct.Basis)
	assert.InDelta(t, 2.75, *direct.BoxSpeedFtS, 1e-9)
	assert.InDelta(t, 0.55, *direct.DrivenRunOnFt, 1e-9)
	assert.InDelta(t, 0.378125, *direct.CoastFt, 1e-9)
	assert.InDelta(t, 0.928125, *direct.RoomNeededFt, 1e-9)
	assert.InDelta(t, 2.5, *room.Gears[1].BoxSpeedFtS, 1e-9)
	unknown := room.Gears[2]
	assert.Equal(t, openapi.CutoffGear{Label: "3", Basis: openapi.BasisNone}, unknown, "nothing is made up")

	// Without a measured deceleration the coast is unknown, and so is the sum.
	room = into[openapi.CutoffList](t, p.do(get("/v1/sleds/sedge/cutoff?ground_speed_mph=15&release_s=0.2")), 200)
	assert.InDelta(t, 0.55, *room.Gears[0].DrivenRunOnFt, 1e-9)
	assert.Nil(t, room.Gears[0].CoastFt)
	assert.Nil(t, room.Gears[0].RoomNeededFt)

	// Measured at 300 ft where the parts say 240: 30/300 = 0.1 ft per foot, 2.2 ft/s.
	measure(t, p, "sedge", "2025-05-10", 300)
	room = into[openapi.CutoffList](t, p.do(get("/v1/sleds/sedge/cutoff?ground_speed_mph=15&release_s=0.2")), 200)
	assert.Equal(t, openapi.BasisMeasured, room.Gears[0].Basis)
	assert.InDelta(t, 2.2, *room.Gears[0].BoxSpeedFtS, 1e-9)
}

// It certifies nothing, and says so.
func TestCutoff_RoomIsNeverCalledSafe(t *testing.T) {
	t.Parallel()
	p := demo(t)
	got := p.do(get("/v1/sleds/fescue/cutoff?ground_speed_mph=20&release_s=0.3&brake_ft_s2=20"))
	assert.Contains(t, into[openapi.CutoffList](t, got, 200).Caution, "certifies nothing")
	for _, word := range []string{"safe", "margin", "green"} {
		assert.NotContains(t, strings.ToLower(string(got.body)), word)
	}
	for _, caution := range []string{"Never override a cut-off switch", "qualified check",
		"slow runs with an empty box", "return speed"} {
		assert.Contains(t, string(got.body), caution)
	}
}
