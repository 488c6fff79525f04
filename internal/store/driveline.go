package store

import (
	"encoding/json"
	"fmt"

	"evenpull/internal/fleet"
)

// drivelineDocument is a drive line, or what a change gives of one, as stored: only what is known.
type drivelineDocument struct {
	SprocketTeeth       int                `json:"sprocket_teeth,omitempty"`
	ChainPitchIn        float64            `json:"chain_pitch_in,omitempty"`
	BoxFtPerTurn        float64            `json:"box_ft_per_turn,omitempty"`
	AxleRatio           float64            `json:"axle_ratio,omitempty"`
	AxleRatios          map[string]float64 `json:"axle_ratios,omitempty"`
	FinalRatio          float64            `json:"final_ratio,omitempty"`
	OtherRatio          float64            `json:"other_ratio,omitempty"`
	TireCircumferenceFt float64            `json:"tire_circumference_ft,omitempty"`
}

// gearDocument is what a change gives of one gear.
type gearDocument struct {
	ID    string   `json:"id"`
	Ratio *float64 `json:"ratio,omitempty"`
	Range string   `json:"range,omitempty"`
}

func writeDriveline(d fleet.Driveline) (string, error) {
	document, err := json.Marshal(drivelineDocument(d))
	if err != nil {
		return "", fmt.Errorf("writing a drive line down: %w", err)
	}
	return string(document), nil
}

func readDriveline(document string) (fleet.Driveline, error) {
	var d drivelineDocument
	if err := json.Unmarshal([]byte(document), &d); err != nil {
		return fleet.Driveline{}, fmt.Errorf("reading a drive line: %w", err)
	}
	return fleet.Driveline(d), nil
}

func writeGears(gears []fleet.Gear) (string, error) {
	list := make([]gearDocument, len(gears))
	for i, g := range gears {
		list[i] = gearDocument{ID: g.ID, Ratio: g.Ratio, Range: g.Range}
	}
	document, err := json.Marshal(list)
	if err != nil {
		return "", fmt.Errorf("writing the gears of a change down: %w", err)
	}
	return string(document), nil
}

// readGears gives the gears of a change the labels they have today.
func readGears(document string, labels map[string]string) ([]fleet.Gear, error) {
	var list []gearDocument
	if err := json.Unmarshal([]byte(document), &list); err != nil {
		return nil, fmt.Errorf("reading the gears of a change: %w", err)
	}
	var gears []fleet.Gear
	for _, g := range list {
		gears = append(gears, fleet.Gear{ID: g.ID, Label: labels[g.ID], Ratio: g.Ratio, Range: g.Range})
	}
	return gears, nil
}
