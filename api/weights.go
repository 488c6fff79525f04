package main

import (
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetWeights gives how much in the box of another sled makes its pan carry what this one's does.
func (s *server) GetWeights(c echo.Context, p openapi.GetWeightsParams) error {
	found, err := s.book.Weights(c.Request().Context(), book.WeightQuestion{
		Sled: p.Sled, Gear: p.Gear, StartFt: valueOr(p.StartFt, 0), InBoxLb: p.InBoxLb, OnPanLb: valueOr(p.OnPanLb, 0),
		On: p.On, OnGear: valueOr(p.OnGear, ""), OnStartFt: p.OnStartFt, OnOnPanLb: p.OnOnPanLb,
		FinishFt: p.FinishFt, At: panload.MatchAt(valueOr(p.MatchAt, "")),
	})
	if err != nil {
		return err
	}
	out := encodeWeights(found.Answer, unitsOf(p.Units))
	out.Asked.Guest = encodeGuest(found.Asked.Name, found.Asked.Guest)
	out.On.Guest = encodeGuest(found.On.Name, found.On.Guest)
	out.Caution, out.LoadCaution = new(words.Standing(true, found.Asked, found.On)), new(words.LoadCaution)
	out.Gears = mapSlice(found.Gears, encodeRanked)
	return s.cache.SendJSON(c, found.Revision, out)
}

// DrawWeights draws the load on both pans along the pull.
func (s *server) DrawWeights(c echo.Context, p openapi.DrawWeightsParams) error {
	question := book.WeightQuestion{
		Sled: p.Sled, Gear: p.Gear, StartFt: valueOr(p.StartFt, 0), InBoxLb: p.InBoxLb, OnPanLb: valueOr(p.OnPanLb, 0),
		On: p.On, OnGear: valueOr(p.OnGear, ""), OnStartFt: p.OnStartFt, OnOnPanLb: p.OnOnPanLb,
		FinishFt: p.FinishFt, At: panload.MatchAt(valueOr(p.MatchAt, "")),
	}
	drawing, revision, err := s.book.DrawWeights(c.Request().Context(), question, styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

func encodeWeights(a book.WeightAnswer, units fleet.Units) openapi.Weights {
	solved := len(a.Remaining) > 0
	out := openapi.Weights{
		Asked: encodeWeightSide(a.Asked, true), On: encodeWeightSide(a.On, solved),
		MatchAt:  openapi.WeightsMatchAt(a.At),
		FinishFt: a.FinishFt, InFeet: a.InFeet, Blocks: []openapi.Block{}, CannotSled: nilIfZero(a.CannotSled),
		OwnSetting: nilIfZero(a.OwnSetting),
		Cannot:     nilIfZero(openapi.WeightsCannot(a.Cannot)),
		Remaining: mapSlice(a.Remaining, func(r panload.Remainder) openapi.Remainder {
			return openapi.Remainder{
				Where: openapi.RemainderWhere(r.Where), Sled: nilIfZero(r.Sled), AtFt: r.AtFt, DifferenceLb: r.Lb,
				LowLb: r.LowLb, HighLb: r.HighLb,
			}
		}),
		Limits: mapSlice(a.Limits, func(l panload.Limit) openapi.WeightLimit {
			out := openapi.WeightLimit{
				What: openapi.WeightLimitWhat(l.What), MostLb: l.MostLb, Passed: l.Passed,
				Detail: words.WeightLimit(l, units),
			}
			if l.Known {
				out.WouldBeLb = &l.Lb
			}
			return out
		}),
	}
	if solved {
		out.InBoxLb, out.LowLb, out.HighLb = &a.InBox.Lb, &a.InBox.LowLb, &a.InBox.HighLb
		out.OnPanLb, out.MeanDifferenceLb = &a.OnPanLb, a.MeanLb
	}
	if a.Rounded != nil {
		out.RoundedInBoxLb = &a.Rounded.Lb
		out.Blocks = mapSlice(a.Rounded.Blocks, func(b panload.Block) openapi.Block {
			return openapi.Block{Lb: b.Lb, Count: b.Count}
		})
	}
	out.InWords = encodeWeightWords(a, units)
	return out
}

func encodeWeightSide(s words.PullSide, known bool) openapi.WeightSide {
	out := openapi.WeightSide{
		Sled: s.Sled, Name: s.Name, Gear: nilIfZero(s.Gear), StartFt: s.StartFt, TopOutFt: s.TopOutFt,
		OnPanLb: s.OnPanLb,
	}
	if known {
		out.InBoxLb = &s.InBoxLb
	}
	return out
}

func encodeWeightWords(a book.WeightAnswer, units fleet.Units) openapi.WeightInWords {
	sides := words.WeightSides{Asked: a.Asked, On: a.On, OwnSetting: a.OwnSetting, CannotSled: a.CannotSled}
	said := words.ToWeight(a.Answer, a.At, sides, units)
	return openapi.WeightInWords{
		Headline: said.Headline, Sure: said.Sure, Remaining: notNil(said.Remaining), Cannot: nilIfZero(said.Cannot),
	}
}

func encodeRanked(g book.RankedGear) openapi.RankedGear {
	return openapi.RankedGear{
		Gear: g.On.Gear, StartFt: g.On.StartFt, TopOutFt: *g.On.TopOutFt, InBoxLb: g.On.InBoxLb, OnPanLb: g.OnPanLb,
		Cannot: nilIfZero(string(g.Cannot)), Detail: nilIfZero(words.Shortfall(g.Cannot)),
		HookLb: g.LeftAt("hook"), FinishLb: g.LeftAt("finish"), MeanLb: g.MeanAbsLb,
	}
}

// encodeFullPull is nil where the length of the track is not known, or the gear is not.
func encodeFullPull(s book.Sheet, a match.Answer, units fleet.Units) *openapi.FullPull {
	topsOut := s.FullPull(a)
	if topsOut == "" {
		return nil
	}
	return &openapi.FullPull{
		FullPullFt: *s.Show.FullPullFt, TopsOut: openapi.FullPullTopsOut(topsOut),
		Detail: words.FullPull(string(topsOut), *s.Show.FullPullFt, units),
	}
}

func encodeCandidateWeights(k book.Candidate, units fleet.Units) *openapi.CandidateWeights {
	w := k.Weights
	if w == nil {
		return nil
	}
	return &openapi.CandidateWeights{
		Weighed: w.Weighed, Classes: w.Classes, Solved: w.Solved, HookMeanLb: w.HookMeanLb,
		FinishMeanLb: w.FinishMeanLb,
		WorstLb:      w.WorstLb, WorstClass: nilIfZero(w.WorstClass),
		Detail: words.CandidateWeights(k.Name, w.Weighed, w.Classes, w.Solved, w.HookMeanLb, w.FinishMeanLb, units),
	}
}

// weightHeadings are the columns of a sheet that has weights.
func weightHeadings(units fleet.Units) []string {
	in := "_" + units.Weight()
	return []string{"tonight_in_box" + in, "pull_off_in_box" + in, "remains_at_hook" + in, "remains_at_finish" + in,
		"tonight_on_pan" + in, "pull_off_on_pan" + in, "weight_remarks"}
}

// weightCells are the weights of a class and of its pull-off; what remains, and why there is no weight, are the
// class's.
func weightCells(a, pullOff *book.WeightAnswer, units fleet.Units) []string {
	cells := make([]string, 7)
	if pullOff != nil && pullOff.Cannot == "" {
		cells[1] = spreadsheet.Weight(pullOff.On.InBoxLb, units)
		cells[5] = spreadsheet.Weight(pullOff.On.OnPanLb, units)
	}
	if a == nil {
		return cells
	}
	cells[6] = spreadsheet.Text(strings.ReplaceAll(valueOr(encodeWeightWords(*a, units).Cannot, ""), "\u00a0", " "))
	if a.Cannot == "" {
		cells[0] = spreadsheet.Weight(a.On.InBoxLb, units)
		cells[2] = spreadsheet.Optional(a.LeftAt("hook"), units, spreadsheet.Weight)
		cells[3] = spreadsheet.Optional(a.LeftAt("finish"), units, spreadsheet.Weight)
		cells[4] = spreadsheet.Weight(a.On.OnPanLb, units)
	}
	return cells
}
