package store

import (
	"encoding/json"

	"evenpull/internal/fleet"
)

// What is stored as JSON has the names that it has in a document of the fleet. They never change.

// writeDocument is of as JSON; what is its name in the error.
func writeDocument(what string, of any) (string, error) {
	document, err := json.Marshal(of)
	return string(document), wrapped(err, "writing %s down", what)
}

func readDocument[T any](what, document string) (of T, err error) {
	err = json.Unmarshal([]byte(document), &of)
	return of, wrapped(err, "reading %s", what)
}

// gearDocument is what a change gives of one gear.
type gearDocument struct {
	ID    string   `json:"id"`
	Ratio *float64 `json:"ratio,omitempty"`
	Range string   `json:"range,omitempty"`
}

func writeGears(gears []fleet.Gear) (string, error) {
	return writeDocument("the gears of a change", mapSlice(gears, func(g fleet.Gear) gearDocument {
		return gearDocument{ID: g.ID, Ratio: g.Ratio, Range: g.Range}
	}))
}

// readGears gives the gears of a change the labels they have today.
func readGears(document string, labels map[string]string) ([]fleet.Gear, error) {
	list, err := readDocument[[]gearDocument]("the gears of a change", document)
	var gears []fleet.Gear
	for _, g := range list {
		gears = append(gears, fleet.Gear{ID: g.ID, Label: labels[g.ID], Ratio: g.Ratio, Range: g.Range})
	}
	return gears, err
}
