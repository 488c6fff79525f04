package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// What the README says is worth asking of the demo fleet.
func TestDemo_AnswersAsTheReadmeSays(t *testing.T) {
	t.Parallel()
	p := demo(t)
	ask := func(gear, on string) openapi.Nearest {
		got := into[openapi.Equivalents](t, p.do(get("/v1/equivalents?sled=bluestem&gear="+gear+"&on="+on)), 200)
		return *got.Answers[0].Nearest
	}
	clear := ask("C", "fescue")
	assert.Equal(t, "2", clear.Gear)
	assert.Equal(t, openapi.ConfidenceClear, *clear.Confidence)
	assert.InDelta(t, 4, clear.DifferenceFt, 2, "a few feet later")
	assert.Equal(t, openapi.ConfidenceTossUp, *ask("C", "timothy").Confidence)
	assert.True(t, *ask("A", "fescue").OutOfReach)
	assert.NotEqual(t, "C", ask("C", "brome").Gear)
	assert.Equal(t, openapi.BasisStated, ask("C", "ryegrass").Basis)
}

// Whatever leaves the program of the demo says so: answers, spreadsheets and drawings, these in sight and for who hears
// them.
func TestDemo_SaysThatItIsInventedWhereverItGoes(t *testing.T) {
	t.Parallel()
	p := demo(t)
	const says = "Invented for the demo, never measured: "
	for _, path := range []string{
		"equivalents?sled=bluestem&gear=C&on=fescue", "equivalents?top_out_ft=255&on=fescue",
		"table?reference=bluestem",
		"fleet/how-alike?reference=bluestem", "fleet/ladders", "sleds/fescue/days", "sleds/fescue/driveline",
		"sleds/fescue/cutoff?ground_speed_mph=20&release_s=0.1", "sleds/fescue/pan-load?in_box_lb=12000",
		"weights?sled=bluestem&gear=C&in_box_lb=12000&on=fescue",
		"part-options?sled=brome&reference=bluestem&final_ratio=5.5", "season",
		"shows/" + winterPull + "/sheet", "shows/" + winterPull + "/candidates",
		"table.csv?reference=bluestem", "classes.csv", "shows/" + winterPull + "/sheet.csv",
		"sleds/fescue/readings.csv",
		"sleds/fescue/weighings.csv",
	} {
		got := string(p.do(get("/v1/" + path)).body)
		assert.Contains(t, got, says, path)
		if strings.Contains(path, ".csv") {
			rows := strings.Split(strings.TrimSpace(got), "\n")
			assert.Equal(t, len(rows)-1, strings.Count(got, says), "%s: every row", path)
		}
	}
	for _, path := range []string{
		"equivalents.svg?sled=bluestem&gear=C&on=fescue", "equivalents.svg?top_out_ft=255&on=fescue",
		"fleet/ladders.svg",
		"sleds/fescue/chart.svg", "sleds/ryegrass/chart.svg", "sleds/fescue/days.svg",
		"sleds/fescue/pan-load.svg?in_box_lb=12000", "weights.svg?sled=bluestem&gear=C&in_box_lb=12000&on=fescue",
	} {
		drawing := string(p.do(get("/v1/" + path)).body)
		_, desc, _ := strings.Cut(drawing, "<desc")
		desc, seen, _ := strings.Cut(desc, "</desc>")
		assert.Contains(t, desc, says, path)
		assert.Contains(t, seen, "Invented for the demo", path)
	}
}

// Whenever it is loaded there is a show to look forward to.
func TestDemo_HasAComingShow(t *testing.T) {
	t.Parallel()
	for now, want := range map[string]string{
		"2026-11-25": "2026-12-12", "2026-12-12": "2026-12-12", "2026-12-13": "2027-12-12", "2031-02-28": "2031-12-12",
	} {
		at, err := time.ParseInLocation(time.DateOnly, now, time.Local)
		require.NoError(t, err)
		assert.Equal(t, want, stillAhead("2026-12-12", at.Add(20*time.Hour)), now)
	}
	shows := into[openapi.ShowPage](t, demo(t).do(get("/v1/shows")), 200).Items
	assert.Equal(t, winterPull, shows[0].Id, "newest first")
	for i, show := range shows {
		assert.Equal(t, i > 0, show.Over, show.Id)
	}
}

// Three of its sleds have drive lines that go with what was measured, but for one gear whose ratio is noted wrongly on
// purpose.
func TestDemo_HasPartsThatGoWithItsReadings(t *testing.T) {
	t.Parallel()
	p := demo(t)
	known := 0
	for _, sled := range into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items {
		got := drivelineOf(t, p, sled.Id)
		if got.Factor == nil {
			assert.Nil(t, sled.Driveline)
			continue
		}
		known++
		assert.InDelta(t, 1.015, *got.Factor, 0.015, sled.Id)
		var out []string
		for _, o := range got.StandsOut {
			out = append(out, o.Gear)
		}
		for _, g := range got.Gears {
			if sled.Id == "fescue" && g.Label == "3" {
				assert.Equal(t, []string{"3"}, out)
				continue
			}
			assert.InDelta(t, *got.Factor, *g.MeasuredOverGeared, 0.005, "%s %s", sled.Id, g.Label)
		}
		assert.Equal(t, sled.Id == "fescue", len(out) > 0, sled.Id)
	}
	assert.Equal(t, 3, known)
}

// Brome's ring and pinion were changed: what was measured before is carried, and goes with what was measured since.
func TestDemo_HasAChangeOfPartsThatCarries(t *testing.T) {
	t.Parallel()
	p := demo(t)
	changes := into[openapi.ChangeList](t, p.do(get("/v1/sleds/brome/changes")), 200).Items
	require.Len(t, changes, 1)
	assert.InEpsilon(t, 100*(5.86/5.57-1), *changes[0].MovesPct, 1e-9)
	today, before := chartOf(t, p, "brome/chart?start_ft=0"), chartOf(t, p, "brome/chart?start_ft=0&as_of=2026-06-19")
	basis := map[string]openapi.Basis{"A": openapi.BasisMeasured, "B": openapi.BasisMeasured, "C": openapi.BasisCarried,
		"D": openapi.BasisMeasured}
	for i, g := range today.Gears {
		assert.Equal(t, basis[g.Label], g.TopOuts[0].Basis, g.Label)
		assert.Equal(t, openapi.BasisMeasured, before.Gears[i].TopOuts[0].Basis)
		assert.InEpsilon(t, 5.86/5.57, *g.TopOuts[0].TopOutFt / *before.Gears[i].TopOuts[0].TopOutFt, 0.015, g.Label)
	}
}

// Two sleds were weighed. On one of them a block was miscounted once, and the checks say which weighing it is.
func TestDemo_HasTwoWeighedSledsAndAMistakeThatTheChecksFind(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, sled := range into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items {
		got := into[openapi.PanLoad](t, p.do(get("/v1/sleds/"+sled.Id+"/pan-load?in_box_lb=12000")), 200)
		switch sled.Id {
		case "bluestem":
			assert.Equal(t, 6, got.Weighings)
			assert.Empty(t, got.Checks)
			assert.NotNil(t, got.Places[2].Tandem)
		case "fescue":
			assert.Equal(t, 6, got.Weighings)
			require.Len(t, got.Checks, 1)
			assert.Equal(t, "weighing-out-of-line", got.Checks[0].Code)
			assert.Equal(t, "a-block-too-few-noted", *got.Checks[0].Mend)
			assert.Contains(t, got.Checks[0].Detail, "15.5\u00a0ft")
		default:
			assert.Zero(t, got.Weighings, sled.Id)
		}
	}
	sheet := into[openapi.Sheet](t, p.do(get("/v1/shows/"+winterPull+"/sheet?sled=fescue")), 200)
	weights := 0
	for _, row := range sheet.Rows {
		assert.NotNil(t, row.FullPull, row.Class)
		if row.Weight != nil && row.Weight.Cannot == nil {
			weights++
			assert.NotNil(t, row.Weight.RoundedInBoxLb)
		}
	}
	assert.Positive(t, weights)
}

// The one thing that the demo's notebooks ask somebody to look at is meant: Sedge was never taped.
func TestDemo_HasTheChecksThatAreMeant(t *testing.T) {
	t.Parallel()
	p := demo(t)
	found := map[string][]string{}
	for _, sled := range into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items {
		for _, code := range codesOf(chartOf(t, p, sled.Id+"/chart")) {
			if code != "not-measured-lately" { // which comes to every fleet that nobody measures
				found[sled.Id] = append(found[sled.Id], code)
			}
		}
		assert.Nil(t, daysOf(t, p, sled.Id+"/days").Drift, sled.Id)
	}
	assert.Equal(t, map[string][]string{"sedge": {"reading-unused"}}, found)
}
