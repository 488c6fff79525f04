package main

import (
	"cmp"
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetHowAlike gives how near every other sled's ladder comes to one sled's.
func (s *server) GetHowAlike(c echo.Context, p openapi.GetHowAlikeParams) error {
	found, err := s.book.HowAlike(c.Request().Context(), p.Reference, valueOr(p.UsedOnly, false), guests(p.Guests))
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, found.Revision, openapi.HowAlike{
		Reference: found.Reference.ID, Gears: notNil(found.Gears),
		Items: mapSlice(found.Items, encodeAlike), Caution: words.Standing(found.Weighed, found.Sleds...),
	})
}

// GetLadders gives where every gear of every sled tops out from full back, the slowest first.
func (s *server) GetLadders(c echo.Context, _ openapi.GetLaddersParams) error {
	found, err := s.book.Ladders(c.Request().Context())
	if err != nil {
		return err
	}
	sleds := mapSlice(found.Items, func(l book.Ladder) fleet.Sled { return l.Sled })
	return s.cache.SendJSON(c, found.Revision, openapi.Ladders{
		Items: mapSlice(found.Items, encodeLadder), Caution: words.Standing(found.Weighed, sleds...),
	})
}

func encodeLadder(l book.Ladder) openapi.Ladder {
	out := openapi.Ladder{Sled: l.Sled.ID, Name: l.Sled.Name, Guest: encodeGuest(l.Sled.Name, l.Sled.Guest),
		Rungs: make([]openapi.Rung, len(l.Rungs))}
	for i, e := range l.Rungs {
		n := numbers(e)
		out.Rungs[i] = openapi.Rung{Gear: l.Sled.Gears[i].Label, TopOutFt: n.expected, LowFt: n.low, HighFt: n.high,
			TonightLowFt: n.tonightLow, TonightHighFt: n.tonightHigh, Basis: basis(e)}
	}
	slowest := func(r openapi.Rung) float64 { return -valueOr(r.TopOutFt, 0) }
	slices.SortStableFunc(out.Rungs, func(a, b openapi.Rung) int { return cmp.Compare(slowest(a), slowest(b)) })
	return out
}

// DrawLadders draws every sled's ladder side by side, the reference first.
func (s *server) DrawLadders(c echo.Context, p openapi.DrawLaddersParams) error {
	drawing, revision, err := s.book.DrawLadders(c.Request().Context(), valueOr(p.Reference, ""), guests(p.Guests),
		styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

func encodeAlike(k book.Alike) openapi.AlikeSled {
	return openapi.AlikeSled{
		Sled: k.Sled, Name: k.Name, Guest: encodeGuest(k.Name, k.Guest),
		Known: k.Known, MeanFt: k.MeanFt, WorstFt: k.WorstFt,
		WorstGear:   nilIfZero(k.WorstGear),
		MeanMovedFt: k.MeanMovedFt,
		Gears: mapSlice(k.Gears, func(g book.AlikeGear) openapi.AlikeGear {
			return openapi.AlikeGear{ReferenceGear: g.ReferenceGear, Gear: g.Gear, DifferenceFt: g.DifferenceFt,
				PlusMinusFt: g.PlusMinusFt}
		}),
	}
}
