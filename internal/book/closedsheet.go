package book

import (
	"encoding/json"
	"fmt"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/strictjson"
	"evenpull/internal/words"
)

// closedSheetFormat is the number of the format of closedSheet. Once released, a change of its types that an older
// document does not fit needs a new number, and decodeClosedSheet must still read the old one.
const closedSheetFormat = 1

// closedSheet is the document of a closed sheet. It does not hold what was run and how it went: both may still be noted
// afterward.
type closedSheet struct {
	SledName string       `json:"sled_name"`
	Guest    *fleet.Guest `json:"guest,omitempty"` // as it was then
	Night    *Night       `json:"night,omitempty"`
	Rows     []SheetRow   `json:"rows"`
}

func closedSheetOn(s fleet.Sled, night *Night, rows []SheetRow) closedSheet {
	return closedSheet{s.Name, s.Guest, night, rows}
}

func encodeClosedSheet(sheet closedSheet) (fleet.ClosedSheet, error) {
	document, err := json.Marshal(sheet)
	if err != nil {
		return fleet.ClosedSheet{}, fmt.Errorf("encoding the sheet: %w", err)
	}
	return fleet.ClosedSheet{Format: closedSheetFormat, Document: document}, nil
}

func decodeClosedSheet(closed fleet.ClosedSheet) (sheet closedSheet, err error) {
	if closed.Format != closedSheetFormat {
		return sheet, fmt.Errorf("a sheet is kept in format %d, which this program does not know", closed.Format)
	}
	if err := json.Unmarshal(closed.Document, &sheet); err != nil {
		return sheet, fmt.Errorf("decoding a closed sheet: %w", err)
	}
	return sheet, nil
}

// checkClosedSheet finds what is wrong with a closed sheet that is imported. It returns the classes of its rows, in
// their order.
func checkClosedSheet(closed fleet.ClosedSheet) (classes []string, faults *fleet.Faults) {
	faults = new(fleet.Faults)
	if closed.Format != closedSheetFormat {
		faults.Add("", "a sheet is kept in format %d, which this program does not know", closed.Format)
		return nil, faults
	}
	var sheet closedSheet
	faults.AddIn("document", strictjson.Unmarshal(closed.Document, &sheet))
	if faults.Any() {
		return nil, faults
	}
	if g := sheet.Guest; g != nil {
		faults.AddIn("document.guest", g.Check(g.AsOf))
	}
	for n, row := range sheet.Rows {
		classes = append(classes, row.Class.ID)
		at := fmt.Sprintf("document.rows[%d]", n)
		if g := row.HomeGuest; g != nil {
			faults.AddIn(at+".home_guest", g.Check(g.AsOf))
		}
		if (row.Class.PullOff == nil) != (row.PullOffTonight == nil) {
			faults.Add(at+".pull_off_tonight", "goes with class.pull_off, and that with it")
		}
		checkAnswer(faults, at+".tonight", row.Tonight)
		if row.PullOffTonight != nil {
			checkAnswer(faults, at+".pull_off_tonight", *row.PullOffTonight)
		}
		checkWeight(faults, at+".weight", row.Weight)
		checkWeight(faults, at+".pull_off_weight", row.PullOffWeight)
	}
	return classes, faults
}

// checkAnswer checks the codes of an answer, which programs go by.
func checkAnswer(f *fleet.Faults, at string, a match.Answer) {
	if b := a.Because; b.Reason != "" && words.Because(match.Because{Reason: b.Reason}, fleet.InFeet) == "" {
		f.Add(at+".Because.Reason", "is not known here: %s", fleet.Quoted(string(b.Reason)))
	}
	for n, g := range a.Gears {
		checkBasis(f, fmt.Sprintf("%s.Gears[%d].Basis", at, n), g.Basis)
	}
	n := a.Nearest
	if n == nil {
		return
	}
	checkBasis(f, at+".Nearest.Basis", n.Basis)
	if !slices.Contains([]match.Confidence{match.Clear, match.Close, match.TossUp}, n.Confidence) {
		f.Add(at+".Nearest.Confidence", "must be clear, close or toss-up, not %s", fleet.Quoted(string(n.Confidence)))
	}
	if !slices.Contains([]match.ComparedAt{match.SameStart, match.AskedStart, match.FullBack}, n.ComparedAt) {
		f.Add(at+".Nearest.ComparedAt", "must be same-start, asked-start or full-back, not %s",
			fleet.Quoted(string(n.ComparedAt)))
	}
}

func checkBasis(f *fleet.Faults, at string, basis fleet.Basis) {
	checkCode(f, at, basis, fleet.Measured, fleet.Interpolated, fleet.Extended, fleet.StatedBasis, fleet.Carried,
		fleet.Geared, fleet.Unknown)
}

func checkCode[T ~string](f *fleet.Faults, at string, code T, known ...T) {
	if !slices.Contains(known, code) {
		f.Add(at, "is not known here: %s", fleet.Quoted(string(code)))
	}
}
