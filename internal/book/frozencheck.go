package book

import (
	"fmt"
	"slices"

	"evenpull/internal/archive"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/strictjson"
	"evenpull/internal/words"
)

// checkFrozen finds what is wrong with a closed sheet that comes in from elsewhere, and the classes it has, in their order.
func checkFrozen(s archive.Sheet) (classes []string, faults *fleet.Faults) {
	faults = new(fleet.Faults)
	if s.Format != frozenFormat {
		faults.Add("", "a sheet is kept in format %d, which this program does not know", s.Format)
		return nil, faults
	}
	check := frozenCheck{faults}
	plain, found, err := strictjson.Read(s.Document)
	if err != nil { // nested too deeply, or not there at all
		faults.Add("document", "%s", err)
		return nil, faults
	}
	var sheet frozenSheet
	check.note("document", found)
	check.note("document", strictjson.Fill(&sheet, plain))
	if faults.Any() {
		return nil, faults
	}
	for n, row := range sheet.Rows {
		classes = append(classes, row.Class)
		at := fmt.Sprintf("document.rows[%d]", n)
		check.answer(at+".tonight", row.Tonight)
		if row.PullOff != nil {
			check.answer(at+".pull_off.tonight", row.PullOff.Tonight)
		}
	}
	return classes, faults
}

type frozenCheck struct{ *fleet.Faults }

func (k frozenCheck) note(at string, found *fleet.Faults) {
	for _, f := range found.List() {
		where := at
		if f.At != "" {
			where += "." + f.At
		}
		k.Add(where, "%s", f.Detail)
	}
}

// answer checks the words of an answer that programs go by.
func (k frozenCheck) answer(at string, a frozenAnswer) {
	if b := a.Because; b != nil && words.Because(match.Because{Reason: b.Reason}, fleet.InFeet) == "" {
		k.Add(at+".because.reason", "is not known here: %s", fleet.Quoted(string(b.Reason)))
	}
	for n, g := range a.Gears {
		k.basis(fmt.Sprintf("%s.gears[%d]", at, n), g)
	}
	n := a.Nearest
	if n == nil {
		return
	}
	k.basis(at+".nearest", n.frozenCandidate)
	if !slices.Contains([]match.Confidence{match.Clear, match.Close, match.TossUp}, n.Confidence) {
		k.Add(at+".nearest.confidence", "must be clear, close or toss-up, not %s", fleet.Quoted(string(n.Confidence)))
	}
	if !slices.Contains([]match.ComparedAt{match.SameStart, match.AskedStart, match.FullBack}, n.ComparedAt) {
		k.Add(at+".nearest.compared_at", "must be same-start, asked-start or full-back, not %s", fleet.Quoted(string(n.ComparedAt)))
	}
}

func (k frozenCheck) basis(at string, c frozenCandidate) {
	switch c.Basis {
	case fleet.Measured, fleet.Interpolated, fleet.Extended, fleet.StatedBasis, fleet.Carried, fleet.Geared, fleet.Unknown:
	default:
		k.Add(at+".basis", "is not known here: %s", fleet.Quoted(string(c.Basis)))
	}
}
