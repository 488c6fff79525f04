package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

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
	return e.Sled == sled && e.Gear == r.Gear && e.StartFt == r.StartFt && e.DistanceFt == r.DistanceFt && e.MeasuredOn == r.MeasuredOn
}

// loadDemo loads the invented fleet into an empty database and leaves any other alone. The files are read as the API
// reads what is sent to it, and stored all or nothing.
func loadDemo(ctx context.Context, b *book.Book, files fs.FS) error {
	empty, err := b.Empty(ctx)
	if err != nil || !empty {
		return err
	}
	contract, err := readContract()
	if err != nil {
		return err
	}
	var aside []setAsideEntry
	if err := readJSONFile(files, "set-aside.json", &aside); err != nil {
		return err
	}
	sleds, err := demoSleds(files, contract)
	if err != nil {
		return err
	}
	return b.Write(ctx, func(w *book.Writer) error {
		for _, input := range sleds {
			if _, err := w.AddSled(decodeSled(input)); err != nil {
				return fmt.Errorf("sled %s: %w", input.Name, err)
			}
		}
		return addDemoReadings(w, files, aside)
	})
}

func readJSONFile(files fs.FS, name string, into any) error {
	body, err := fs.ReadFile(files, name)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(body, into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

func demoSleds(files fs.FS, k *contract) ([]openapi.SledInput, error) {
	body, err := fs.ReadFile(files, "sleds.json")
	if err != nil {
		return nil, err
	}
	value, found, err := readJSON(body)
	if err != nil {
		return nil, fmt.Errorf("sleds.json: %w", err)
	}
	faults := new(fleet.Faults)
	addTo(faults, found)
	items, _ := value.([]any)
	for i, item := range items {
		addTo(faults, faultsOf(k.schema("SledInput"), item, []string{fmt.Sprint(i)}))
	}
	if err := faults.Err(); err != nil {
		return nil, fmt.Errorf("sleds.json: %w", err)
	}
	var sleds []openapi.SledInput
	return sleds, json.Unmarshal(body, &sleds)
}

// addDemoReadings adds them one by one, because what is set aside is named by the ids they get.
func addDemoReadings(w *book.Writer, files fs.FS, aside []setAsideEntry) error {
	file, err := files.Open("readings.csv")
	if err != nil {
		return err
	}
	defer file.Close()
	sheet, err := openSheet(file)
	if err != nil {
		return fmt.Errorf("readings.csv: %w", err)
	}
	found := make([]int, len(aside))
	for row := range sheet.rows() {
		if err := row.Faults.Err(); err != nil {
			return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
		}
		reading, err := w.AddReading(row.Reading.Sled, row.Reading)
		if err != nil {
			return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
		}
		for i, entry := range aside {
			if entry.names(row.Reading.Sled, reading) {
				found[i]++
				if _, err := w.SetAside(reading.ID, &entry.Reason); err != nil {
					return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
				}
			}
		}
	}
	for i, times := range found {
		if times != 1 {
			return fmt.Errorf("set-aside.json: entry %d names %d readings, not one", i+1, times)
		}
	}
	return nil
}
