package book

import (
	"encoding/json"
	"fmt"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
)

// frozenFormat is how sheets are kept. A change of the types below that an older document does not fit needs a new
// number, and thaw must go on reading the old one: what was kept is never written again.
const frozenFormat = 1

// frozenSheet is a sheet as it is kept when a show is over. What was run and how it went are not in it: they may still
// be noted afterward.
type frozenSheet struct {
	SledName string      `json:"sled_name"`
	Night    *Night      `json:"night,omitempty"`
	Rows     []frozenRow `json:"rows"`
}

type frozenRow struct {
	Class        string         `json:"class"`
	Name         string         `json:"name"`
	UsedBy       string         `json:"used_by,omitempty"`
	Weights      string         `json:"weights,omitempty"`
	Notes        string         `json:"notes,omitempty"`
	Home         frozenHome     `json:"home"`
	HomeSledName string         `json:"home_sled_name"`
	Tonight      frozenAnswer   `json:"tonight"`
	PullOff      *frozenPullOff `json:"pull_off,omitempty"`
}

type frozenPullOff struct {
	Home    frozenHome   `json:"home"`
	Tonight frozenAnswer `json:"tonight"`
}

type frozenHome struct {
	Sled        string   `json:"sled"`
	GearID      string   `json:"gear_id"`
	Gear        string   `json:"gear"`
	StartFt     float64  `json:"start_ft"`
	StoodForFt  *float64 `json:"stood_for_ft"`
	PlusMinusFt *float64 `json:"plus_minus_ft"`
	NotedOn     string   `json:"noted_on"`
	TodayFt     *float64 `json:"today_ft"`
}

type frozenAnswer struct {
	Sled       string            `json:"sled"`
	Nearest    *frozenNearest    `json:"nearest,omitempty"`
	RunnerUp   *frozenRunnerUp   `json:"runner_up,omitempty"`
	MovedStart *frozenMoved      `json:"moved_start,omitempty"`
	Gears      []frozenCandidate `json:"gears,omitempty"`
	Because    *frozenBecause    `json:"because,omitempty"`
	UsualGear  string            `json:"usual_gear,omitempty"`
}

type frozenBecause struct {
	Reason  match.Reason `json:"reason"`
	Sled    string       `json:"sled"`
	Gear    string       `json:"gear"`
	StartFt float64      `json:"start_ft"`
}

// frozenTopOut is a top-out on average and tonight, with their 95 % intervals.
type frozenTopOut struct {
	TopOutFt      float64 `json:"top_out_ft"`
	LowFt         float64 `json:"low_ft"`
	HighFt        float64 `json:"high_ft"`
	TonightFt     float64 `json:"tonight_ft"`
	TonightLowFt  float64 `json:"tonight_low_ft"`
	TonightHighFt float64 `json:"tonight_high_ft"`
}

type frozenDifference struct {
	DifferenceFt            float64 `json:"difference_ft"`
	DifferenceLowFt         float64 `json:"difference_low_ft"`
	DifferenceHighFt        float64 `json:"difference_high_ft"`
	DifferenceTonightLowFt  float64 `json:"difference_tonight_low_ft"`
	DifferenceTonightHighFt float64 `json:"difference_tonight_high_ft"`
}

type frozenCandidate struct {
	Gear    string  `json:"gear"`
	StartFt float64 `json:"start_ft"`
	frozenTopOut
	Basis    fleet.Basis `json:"basis"`
	Readings int         `json:"readings"`
	StatedBy string      `json:"stated_by,omitempty"`
	frozenDifference
	ChanceNearest          float64 `json:"chance_nearest"`
	ChanceNearestOnAverage float64 `json:"chance_nearest_on_average"`
}

type frozenNearest struct {
	frozenCandidate
	BoxSpeed     *float64         `json:"box_speed"`
	BoxSpeedLow  float64          `json:"box_speed_low,omitempty"`
	BoxSpeedHigh float64          `json:"box_speed_high,omitempty"`
	Confidence   match.Confidence `json:"confidence"`
	OutOfReach   *bool            `json:"out_of_reach"`
	OwnSetting   bool             `json:"own_setting,omitempty"`
	ComparedAt   match.ComparedAt `json:"compared_at"`
}

type frozenRunnerUp struct {
	Gear          string  `json:"gear"`
	ChanceNearest float64 `json:"chance_nearest"`
}

type frozenMoved struct {
	Gear           string  `json:"gear"`
	StartFt        float64 `json:"start_ft"`
	RoundedStartFt float64 `json:"rounded_start_ft"`
	frozenTopOut
	frozenDifference
	WorthIt bool `json:"worth_it"`
}

// freeze writes a sheet's translation down.
func freeze(p plan) (store.ClosedSheet, error) {
	sheet := frozenSheet{SledName: p.SledName, Night: p.Night, Rows: make([]frozenRow, len(p.Rows))}
	for i, r := range p.Rows {
		sheet.Rows[i] = frozenRow{
			Class: r.Class.ID, Name: r.Class.Name, UsedBy: r.Class.UsedBy, Weights: r.Class.Weights, Notes: r.Class.Notes,
			Home: freezeHome(r.Class.Setting, r.Class.TodayFt), HomeSledName: r.HomeSledName, Tonight: freezeAnswer(r.Tonight),
		}
		if p := r.PullOff; p != nil {
			sheet.Rows[i].PullOff = &frozenPullOff{Home: freezeHome(p.Home, p.TodayFt), Tonight: freezeAnswer(p.Tonight)}
		}
	}
	document, err := json.Marshal(sheet)
	if err != nil {
		return store.ClosedSheet{}, fmt.Errorf("writing the sheet down: %w", err)
	}
	return store.ClosedSheet{Format: frozenFormat, Document: string(document)}, nil
}

// thaw reads a kept sheet: the sled's name and the rows as they were.
func thaw(kept store.ClosedSheet) (plan, error) {
	if kept.Format != frozenFormat {
		return plan{}, fmt.Errorf("a sheet is kept in format %d, which this program does not know", kept.Format)
	}
	var sheet frozenSheet
	if err := json.Unmarshal([]byte(kept.Document), &sheet); err != nil {
		return plan{}, fmt.Errorf("reading a kept sheet: %w", err)
	}
	rows := make([]SheetRow, len(sheet.Rows))
	for i, r := range sheet.Rows {
		c := fleet.Class{ID: r.Class, Name: r.Name, Setting: r.Home.thaw(), UsedBy: r.UsedBy, Weights: r.Weights, Notes: r.Notes}
		row := SheetRow{Class: ClassView{Class: c, TodayFt: r.Home.TodayFt}, HomeSledName: r.HomeSledName, Tonight: r.Tonight.thaw()}
		if r.PullOff != nil {
			home := r.PullOff.Home.thaw()
			row.PullOff = &PullOff{Home: home, TodayFt: r.PullOff.Home.TodayFt, Tonight: r.PullOff.Tonight.thaw()}
			row.Class.PullOff, row.Class.PullOffTodayFt = &home, r.PullOff.Home.TodayFt
		}
		rows[i] = row
	}
	return plan{sheet.SledName, sheet.Night, rows}, nil
}

func freezeHome(h fleet.HomeSetting, today *float64) frozenHome {
	return frozenHome{
		Sled: h.Sled, GearID: h.GearID, Gear: h.Gear, StartFt: h.StartFt,
		StoodForFt: h.TopOutFt, PlusMinusFt: h.PlusMinusFt, NotedOn: h.NotedOn, TodayFt: today,
	}
}

func (h frozenHome) thaw() fleet.HomeSetting {
	return fleet.HomeSetting{
		Setting:  fleet.Setting{Sled: h.Sled, GearID: h.GearID, Gear: h.Gear, StartFt: h.StartFt},
		StoodFor: fleet.StoodFor{TopOutFt: h.StoodForFt, PlusMinusFt: h.PlusMinusFt, NotedOn: h.NotedOn},
	}
}

func freezeAnswer(a match.Answer) frozenAnswer {
	out := frozenAnswer{Sled: a.Sled, UsualGear: a.UsualGear}
	if b := a.Because; b.Reason != "" {
		out.Because = &frozenBecause{b.Reason, b.Sled, b.Gear, b.StartFt}
	}
	if r := a.RunnerUp; r != nil {
		out.RunnerUp = &frozenRunnerUp{r.Gear, r.ChanceNearest}
	}
	if m := a.MovedStart; m != nil {
		out.MovedStart = &frozenMoved{
			Gear: m.Gear, StartFt: m.StartFt, RoundedStartFt: m.RoundedStartFt, WorthIt: m.WorthIt,
			frozenTopOut:     frozenTopOut{m.TopOutFt, m.LowFt, m.HighFt, m.TonightFt, m.TonightLowFt, m.TonightHighFt},
			frozenDifference: frozenDifference(m.Difference),
		}
	}
	if n := a.Nearest; n != nil {
		out.Nearest = &frozenNearest{
			frozenCandidate: freezeCandidate(n.Candidate), BoxSpeed: n.BoxSpeed, BoxSpeedLow: n.BoxSpeedLow, BoxSpeedHigh: n.BoxSpeedHigh,
			Confidence: n.Confidence, OutOfReach: n.OutOfReach, OwnSetting: n.OwnSetting, ComparedAt: n.ComparedAt,
		}
	}
	for _, c := range a.Gears {
		out.Gears = append(out.Gears, freezeCandidate(c))
	}
	return out
}

func (a frozenAnswer) thaw() match.Answer {
	out := match.Answer{Sled: a.Sled, UsualGear: a.UsualGear}
	if b := a.Because; b != nil {
		out.Because = match.Because{Reason: b.Reason, Sled: b.Sled, Gear: b.Gear, StartFt: b.StartFt}
	}
	if r := a.RunnerUp; r != nil {
		out.RunnerUp = &match.RunnerUp{Gear: r.Gear, ChanceNearest: r.ChanceNearest}
	}
	if m := a.MovedStart; m != nil {
		out.MovedStart = &match.MovedStart{
			Gear: m.Gear, StartFt: m.StartFt, RoundedStartFt: m.RoundedStartFt, WorthIt: m.WorthIt,
			TopOutFt: m.TopOutFt, LowFt: m.LowFt, HighFt: m.HighFt,
			TonightFt: m.TonightFt, TonightLowFt: m.TonightLowFt, TonightHighFt: m.TonightHighFt,
			Difference: match.Difference(m.frozenDifference),
		}
	}
	if n := a.Nearest; n != nil {
		out.Nearest = &match.Nearest{
			Candidate: n.thaw(), BoxSpeed: n.BoxSpeed, BoxSpeedLow: n.BoxSpeedLow, BoxSpeedHigh: n.BoxSpeedHigh,
			Confidence: n.Confidence, OutOfReach: n.OutOfReach, OwnSetting: n.OwnSetting, ComparedAt: n.ComparedAt,
		}
	}
	for _, c := range a.Gears {
		out.Gears = append(out.Gears, c.thaw())
	}
	return out
}

func freezeCandidate(c match.Candidate) frozenCandidate {
	return frozenCandidate{
		Gear: c.Gear, StartFt: c.StartFt, Basis: c.Basis, Readings: c.Readings, StatedBy: c.StatedBy,
		frozenTopOut:     frozenTopOut{c.TopOutFt, c.LowFt, c.HighFt, c.TonightFt, c.TonightLowFt, c.TonightHighFt},
		frozenDifference: frozenDifference(c.Difference),
		ChanceNearest:    c.ChanceNearest, ChanceNearestOnAverage: c.ChanceNearestOnAverage,
	}
}

func (c frozenCandidate) thaw() match.Candidate {
	return match.Candidate{
		Gear: c.Gear, Difference: match.Difference(c.frozenDifference),
		ChanceNearest: c.ChanceNearest, ChanceNearestOnAverage: c.ChanceNearestOnAverage,
		Estimate: calibrate.Estimate{
			StartFt: c.StartFt, TopOutFt: c.TopOutFt, LowFt: c.LowFt, HighFt: c.HighFt,
			TonightFt: c.TonightFt, TonightLowFt: c.TonightLowFt, TonightHighFt: c.TonightHighFt,
			Basis: c.Basis, Readings: c.Readings, StatedBy: c.StatedBy,
		},
	}
}
