package main

import (
	"fmt"
	"math/rand/v2"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/openapi"
)

// Figures at the ends of what is believed, and readings that cannot all be true: whatever is taken in, every answer can
// still be given. No crew enters these on purpose; a slip of the thumb must not take a sled's chart away.
func TestExtremes_OfEveryFigureGetAnAnswer(t *testing.T) {
	t.Parallel()
	for seed := range uint64(numberFrom(t, "EVENPULL_FLEETS", 25)) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			p := start(t, "--public-url", publicURL)
			extremeFleet(p, &anything{rand.New(rand.NewPCG(seed, 0))})
			for _, q := range everyQuestion {
				got := p.do(get(q))
				assert.Less(t, got.StatusCode, 500, "%s: %s", q, got.body)
			}
			for line := range strings.Lines(p.stderr.String()) {
				if strings.Contains(line, "request failed") {
					t.Log(line)
				}
			}
		})
	}
}

// The ends of what is believed, and what is usual, which makes the ends stand out the more.
var (
	distances = []float64{5e-324, 1e-300, 1e-9, 0.01, 1, 20, 50.001, 199.5, 200, 210, 230, 250, 20_000}
	offs      = []float64{5e-324, 1e-9, 1, 8, 200, 20_000}
	starts    = []float64{0, 0, 0, 1, 2.9999, 5, 27.5, 30, 31.5, 199.999}
	travels   = []float64{3, 28, 30, 31.5, 200}
	ratios    = []float64{5e-324, 1e-9, 1, 1.3, 1000}
)

// extremeFleet is three sleds with readings, changes, classes and shows. What the rules refuse is left out.
func extremeFleet(p *program, a *anything) {
	sleds := []string{"brome", "sedge", "timothy"}
	labels := []string{"A", "B", "C"}
	for _, name := range sleds {
		var gears []any
		for _, label := range labels {
			gear := map[string]any{"label": label}
			if a.chance(0.5) {
				gear["ratio"] = one(a, ratios)
			}
			gears = append(gears, gear)
		}
		sled := map[string]any{"name": name, "gears": gears, "rail_mark_ft": one(a, []float64{0.01, 0.35, 0.5, 10})}
		if a.chance(0.8) {
			sled["travel_ft"] = one(a, travels)
		}
		if a.chance(0.3) {
			sled["take_up_ft"] = one(a, []float64{5e-324, 1, 50})
		}
		if a.chance(0.5) {
			sled["driveline"] = map[string]any{
				"sprocket_teeth": one(a, []int{4, 200}), "chain_pitch_in": one(a,
					[]float64{0.1, 2, 10}), "axle_ratio": one(a, ratios),
				"final_ratio": one(a, ratios), "other_ratio": one(a, ratios), "tire_circumference_ft": one(a,
					[]float64{1, 30}),
			}
		}
		p.do(post("/v1/sleds", sled))
	}
	for range 4 + a.IntN(30) {
		reading := readingOf(one(a, labels), one(a, distances))
		reading["start_ft"], reading["measured_on"] = one(a, starts), fmt.Sprintf("2025-05-%02d", 1+a.IntN(9))
		switch a.IntN(6) {
		case 0:
			reading["ended"], reading["plus_minus_ft"] = "stated", one(a, offs)
		case 1:
			reading["ended"], reading["end_ft"] = "stopped-short", one(a, []float64{3, 20, 29.9999, 199.999})
		case 2:
			reading["ended"] = "past-top"
		}
		p.do(post("/v1/sleds/"+one(a, sleds)+"/readings", reading))
	}
	for range a.IntN(3) {
		change := map[string]any{"made_on": "2025-05-05", "what": "Other parts",
			"effect": one(a, []string{"by-ratio", "unknown"}), "travel_ft": one(a, travels)}
		if a.chance(0.5) {
			change["gears"] = []any{map[string]any{"label": "A", "ratio": one(a, ratios)}}
		}
		p.do(post("/v1/sleds/"+one(a, sleds)+"/changes", change))
	}
	for i, sled := range sleds {
		class := map[string]any{"name": sled,
			"setting": map[string]any{"sled": sled, "gear": one(a, labels), "start_ft": one(a, starts[:4])}}
		p.do(post("/v1/classes", class))
		p.do(post("/v1/shows", map[string]any{"name": sled, "date": fmt.Sprintf("209%d-05-05", i), "sled": sled,
			"classes": []any{}}))
	}
	classes := pagesOf[openapi.Class](p.t, p, "/v1/classes")
	for i, sled := range sleds { // now with the classes that there are
		path := fmt.Sprintf("/v1/shows/%s-209%d-05-05", sled, i)
		listed := []any{}
		for _, c := range classes {
			listed = append(listed, c.Id)
		}
		show := map[string]any{"name": sled, "date": fmt.Sprintf("209%d-05-05", i), "sled": sled, "classes": listed}
		p.do(put(path, show).with("If-Match", p.do(get(path)).Header.Get("ETag")))
		for _, c := range classes {
			p.do(post(path+"/classes/"+url.PathEscape(c.Id)+"/as-run",
				map[string]any{"from_hook": 1, "gear": one(a, labels)}))
		}
	}
	for _, sled := range sleds { // and the charts move under them
		p.do(post("/v1/sleds/"+sled+"/readings", readingOf(one(a, labels), one(a, distances))))
	}
}

// everyQuestion is every answer that takes arithmetic, for each sled and gear.
var everyQuestion = func() (all []string) {
	for i, sled := range []string{"brome", "sedge", "timothy"} {
		other := []string{"sedge", "timothy", "brome"}[i]
		for _, then := range []string{
			"/chart", "/chart?start_ft=0&start_ft=2.9999&start_ft=31.4999999", "/chart?as_of=2025-05-04", "/chart.svg",
			"/chart.svg?units=m", "/advice", "/driveline", "/changes", "/days", "/days?gear=B",
			"/days.svg", "/cutoff?ground_speed_mph=100&release_s=10",
			"/cutoff?ground_speed_mph=1&release_s=1&brake_ft_s2=1e-300",
			"/cutoff?ground_speed_mph=1&release_s=1&brake_ft_s2=1000",
		} {
			all = append(all, "/v1/sleds/"+sled+then)
		}
		for _, gear := range []string{"A", "B", "C"} {
			for _, from := range []string{"0", "2.9999", "27.5"} {
				all = append(all, "/v1/equivalents?sled="+sled+"&gear="+gear+"&start_ft="+from)
			}
			all = append(all, "/v1/equivalents.svg?sled="+sled+"&gear="+gear+"&on="+other)
		}
		show := fmt.Sprintf("/v1/shows/%s-209%d-05-05", sled, i)
		all = append(all, "/v1/table?reference="+sled, "/v1/table?reference="+sled+"&start_ft=2.9999",
			"/v1/fleet/how-alike?reference="+sled, "/v1/fleet/ladders.svg?reference="+sled,
			"/v1/part-options?sled="+sled+"&reference="+other+"&final_ratio=0.001&final_ratio=1000",
			"/v1/part-options?sled="+sled+"&reference="+other+"&final_ratio=1000&final_ratio=5e-324"+
				"&axle_ratio=5e-324&axle_ratio=1000&sprocket_teeth=200&gear_set=5e-324,1,1000",
			show+"/sheet", show+"/sheet?sled="+other, show+"/candidates")
	}
	return append(all, "/v1/season", "/v1/season?since=2025-01-01&until=2099-12-31")
}()
