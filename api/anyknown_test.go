package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// known is what one client has learned of the fleet from the answers it got, so that most of what it asks is about
// something that is there. It forgets what is oldest.
type known struct {
	docs     map[string]map[string]any // sleds, classes and shows as they were read last, by path
	etags    map[string]string         // by path
	ids      map[string][]string       // by the name of the parameter that takes them
	runLines [][3]string               // show, class, line
	cursors  map[string][]string       // by path of the list
	keys     map[string][]string       // by role; those that ended too
	cookies  []string
}

func newKnown() *known {
	return &known{docs: map[string]map[string]any{}, etags: map[string]string{}, ids: map[string][]string{},
		cursors: map[string][]string{}, keys: map[string][]string{}}
}

// remembered is how many of a kind a client remembers.
const remembered = 60

func keep[T any](list []T, more T) []T {
	list = append(list, more)
	if len(list) > remembered {
		list = slices.Delete(list, 0, 1)
	}
	return list
}

func (k *known) id(kind string, id any) {
	text, is := id.(string)
	if is && !slices.Contains(k.ids[kind], text) {
		k.ids[kind] = keep(k.ids[kind], text)
	}
}

// learn takes in an answer of the schema of that name.
func (k *known) learn(schema, path string, v any) {
	doc, _ := v.(map[string]any)
	if schema = strings.TrimPrefix(schema, "#/components/schemas/"); doc == nil {
		return
	}
	switch schema {
	case "Sled", "Class", "Show":
		kind := strings.ToLower(schema)
		id, _ := doc["id"].(string)
		k.id(kind, id)
		at := map[string]string{"sled": "/v1/sleds/", "class": "/v1/classes/", "show": "/v1/shows/"}[kind] + escaped(id)
		k.docs[at] = doc
	case "Reading":
		k.id("reading", doc["id"])
		k.id("batch", doc["batch"])
	case "Weighing":
		k.id("weighing", doc["id"])
	case "Change":
		k.id("change", doc["id"])
	case "Inspection":
		k.id("inspection", doc["id"])
	case "InspectionsAdded":
		for _, one := range listed(doc, "items") {
			k.learn("Inspection", path, one)
		}
	case "InspectionList", "Due":
		sled, _ := doc["sled"].(string)
		k.docs["/v1/sleds/"+escaped(sled)+"/inspection-list"] = doc
	case "Key":
		k.id("key", doc["id"])
	case "NewKey":
		k.id("key", doc["id"])
		role, _ := doc["role"].(string)
		key, _ := doc["key"].(string)
		k.keys[role] = keep(k.keys[role], key)
	case "AsRun":
		parts := strings.Split(path, "/") // /v1/shows/{show}/classes/{class_id}/as-run
		id, _ := doc["id"].(string)
		k.runLines = keep(k.runLines, [3]string{parts[3], parts[5], escaped(id)})
	case "SledPage", "ClassPage", "ShowPage", "ReadingPage", "ChangeList", "KeyList", "HistoryPage",
		"InspectionPage", "WeighingPage":
		items, _ := doc["items"].([]any)
		for _, item := range items {
			k.learn(strings.TrimSuffix(strings.TrimSuffix(schema, "Page"), "List"), path, item)
		}
		if next, is := doc["next"].(string); is {
			k.cursors[path] = keep(k.cursors[path], next)
		}
	}
}

// forget drops a thing that is gone.
func (k *known) forget(path string) {
	delete(k.docs, path)
	delete(k.etags, path)
	for kind, ids := range k.ids {
		k.ids[kind] = slices.DeleteFunc(ids, func(id string) bool { return strings.HasSuffix(path, "/"+escaped(id)) })
	}
}

// listed is a list in a document.
func listed(doc map[string]any, field string) []any {
	list, _ := doc[field].([]any)
	return list
}

// labels are the gears of a sled as they were read last.
func (k *known) labels(sled string) []string {
	var all []string
	for _, g := range listed(k.docs["/v1/sleds/"+escaped(sled)], "gears") {
		if gear, is := g.(map[string]any); is {
			all = append(all, gear["label"].(string))
		}
	}
	return all
}

// some is any id of a kind, or one that is not there.
func (a *anything) some(k *known, kind string) string {
	if len(k.ids[kind]) == 0 || a.chance(0.03) {
		return "nowhere"
	}
	if a.chance(0.4) { // the oldest, of which most is known
		return k.ids[kind][a.IntN(min(7, len(k.ids[kind])))]
	}
	return one(a, k.ids[kind])
}

func (a *anything) label(k *known, sled string) string {
	if labels := k.labels(sled); len(labels) > 0 && !a.chance(0.03) {
		return one(a, labels)
	}
	return "Z"
}

// mended makes of a body that its schema takes one that the rules take as well, most of the time.
func (a *anything) mended(k *known, schema, path string, body any) any {
	doc, _ := body.(map[string]any)
	if doc == nil {
		rows, _ := body.([]any)
		for _, row := range rows {
			switch sled := a.some(k, "sled"); schema {
			case "ReadingBatch":
				a.mendReading(k, row.(map[string]any), sled)
			case "WeighingBatch":
				row.(map[string]any)["sled"] = sled
			}
		}
		return body
	}
	switch schema {
	case "SledInput":
		doc["name"] = one(a, names)
		a.mendSled(doc)
	case "SledCorrection":
		was, known := k.docs[path]
		if !known {
			a.mendSled(doc)
			return doc
		}
		now := without(was, "id", "readings", "revision", "created_at", "updated_at")
		for _, field := range []string{"owner", "notes"} {
			if v, given := doc[field]; given {
				now[field] = v
			}
		}
		now["retired"] = a.chance(0.05)
		if a.chance(0.2) {
			now["gears"] = append(slices.Clone(listed(now, "gears")),
				map[string]any{"label": one(a, []string{"X1", "X2", "X3", "<i>"})})
		}
		if a.chance(0.3) {
			a.noteParts(now)
		}
		return now
	case "ReadingInput":
		a.mendReading(k, doc, segment(path, 3))
	case "ClassInput":
		doc["name"] = one(a, names) + " 9500"
		for _, field := range []string{"setting", "pull_off"} {
			if _, given := doc[field]; given {
				doc[field] = a.setting(k)
			}
		}
		delete(doc, "renew")
	case "ShowInput":
		doc["name"] = one(a, names) + " pull"
		doc["date"] = one(a, []string{"2024-07-18", "2025-07-04", "2097-07-17", "2097-08-08", "2098-01-01",
			"2098-12-31"})
		doc["sled"] = a.some(k, "sled")
		classes := []any{}
		for range a.IntN(4) {
			if c := a.some(k, "class"); !slices.Contains(classes, any(c)) {
				classes = append(classes, c)
			}
		}
		doc["classes"] = classes
	case "AsRunInput":
		show := k.docs["/v1/shows/"+rawSegment(path, 3)]
		sled, _ := show["sled"].(string)
		doc["gear"] = a.label(k, sled)
	case "ChangeInput":
		a.mendChange(k, doc, segment(path, 3))
	case "InspectionListInput":
		for i, item := range listed(doc, "items") {
			item := item.(map[string]any)
			item["what"], item["every_days"] = fmt.Sprint(one(a, names), i), 7
			delete(item, "every_shows")
			delete(item, "was")
		}
	case "InspectionsInput":
		list := listed(k.docs["/v1/sleds/"+rawSegment(path, 3)+"/inspection-list"], "items")
		doc["on"] = "2026-05-09"
		delete(doc, "show")
		if len(list) > 0 {
			doc["items"] = []any{map[string]any{"item": one(a, list).(map[string]any)["id"], "well": a.chance(0.5),
				"note": one(a, names)}}
		}
	case "Outcome":
		delete(doc, "full_pulls")
	case "SignIn":
		doc["key"] = a.key(k)
		if delete(doc, "link"); a.chance(0.3) {
			doc = map[string]any{"link": one(a, names)}
		}
	case "KeyInput":
		doc["name"] = one(a, names)
	}
	return doc
}

func without(doc map[string]any, fields ...string) map[string]any {
	rest := maps.Clone(doc)
	for _, f := range fields {
		delete(rest, f)
	}
	return rest
}

func (a *anything) setting(k *known) map[string]any {
	sled := a.some(k, "sled")
	return map[string]any{"sled": sled, "gear": a.label(k, sled), "start_ft": float64(a.IntN(8))}
}

func (a *anything) mendSled(doc map[string]any) {
	labels := []string{"A", "B", "C", "1", "2", "3 low", "3 high", "<b>D</b>", "=E"}
	gears := listed(doc, "gears")
	if len(gears) > len(labels) {
		return
	}
	for i, at := range a.Perm(len(labels))[:len(gears)] {
		gear := gears[i].(map[string]any)
		gear["label"] = labels[at]
		delete(gear, "range")
		delete(gear, "was")
	}
	if _, given := doc["travel_ft"]; given {
		doc["travel_ft"] = 28 + float64(a.IntN(12))
	}
	if a.chance(0.5) {
		a.noteParts(doc)
	}
	if d, is := doc["driveline"].(map[string]any); is {
		delete(d, "axle_ratios")
		delete(d, "tire_revs_per_mile")
	}
}

// noteParts notes every part of a sled.
func (a *anything) noteParts(doc map[string]any) {
	doc["driveline"] = map[string]any{
		"sprocket_teeth": 10 + a.IntN(8), "chain_pitch_in": 2, "axle_ratio": 4.88, "final_ratio": 4 +
			float64(a.IntN(20))/10, "tire_circumference_ft": 10.2,
	}
	for _, g := range listed(doc, "gears") {
		gear := g.(map[string]any)
		delete(gear, "range")
		gear["ratio"] = 1 + float64(a.IntN(100))/100
	}
}

func (a *anything) mendReading(k *known, doc map[string]any, sled string) {
	if _, batch := doc["sled"]; batch {
		doc["sled"] = sled
	}
	doc["gear"] = a.label(k, sled)
	doc["start_ft"] = one(a, []float64{0, 0, 0, 2, 4, 4.5, 8})
	if !a.chance(0.05) {
		doc["distance_ft"] = 180 + float64(a.IntN(240))/2
	}
	for _, field := range []string{"ended", "end_ft", "plus_minus_ft", "replaces"} {
		delete(doc, field)
	}
	switch a.IntN(8) {
	case 0:
		doc["ended"], doc["end_ft"] = "stopped-short", 15+float64(a.IntN(10))
	case 1:
		doc["ended"], doc["plus_minus_ft"] = "stated", 1+float64(a.IntN(20))
	case 2:
		doc["ended"] = "past-top"
	case 3:
		doc["replaces"] = a.some(k, "reading")
	}
}

func (a *anything) mendChange(k *known, doc map[string]any, sled string) {
	doc["made_on"] = one(a, []string{"2024-06-15", "2024-12-01", "2025-05-05", "2025-11-11"})
	for _, field := range []string{"driveline", "gears", "travel_ft"} {
		delete(doc, field)
	}
	switch a.IntN(3) {
	case 0:
		doc["driveline"] = map[string]any{"final_ratio": 4 + float64(a.IntN(20))/10}
	case 1:
		doc["gears"] = []any{map[string]any{"label": a.label(k, sled), "ratio": 1 + float64(a.IntN(10))/10}}
	case 2:
		doc["travel_ft"] = 30 + float64(a.IntN(8))
	}
}

// key is a key that was made, whatever its right, or the one set at the start.
func (a *anything) key(k *known) string {
	role := one(a, []string{"manager", "operator", "promoter"})
	if len(k.keys[role]) == 0 || a.chance(0.3) {
		return testKey
	}
	return one(a, k.keys[role])
}
