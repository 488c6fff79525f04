package main

import (
	"fmt"
	"strings"
)

// malformedDrivelines are requests about parts, of the sleds of smallFleet and of Timothy of smallWorkshop, that must
// not do anything.
func malformedDrivelines() []malformed {
	sledOf := func(part string, value any) request {
		line := parts()
		line[part] = value
		return post("/v1/sleds", sledWith("driveline", line))
	}
	gearOf := func(field string, value any) request {
		return post("/v1/sleds", sledWith("gears", []any{map[string]any{"label": "1", field: value}}))
	}
	axleOf := func(ratios any) request {
		line := parts()
		delete(line, "axle_ratio")
		line["axle_ratios"] = ratios
		return post("/v1/sleds", sledWith("driveline", line))
	}
	changes := "/v1/sleds/timothy/changes"
	change := func(field string, value any) request {
		c := finalChange("2025-07-01", 6)
		c[field] = value
		return post(changes, c)
	}
	without := func(field string) request {
		c := finalChange("2025-07-01", 6)
		delete(c, field)
		return post(changes, c)
	}
	other := func(part string, value any) request {
		return post(changes, changeOf("2025-07-01", map[string]any{part: value}))
	}
	geared := func(gears ...any) request {
		c := changeOf("2025-07-01", nil)
		c["gears"] = gears
		return post(changes, c)
	}
	cutoff := func(query string) request { return get("/v1/sleds/timothy/cutoff?" + query) }
	options := func(query string) request { return get("/v1/part-options?sled=timothy&reference=bluestem&" + query) }
	tooMany := repeated("final_ratio", 6, 40) + repeated("tire_circumference_ft", 10.1, 40)
	for teeth := range 40 {
		tooMany += fmt.Sprintf("&sprocket_teeth=%d", 20+teeth)
	}
	return []malformed{
		// Parts of a sled.
		{"parts as a word", post("/v1/sleds", sledWith("driveline", "ordinary")), 422, "driveline"},
		{"parts that are null", post("/v1/sleds", sledWith("driveline", nil)), 422, "driveline"},
		{"a part nobody knows", sledOf("clutch", 2), 422, "driveline.clutch"},
		{"a sprocket without teeth", sledOf("sprocket_teeth", 0), 422, "driveline.sprocket_teeth"},
		{"a sprocket with fewer than none", sledOf("sprocket_teeth", -12), 422, "driveline.sprocket_teeth"},
		{"a sprocket with half a tooth", sledOf("sprocket_teeth", 12.5), 422, "driveline.sprocket_teeth"},
		{"a sprocket of a thousand teeth", sledOf("sprocket_teeth", 1000), 422, "driveline.sprocket_teeth"},
		{"a sprocket of 1e300 teeth", sledOf("sprocket_teeth", 1e300), 422, "driveline.sprocket_teeth"},
		{"a sprocket of NaN teeth", post("/v1/sleds",
			`{"name":"Sedge","gears":[{"label":"1"}],"driveline":{"sprocket_teeth":NaN}}`), 400, ""},
		{"a pitch of nothing", sledOf("chain_pitch_in", 0), 422, "driveline.chain_pitch_in"},
		{"a pitch as text", sledOf("chain_pitch_in", "1 3/4"), 422, "driveline.chain_pitch_in"},
		{"a turn that moves no box", sledOf("box_ft_per_turn", 0), 422, "driveline.box_ft_per_turn"},
		{"an axle ratio of nothing", sledOf("axle_ratio", 0), 422, "driveline.axle_ratio"},
		{"an axle that turns backwards", sledOf("axle_ratio", -4.1), 422, "driveline.axle_ratio"},
		{"a final ratio of nothing", sledOf("final_ratio", 0), 422, "driveline.final_ratio"},
		{"a final ratio of 1001", sledOf("final_ratio", 1001), 422, "driveline.final_ratio"},
		{"a final ratio beyond all numbers",
			post("/v1/sleds", `{"name":"Sedge","gears":[{"label":"1"}],"driveline":{"final_ratio":1e999}}`), 422,
			"driveline.final_ratio"},
		{"another ratio that is negative", sledOf("other_ratio", -1), 422, "driveline.other_ratio"},
		{"a tire of 31 ft", sledOf("tire_circumference_ft", 31), 422, "driveline.tire_circumference_ft"},
		{"a tire that never turns", sledOf("tire_revs_per_mile", 0), 422, "driveline.tire_revs_per_mile"},
		{"a tire noted in two ways", sledOf("tire_revs_per_mile", 528), 422, "driveline.tire_revs_per_mile"},
		{"an axle of one ratio and of two", sledOf("axle_ratios", map[string]any{"low": 6.6, "high": 4.88}), 422,
			"driveline.axle_ratios"},
		{"an axle with a range of nothing", axleOf(map[string]any{"low": 0, "high": 4.88}), 422,
			"driveline.axle_ratios.low"},
		{"an axle with a range that is negative", axleOf(map[string]any{"low": 6.6, "high": -4.88}), 422,
			"driveline.axle_ratios.high"},
		{"an axle with a range without a name", axleOf(map[string]any{"": 6.6}), 422, "driveline.axle_ratios"},
		{"an axle with a range of 21 letters", axleOf(map[string]any{strings.Repeat("x", 21): 6.6}), 422,
			"driveline.axle_ratios"},
		{"an axle of five ranges", axleOf(map[string]any{"1": 5, "2": 4, "3": 3, "4": 2, "5": 1}), 422,
			"driveline.axle_ratios"},
		{"an axle as a list", axleOf([]any{6.6, 4.88}), 422, "driveline.axle_ratios"},
		{"a gear in a range that the axle lacks", gearOf("range", "low"), 422, "gears[0].range"},
		{"a gear in an empty range", gearOf("range", ""), 422, "gears[0].range"},
		{"a gear whose ratio is negative", gearOf("ratio", -1), 422, "gears[0].ratio"},
		{"a correction to a range that the axle lacks",
			put("/v1/sleds/bluestem", map[string]any{"name": "Bluestem", "travel_ft": 34.5, "gears": []any{
				map[string]any{"label": "A"}, map[string]any{"label": "B",
					"range": "high"}, map[string]any{"label": "C"},
			}}).with("If-Match", "*"), 422, "gears[1].range"},
		{"a correction to a tire noted in two ways", put("/v1/sleds/fescue", map[string]any{
			"name": "Fescue", "travel_ft": 31, "gears": fescue()["gears"],
			"driveline": map[string]any{"tire_circumference_ft": 10, "tire_revs_per_mile": 528},
		}).with("If-Match", "*"), 422, "driveline.tire_revs_per_mile"},
		{"a correction to other gears than before",
			put("/v1/sleds/timothy", parted("Timothy", 1.12, 1.04)).with("If-Match", "*"), 409, ""},
		{"parts of no sled", get("/v1/sleds/brome/driveline"), 404, ""},
		{"parts posted", post("/v1/sleds/timothy/driveline", "{}"), 405, ""},
		{"parts with a parameter", get("/v1/sleds/timothy/driveline?gear=1"), 422, "gear"},

		// Changes.
		{"a change without a body", post(changes, nil), 400, ""},
		{"a change that breaks off", post(changes, `{"made_on":`), 400, ""},
		{"a change of two megabytes", change("what", strings.Repeat("a", 2<<20)), 413, ""},
		{"a change as a spreadsheet", csvPost(changes, "made_on,what\n"), 415, ""},
		{"a list for a change", post(changes, "[]"), 422, ""},
		{"a change of no sled", post("/v1/sleds/brome/changes", finalChange("2025-07-01", 6)), 404, ""},
		{"a bad change of no sled", post("/v1/sleds/brome/changes", finalChange("soon", 0)), 422, "made_on"},
		{"a change without an effect", without("effect"), 422, "effect"},
		{"a change of some effect", change("effect", "a little"), 422, "effect"},
		{"a change without a date", without("made_on"), 422, "made_on"},
		{"a change in words alone", without("driveline"), 422, "effect"},
		{"a change without words", without("what"), 422, "what"},
		{"a change in empty words", change("what", ""), 422, "what"},
		{"a change in words of space", change("what", "  "), 422, "what"},
		{"a change on two lines", change("what", "ring\nand pinion"), 422, "what"},
		{"a change in 501 characters", change("what", strings.Repeat("x", 501)), 422, "what"},
		{"a change with a field nobody knows", change("when", "May"), 422, "when"},
		{"a change on some day", change("made_on", "last spring"), 422, "made_on"},
		{"a change on the thirtieth of February", change("made_on", "2026-02-30"), 422, "made_on"},
		{"a change in the future", change("made_on", "2999-01-01"), 422, "made_on"},
		{"a change before the sled's first day", change("made_on", "2025-05-09"), 422, "made_on"},
		{"a change on the sled's first day", change("made_on", "2025-05-10"), 422, "made_on"},
		{"a change to a final ratio of nothing", other("final_ratio", 0), 422, "driveline.final_ratio"},
		{"a change to a final ratio that is negative", other("final_ratio", -6), 422, "driveline.final_ratio"},
		{"a change to a sprocket without teeth", other("sprocket_teeth", 0), 422, "driveline.sprocket_teeth"},
		{"a change to a part nobody knows", other("clutch", 2), 422, "driveline.clutch"},
		{"a change to a tire noted in two ways",
			change("driveline", map[string]any{"tire_circumference_ft": 10.2,
				"tire_revs_per_mile": 515}), 422, "driveline.tire_revs_per_mile"},
		{"a change to what was on it already", other("final_ratio", 5.6), 422, "driveline"},
		{"a change to parts that are none", change("driveline", map[string]any{}), 422, "effect"},
		{"a change to an axle without one of the ranges", other("axle_ratios", map[string]any{"low": 3.9}), 422,
			"driveline.axle_ratios"},
		{"a change to an axle of other ranges", other("axle_ratios", map[string]any{"slow": 3.9, "fast": 4.5}), 422,
			"driveline.axle_ratios"},
		{"a change to an axle of one ratio and of two",
			change("driveline", map[string]any{"axle_ratio": 4,
				"axle_ratios": map[string]any{"low": 3.9, "high": 4.4}}), 422, "driveline.axle_ratios"},
		{"a change of a gear nobody has", geared(map[string]any{"label": "Z", "ratio": 1}), 422, "gears[0].label"},
		{"a change of a gear without a label", geared(map[string]any{"ratio": 1}), 422, "gears[0].label"},
		{"a change of a gear twice", geared(map[string]any{"label": "1", "ratio": 1},
			map[string]any{"label": "1", "ratio": 1.1}), 422, "gears[1].label"},
		{"a change of a gear's ratio to nothing", geared(map[string]any{"label": "1", "ratio": 0}), 422,
			"gears[0].ratio"},
		{"a change of a gear's ratio backwards", geared(map[string]any{"label": "1", "ratio": -1}), 422,
			"gears[0].ratio"},
		{"a change of a gear to a range that the axle lacks", geared(map[string]any{"label": "1", "range": "middle"}),
			422, "gears[0].range"},
		{"a change of a gear to the ratio it had", geared(map[string]any{"label": "1", "ratio": 1.12}), 422, "gears"},
		{"a change of 61 gears", geared(make([]any, 61)...), 422, "gears"},
		{"a change to no travel", change("travel_ft", 0), 422, "travel_ft"},
		{"a change to a travel beyond all", change("travel_ft", 201), 422, "travel_ft"},
		{"a change to a travel that is null", change("travel_ft", nil), 422, "travel_ft"},
		{"a change by the ratio of a part that was not known",
			post("/v1/sleds/bluestem/changes", finalChange("2025-06-01", 6)), 422, "driveline.final_ratio"},
		{"a change with an empty Idempotency-Key", change("what", "ring").with("Idempotency-Key", ""), 422,
			"Idempotency-Key"},
		{"changes with a parameter", get(changes + "?limit=5"), 422, "limit"},
		{"changes of no sled", get("/v1/sleds/brome/changes"), 404, ""},
		{"a change put", put(changes, finalChange("2025-07-01", 6)), 405, ""},
		{"a change read", get("/v1/changes/nothing"), 405, ""},
		{"a change taken back that is not there", remove("/v1/changes/nothing"), 404, ""},
		{"a change with an impossible id", remove("/v1/changes/" + strings.Repeat("x", 41)), 404, ""},
		{"a change whose id is bytes", remove("/v1/changes/%ff%00"), 404, ""},

		// Charts of another day, and days.
		{"a chart as of some day", get("/v1/sleds/timothy/chart?as_of=May"), 422, "as_of"},
		{"a chart as of no day", get("/v1/sleds/timothy/chart?as_of=2026-02-30"), 422, "as_of"},
		{"a chart as of two days", get("/v1/sleds/timothy/chart?as_of=2025-05-10&as_of=2025-06-10"), 422, "as_of"},
		{"a drawing as of what is no day", get("/v1/sleds/timothy/chart.svg?as_of=2025-05-32"), 422, "as_of"},
		{"days of no sled", get("/v1/sleds/brome/days"), 404, ""},
		{"days in a gear nobody has", get("/v1/sleds/timothy/days?gear=Z"), 422, "gear"},
		{"days in no gear", get("/v1/sleds/timothy/days?gear="), 422, "gear"},
		{"days in two gears", get("/v1/sleds/timothy/days?gear=1&gear=2"), 422, "gear"},
		{"days of a month", get("/v1/sleds/timothy/days?month=5"), 422, "month"},
		{"a drawing of days of no sled", get("/v1/sleds/brome/days.svg"), 404, ""},
		{"a drawing of days in another theme", get("/v1/sleds/timothy/days.svg?theme=pink"), 422, "theme"},

		// The room a box needs.
		{"the room at no speed", cutoff("release_s=0.2"), 422, "ground_speed_mph"},
		{"the room in no time", cutoff("ground_speed_mph=15"), 422, "release_s"},
		{"the room at a standstill", cutoff("ground_speed_mph=0&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room backwards", cutoff("ground_speed_mph=-15&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room at NaN miles an hour", cutoff("ground_speed_mph=NaN&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room at infinite speed", cutoff("ground_speed_mph=Inf&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room at a hundred and one", cutoff("ground_speed_mph=101&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room at 1e999", cutoff("ground_speed_mph=1e999&release_s=0.2"), 422, "ground_speed_mph"},
		{"the room in a time of nothing", cutoff("ground_speed_mph=15&release_s=0"), 422, "release_s"},
		{"the room in eleven seconds", cutoff("ground_speed_mph=15&release_s=11"), 422, "release_s"},
		{"the room with a brake of nothing", cutoff("ground_speed_mph=15&release_s=0.2&brake_ft_s2=0"), 422,
			"brake_ft_s2"},
		{"the room with a brake of NaN", cutoff("ground_speed_mph=15&release_s=0.2&brake_ft_s2=NaN"), 422,
			"brake_ft_s2"},
		{"the room on no sled", get("/v1/sleds/brome/cutoff?ground_speed_mph=15&release_s=0.2"), 404, ""},
		{"the room in one gear", cutoff("ground_speed_mph=15&release_s=0.2&gear=1"), 422, "gear"},

		// Part options.
		{"options for no sled", get("/v1/part-options?reference=bluestem"), 422, "sled"},
		{"options like no sled", get("/v1/part-options?sled=timothy"), 422, "reference"},
		{"options for a sled nobody has", get("/v1/part-options?sled=brome&reference=bluestem"), 404, ""},
		{"options like a sled nobody has", get("/v1/part-options?sled=timothy&reference=brome"), 404, ""},
		{"options like itself", get("/v1/part-options?sled=timothy&reference=timothy"), 422, "reference"},
		{"options of other gears for those of unknown ratios",
			get("/v1/part-options?sled=bluestem&reference=timothy&gear_set=1.2,1,0.9"), 422, "sled"},
		{"options of another part than is noted", options("final_ratio_now=6.17"), 422, "final_ratio_now"},
		{"options from a ratio of nothing", options("final_ratio_now=0"), 422, "final_ratio_now"},
		{"options of a part that is not known", get("/v1/part-options?sled=bluestem&reference=timothy&final_ratio=6"),
			422, "final_ratio"},
		{"options with a ratio of nothing", options("final_ratio=6&final_ratio=0"), 422, "final_ratio[1]"},
		{"options with a ratio of NaN", options("final_ratio=NaN"), 422, "final_ratio[0]"},
		{"options with a ratio backwards", options("final_ratio=-6"), 422, "final_ratio[0]"},
		{"options with a sprocket of no teeth", options("sprocket_teeth=0"), 422, "sprocket_teeth[0]"},
		{"options with a sprocket of twelve and a half", options("sprocket_teeth=12.5"), 422, "sprocket_teeth[0]"},
		{"options with a tire of 31 ft", options("tire_circumference_ft=31"), 422, "tire_circumference_ft[0]"},
		{"options with one ratio for two ranges", options("axle_ratio=4"), 422, "axle_ratio"},
		{"options with a gear set of two for three", options("gear_set=1.1,1"), 422, "gear_set[0]"},
		{"options with a gear set of words", options("gear_set=low,1,1"), 422, "gear_set[0]"},
		{"options with a gear set with a gap", options("gear_set=1.1,,1"), 422, "gear_set[0]"},
		{"options with a gear set of nothing", options("gear_set="), 422, "gear_set[0]"},
		{"options with a gear set that turns backwards", options("gear_set=1.1,1,-1"), 422, "gear_set[0]"},
		{"options with a gear set of NaN", options("gear_set=1.1,1,NaN"), 422, "gear_set[0]"},
		{"options with a ratio 101 times", options(strings.Repeat("final_ratio=6&", 101)), 422, "final_ratio"},
		{"options with 68,921 combinations", options("most=1" + tooMany), 422, "final_ratio"},
		{"options by none", options("most=0"), 422, "most"},
		{"options by a thousand", options("most=1000"), 422, "most"},
		{"options posted", post("/v1/part-options?sled=timothy&reference=bluestem", "{}"), 405, ""},

		// How alike the fleet is.
		{"a fleet like no sled", get("/v1/fleet/how-alike"), 422, "reference"},
		{"a fleet like a sled nobody has", get("/v1/fleet/how-alike?reference=brome"), 404, ""},
		{"a fleet that is perhaps used", get("/v1/fleet/how-alike?reference=bluestem&used_only=perhaps"), 422,
			"used_only"},
		{"a fleet like two sleds", get("/v1/fleet/how-alike?reference=bluestem&reference=fescue"), 422, "reference"},
		{"ladders in yards", get("/v1/fleet/ladders.svg?units=yd"), 422, "units"},
		{"ladders beginning with a sled that is not there", get("/v1/fleet/ladders.svg?reference=nobody"), 404, ""},
		{"a fleet by itself", get("/v1/fleet"), 404, ""},
	}
}
