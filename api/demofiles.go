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

// demoList reads a file that holds a list, each item as it is posted.
func demoList[T any](files fs.FS, name string, k *contract.Contract, schema string) ([]T, error) {
	items, err := demoItems(files, name)
	if err != nil {
		return nil, err
	}
	list := make([]T, len(items))
	for i, item := range items {
		if err := k.Fill(&list[i], item, schema); err != nil {
			return nil, fmt.Errorf("%s, item %d: %w", name, i+1, err)
		}
	}
	return list, nil
}

// demoItems reads a file that holds a list in JSON.
func demoItems(files fs.FS, name string) ([]any, error) {
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
	return items, nil
}

// demoChange is a change of parts of the demo.
type demoChange struct {
	sled  string
	input changeInput
}

// demoChanges reads the changes: each is what POST …/changes takes and, beside its fields, the sled's id.
func demoChanges(files fs.FS, k *contract.Contract) ([]demoChange, error) {
	items, err := demoItems(files, "changes.json")
	if err != nil {
		return nil, err
	}
	changes := make([]demoChange, len(items))
	for i, item := range items {
		fields, _ := item.(map[string]any)
		fields = maps.Clone(fields) // what is no object has no fields, and lacks those that are needed
		changes[i].sled, _ = fields["sled"].(string)
		delete(fields, "sled")
		if err := k.Fill(&changes[i].input, fields, "ChangeInput"); err != nil {
			return nil, fmt.Errorf("changes.json, item %d: %w", i+1, err)
		}
	}
	return changes, nil
}

// setAsideEntry names a reading of the demo that does not count.
type setAsideEntry struct {
	Sled       string  `json:"sled"`
	Gear       string  `json:"gear"`
	StartFt    float64 `json:"start_ft"`
	DistanceFt float64 `json:"distance_ft"`
	MeasuredOn string  `json:"measured_on"`
	Reason     string  `json:"reason"`
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
