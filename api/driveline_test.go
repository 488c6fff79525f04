package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// parts is a drive line that is easily worked out by hand: in one turn of the last shaft the box moves 12 teeth × 1.75
// in = 21 in = 1.75 ft, and in a gear of ratio g it moves r = 1.75 × 4 / (g × 5.6 × 10) = 0.125/g ft per foot of
// ground. A box with 30 ft of travel so tops out at 240·g ft.
func parts() map[string]any {
	return map[string]any{"sprocket_teeth": 12, "chain_pitch_in": 1.75, "axle_ratio": 4, "final_ratio": 5.6,
		"tire_circumference_ft": 10}
}

// handTopOut is where a gear of ratio 1 tops out by those parts.
const handTopOut = 240

// parted is a sled with those parts and gears 1, 2, … of these ratios; 0 for one whose ratio nobody knows.
func parted(name string, ratios ...float64) map[string]any {
	var gears []any
	for i, ratio := range ratios {
		gear := map[string]any{"label": fmt.Sprint(i + 1)}
		if ratio > 0 {
			gear["ratio"] = ratio
		}
		gears = append(gears, gear)
	}
	return map[string]any{"name": name, "travel_ft": 30, "gears": gears, "driveline": parts()}
}

// measured is a reading from full back.
func measured(on, gear string, distance float64) map[string]any {
	return map[string]any{"gear": gear, "distance_ft": distance, "measured_on": on}
}

// measure adds a reading of each distance, of gear 1, 2, …
func measure(t *testing.T, p *program, sled, on string, distances ...float64) {
	t.Helper()
	for i, distance := range distances {
		into[openapi.Reading](t, p.do(post("/v1/sleds/"+sled+"/readings", measured(on, fmt.Sprint(i+1), distance))),
			201)
	}
}

// addParted adds a sled with parts, measured without noise on two days: factor times what its parts say.
func addParted(t *testing.T, p *program, name, id string, factor float64, ratios ...float64) {
	t.Helper()
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted(name, ratios...))), 201)
	var tops []float64
	for _, ratio := range ratios {
		tops = append(tops, factor*handTopOut*ratio)
	}
	measure(t, p, id, "2025-05-10", tops...)
	measure(t, p, id, "2025-06-14", tops...)
}

// smallWorkshop adds to smallFleet Timothy, on which everything is noted: two ranges, two gears in one and one in the
// other.
func smallWorkshop(t *testing.T, p *program) {
	t.Helper()
	timothy := parted("Timothy", 1.12, 1.04, 1.18)
	for i, name := range []string{"low", "low", "high"} {
		timothy["gears"].([]any)[i].(map[string]any)["range"] = name
	}
	line := parts()
	delete(line, "axle_ratio")
	line["axle_ratios"] = map[string]any{"low": 3.7, "high": 4.4}
	timothy["driveline"] = line
	into[openapi.Sled](t, p.do(post("/v1/sleds", timothy)), 201)
	measure(t, p, "timothy", "2025-05-10", 292, 272.5, 259)
	measure(t, p, "timothy", "2025-06-14", 294, 271, 258)
}

func drivelineOf(t *testing.T, p *program, sled string) openapi.GearedAgainstMeasured {
	t.Helper()
	return into[openapi.GearedAgainstMeasured](t, p.do(get("/v1/sleds/"+sled+"/driveline")), 200)
}

func chartOf(t *testing.T, p *program, question string) openapi.Chart {
	t.Helper()
	return into[openapi.Chart](t, p.do(get("/v1/sleds/"+question)), 200)
}

func TestDriveline_IsStoredAsItWasNoted(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallWorkshop(t, p)
	read := into[map[string]any](t, p.do(get("/v1/sleds/timothy")), 200)
	assert.Equal(t, map[string]any{
		"sprocket_teeth": 12., "chain_pitch_in": 1.75, "axle_ratios": map[string]any{"low": 3.7,
			"high": 4.4}, "final_ratio": 5.6,
		"tire_circumference_ft": 10.,
	}, read["driveline"])
	assert.Equal(t, map[string]any{"label": "3", "ratio": 1.18, "range": "high"}, read["gears"].([]any)[2])

	// What was read can be sent back as it is, but for what the server says of itself.
	before := p.do(get("/v1/sleds/timothy/chart"))
	for _, field := range []string{"id", "readings", "revision", "created_at", "updated_at"} {
		delete(read, field)
	}
	again := into[map[string]any](t, p.do(put("/v1/sleds/timothy", read).with("If-Match", "*")), 200)
	assert.Equal(t, read["driveline"], again["driveline"])
	assert.Equal(t, read["gears"], again["gears"])
	assert.Equal(t, string(before.body), string(p.do(get("/v1/sleds/timothy/chart")).body))

	// And what is left out is no longer known.
	delete(read, "driveline")
	for _, g := range read["gears"].([]any) {
		delete(g.(map[string]any), "range")
	}
	bare := into[map[string]any](t, p.do(put("/v1/sleds/timothy", read).with("If-Match", "*")), 200)
	assert.NotContains(t, bare, "driveline")
	assert.Equal(t, []string{"sprocket and chain", "axle ratio", "final ratio", "tire circumference"},
		drivelineOf(t, p, "timothy").Gears[0].Missing)
	assert.NotContains(t, into[map[string]any](t, p.do(get("/v1/sleds/bluestem")), 200), "driveline",
		"of a sled of which nothing is noted")
}

// Revolutions per mile are the same as the circumference: a mile has 5280 ft (NIST SP 811, Appendix B).
func TestDriveline_TakesATireByItsTurnsInAMile(t *testing.T) {
	t.Parallel()
	p := start(t)
	sled := parted("Sedge", 1)
	line := sled["driveline"].(map[string]any)
	line["tire_revs_per_mile"] = 528
	problem := problemOf(t, p.do(post("/v1/sleds", sled)), 422)
	assert.Equal(t, []string{"driveline.tire_revs_per_mile"}, faultsAt(problem), "one tire in two ways")
	delete(line, "tire_circumference_ft")
	kept := into[openapi.Sled](t, p.do(post("/v1/sleds", sled)), 201)
	assert.Equal(t, 10., *kept.Driveline.TireCircumferenceFt)
	assert.Nil(t, kept.Driveline.TireRevsPerMile)
	assert.InDelta(t, handTopOut, *drivelineOf(t, p, "sedge").Gears[0].GearedTopOutFt, 1e-9)
}

// By hand: see parts. Five gears of 1.2, 1.1, 1, 0.9 and 0.8 top out at 288, 264, 240, 216 and 192 ft by their parts;
// measured 2 % further. The one in the middle is then noted as 1.05, says 252 ft, and stands out alone.
func TestDriveline_IsComparedWithWhatWasMeasured(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1, 1, 0.9, 0.8)
	got := drivelineOf(t, p, "sedge")
	for i, want := range []float64{288, 264, 240, 216, 192} {
		assert.InDelta(t, want, *got.Gears[i].GearedTopOutFt, 1e-9)
		assert.InDelta(t, 1.02*want, *got.Gears[i].MeasuredTopOutFt, 1e-6)
		assert.InDelta(t, 1.02, *got.Gears[i].MeasuredOverGeared, 1e-9)
		assert.Empty(t, got.Gears[i].Missing)
	}
	assert.InDelta(t, 1.02, *got.Factor, 1e-9)
	assert.Less(t, *got.FactorLow, 1.02)
	assert.Greater(t, *got.FactorHigh, 1.02)
	assert.False(t, got.VariesWithSpeed)
	assert.Empty(t, got.StandsOut)
	assert.Equal(t, partsCaution, got.Caution)

	wrong := parted("Sedge", 1.2, 1.1, 1.05, 0.9, 0.8)
	into[openapi.Sled](t, p.do(put("/v1/sleds/sedge", wrong).with("If-Match", "*")), 200)
	got = drivelineOf(t, p, "sedge")
	assert.InDelta(t, 252, *got.Gears[2].GearedTopOutFt, 1e-9)
	require.Len(t, got.StandsOut, 1)
	assert.Equal(t, "3", got.StandsOut[0].Gear)
	assert.Contains(t, got.StandsOut[0].Detail, "4.8\u00a0% shorter", "1/1.05 is 0.952")
	assert.InDelta(t, 1.02, *got.Factor, 1e-9, "the wrong one has no say")
}

// What moves the box in one turn may be measured instead, and whatever is not known is named.
func TestDriveline_SaysWhatIsNotKnown(t *testing.T) {
	t.Parallel()
	p := start(t)
	sled := parted("Sedge", 1, 0)
	line := sled["driveline"].(map[string]any)
	delete(line, "sprocket_teeth")
	delete(line, "final_ratio")
	delete(sled, "travel_ft")
	into[openapi.Sled](t, p.do(post("/v1/sleds", sled)), 201)
	got := drivelineOf(t, p, "sedge")
	assert.Equal(t, []string{"sprocket and chain", "final ratio", "travel"}, got.Gears[0].Missing)
	assert.Equal(t, []string{"sprocket and chain", "final ratio", "gear ratio", "travel"}, got.Gears[1].Missing)
	assert.Nil(t, got.Gears[0].GearedTopOutFt)
	assert.Nil(t, got.Factor)
	line["box_ft_per_turn"], line["final_ratio"], sled["travel_ft"] = 1.75, 5.6, 30
	into[openapi.Sled](t, p.do(put("/v1/sleds/sedge", sled).with("If-Match", "*")), 200)
	got = drivelineOf(t, p, "sedge")
	assert.InDelta(t, handTopOut, *got.Gears[0].GearedTopOutFt, 1e-9)
	assert.Nil(t, got.Gears[0].MeasuredTopOutFt)
	assert.Nil(t, got.Factor, "nothing measured to compare with")
}

// A gear that was never measured is told from its ratio and the sled's other gears, and less surely than they are.
func TestDriveline_CalculatesAGearNobodyMeasured(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Sedge", 1.2, 1, 0.8, 0.9, 0))), 201)
	for _, day := range []string{"2025-05-10", "2025-06-14"} {
		measure(t, p, "sedge", day, 1.02*288, 1.02*240, 1.02*192)
	}
	chart := chartOf(t, p, "sedge/chart?start_ft=0&start_ft=3")
	full, forward := chart.Gears[3].TopOuts[0], chart.Gears[3].TopOuts[1]
	assert.Equal(t, openapi.BasisGeared, full.Basis)
	assert.InDelta(t, 1.02*216, *full.TopOutFt, 1e-6)
	assert.InDelta(t, 0.9*1.02*216, *forward.TopOutFt, 1e-6, "27 of 30 ft are left")
	wide := func(o openapi.TopOut) float64 { return (*o.HighFt - *o.LowFt) / *o.TopOutFt }
	for i := range 3 {
		assert.Greater(t, wide(full), wide(chart.Gears[i].TopOuts[0]))
	}
	assert.Equal(t, openapi.BasisNone, chart.Gears[4].TopOuts[0].Basis, "no reading and no ratio")
}
