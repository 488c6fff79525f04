package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"

	"evenpull/api/internal/contract"
	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

// demoList reads a file that holds a list in JSON, and each item of it.
func demoList[T any](files fs.FS, name string, read func(item any) (T, error)) ([]T, error) {
	body, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	value, faults, err := strictjson.Read(body)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	items, isList := value.([]any)
	if !isList {
		faults.Add("", "must be a list")
	}
	if err := faults.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	list := make([]T, len(items))
	for i, item := range items {
		if list[i], err = read(item); err != nil {
			return nil, fmt.Errorf("%s, item %d: %w", name, i+1, err)
		}
	}
	return list, nil
}

// asPosted reads an item as it is posted, by its schema in the contract.
func asPosted[T any](k *contract.Contract, schema string) func(item any) (T, error) {
	return func(item any) (in T, err error) {
		err = k.Fill(&in, item, schema)
		return in, err
	}
}

// demoChange is a change of parts of the demo.
type demoChange struct {
	sled  string
	input changeInput
}

// readDemoChange reads what POST …/changes takes and, beside its fields, the sled's id.
func readDemoChange(item any, k *contract.Contract) (c demoChange, err error) {
	fields, _ := item.(map[string]any)
	fields = maps.Clone(fields) // what is no object has no fields, and lacks those that are needed
	c.sled, _ = fields["sled"].(string)
	delete(fields, "sled")
	err = k.Fill(&c.input, fields, "ChangeInput")
	return c, err
}

// setAsideEntry names a reading of the demo that does not count.
type setAsideEntry struct {
	fleet.Reading
	Reason string `json:"reason"`
}

func (e setAsideEntry) names(sled string, r fleet.Reading) bool {
	return e.Sled == sled && e.Gear == r.Gear && e.StartFt == r.StartFt && e.DistanceFt == r.DistanceFt &&
		e.MeasuredOn == r.MeasuredOn
}

func setAsideEntries(files fs.FS) ([]setAsideEntry, error) {
	body, err := fs.ReadFile(files, "set-aside.json")
	if err != nil {
		return nil, err
	}
	var entries []setAsideEntry
	if err := json.Unmarshal(body, &entries); err != nil {
		return nil, fmt.Errorf("set-aside.json: %w", err)
	}
	return entries, nil
}
