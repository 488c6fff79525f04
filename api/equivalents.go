package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetEquivalents gives the gear on other sleds that tops out nearest to the one asked about.
func (s *server) GetEquivalents(c echo.Context, p openapi.GetEquivalentsParams) error {
	found, err := s.book.Equivalents(c.Request().Context(), book.Question{
		Sled: valueOr(p.Sled, ""), Gear: valueOr(p.Gear, ""), StartFt: valueOr(p.StartFt, 0),
		On: p.On, OnStartFt: p.OnStartFt,
		TopOutFt: p.TopOutFt, OnePull: valueOr(p.OnePull, false), Day: valueOr(p.Day, ""),
	})
	if err != nil {
		return err
	}
	units := unitsOf(p.Units)
	answers := mapSlice(found.Answers, func(a match.Answer) openapi.Answer {
		out := encodeAnswer(a, units)
		out.Gears = new(mapSlice(a.Gears, encodeAnswerGear))
		out.Night = encodeNight(found.Nights[a.Sled], units)
		out.Guest = encodeGuest(found.Names[a.Sled], found.Guests[a.Sled])
		names := words.Names{Asked: found.Names[found.Asked.Sled], On: found.Names[a.Sled],
			Guests: guestsOf(found, found.Asked.Sled, a.Sled)}
		out.InWords = encodeWords(words.ToAnswer(found.Asked, a, names, units))
		return out
	})
	asked := encodeAsked(found.Asked)
	asked.Guest = encodeGuest(found.Names[found.Asked.Sled], found.Guests[found.Asked.Sled])
	return s.cache.SendJSON(c, found.Revision, openapi.Equivalents{Asked: asked, Answers: answers,
		Caution: words.Standing(found.Weighed, found.Sleds...)})
}

// DrawEquivalents draws both boxes along the pull.
func (s *server) DrawEquivalents(c echo.Context, p openapi.DrawEquivalentsParams) error {
	question := book.Question{
		Sled: valueOr(p.Sled, ""), Gear: valueOr(p.Gear, ""), StartFt: valueOr(p.StartFt, 0), On: []string{p.On},
		OnStartFt: p.OnStartFt, TopOutFt: p.TopOutFt, OnePull: valueOr(p.OnePull, false), Day: valueOr(p.Day, ""),
	}
	drawing, revision, err := s.book.DrawEquivalents(c.Request().Context(), question, styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

func encodeAsked(a match.Asked) openapi.Asked {
	out := openapi.Asked{
		Sled: nilIfZero(a.Sled), Gear: nilIfZero(a.Gear), StartFt: a.StartFt, BoxSpeed: a.BoxSpeed,
		Basis:    basis(a.Estimate),
		StatedBy: nilIfZero(a.StatedBy),
	}
	n := numbers(a.Estimate)
	out.TopOutFt, out.LowFt, out.HighFt = n.expected, n.low, n.high
	out.TonightLowFt, out.TonightHighFt = n.tonightLow, n.tonightHigh
	if a.BoxSpeed != nil {
		out.BoxSpeedLow, out.BoxSpeedHigh = &a.BoxSpeedLow, &a.BoxSpeedHigh
	}
	return out
}

func encodeWords(a words.Answer) *openapi.InWords {
	out := &openapi.InWords{
		Level: openapi.InWordsLevel(a.Level), Asked: a.Asked, Headline: a.Headline, Meaning: a.Meaning, Sure: a.Sure,
		MovedStart: nilIfZero(a.MovedStart), Rests: notNil(a.Rests),
	}
	p := a.ForPullers
	out.ForPullers.Headline, out.ForPullers.Meaning = p.Headline, p.Meaning
	out.ForPullers.Rests, out.ForPullers.Line = p.Rests, p.Line
	return out
}

// encodeAnswer encodes an answer without its list of gears, which a sheet of many classes has no room for.
func encodeAnswer(a match.Answer, units fleet.Units) openapi.Answer {
	out := openapi.Answer{
		Sled: nilIfZero(a.Sled), Detail: nilIfZero(words.Because(a.Because, units)), UsualGear: nilIfZero(a.UsualGear),
	}
	if n := a.Nearest; n != nil {
		out.Nearest = &openapi.Nearest{
			Gear: n.Gear, StartFt: n.StartFt, TopOutFt: n.TonightFt, AverageFt: averageOf(n.TonightFt, n.TopOutFt),
			LowFt: n.LowFt, HighFt: n.HighFt,
			TonightLowFt: n.TonightLowFt, TonightHighFt: n.TonightHighFt,
			DifferenceTonightLowFt: n.DifferenceTonightLowFt, DifferenceTonightHighFt: n.DifferenceTonightHighFt,
			DifferenceFt: n.DifferenceFt, DifferenceLowFt: n.DifferenceLowFt, DifferenceHighFt: n.DifferenceHighFt,
			BoxSpeed: n.BoxSpeed, Basis: basis(n.Estimate), StatedBy: nilIfZero(n.StatedBy),
			OutOfReach: n.OutOfReach, ComparedAt: openapi.NearestComparedAt(n.ComparedAt),
		}
		if n.OwnSetting {
			out.Nearest.OwnSetting = &n.OwnSetting
		} else {
			out.Nearest.ChanceNearest, out.Nearest.ChanceNearestOnAverage = &n.ChanceNearest, &n.ChanceNearestOnAverage
			out.Nearest.Confidence = new(openapi.Confidence(n.Confidence))
		}
		if n.BoxSpeed != nil {
			out.Nearest.BoxSpeedLow, out.Nearest.BoxSpeedHigh = &n.BoxSpeedLow, &n.BoxSpeedHigh
		}
	}
	if r := a.RunnerUp; r != nil {
		out.RunnerUp = &openapi.RunnerUp{Gear: r.Gear, ChanceNearest: r.ChanceNearest}
	}
	if m := a.MovedStart; m != nil {
		out.MovedStart = &openapi.MovedStart{
			Gear: m.Gear, StartFt: m.StartFt, RoundedStartFt: m.RoundedStartFt, TopOutFt: m.TonightFt,
			AverageFt: averageOf(m.TonightFt, m.TopOutFt),
			LowFt:     m.LowFt, HighFt: m.HighFt, TonightLowFt: m.TonightLowFt, TonightHighFt: m.TonightHighFt,
			DifferenceFt:           m.DifferenceFt,
			DifferenceTonightLowFt: m.DifferenceTonightLowFt, DifferenceTonightHighFt: m.DifferenceTonightHighFt,
			DifferenceLowFt: m.DifferenceLowFt, DifferenceHighFt: m.DifferenceHighFt, WorthIt: m.WorthIt,
		}
	}
	return out
}

func encodeAnswerGear(g match.Candidate) openapi.AnswerGear {
	return openapi.AnswerGear{
		Gear: g.Gear, TopOutFt: g.TonightFt, AverageFt: averageOf(g.TonightFt, g.TopOutFt),
		LowFt: g.LowFt, HighFt: g.HighFt, TonightLowFt: g.TonightLowFt, TonightHighFt: g.TonightHighFt,
		DifferenceFt: g.DifferenceFt, DifferenceLowFt: g.DifferenceLowFt, DifferenceHighFt: g.DifferenceHighFt,
		DifferenceTonightLowFt: g.DifferenceTonightLowFt, DifferenceTonightHighFt: g.DifferenceTonightHighFt,
		ChanceNearest: g.ChanceNearest, ChanceNearestOnAverage: g.ChanceNearestOnAverage,
		Basis: basis(g.Estimate), StatedBy: nilIfZero(g.StatedBy),
	}
}
