package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
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
		Items: mapSlice(found.Items, encodeAlike), Caution: words.Standing(found.Weighed),
	})
}

// DrawLadders draws every sled's ladder side by side, the reference first.
func (s *server) DrawLadders(c echo.Context, p openapi.DrawLaddersParams) error {
	drawing, revision, err := s.book.DrawLadders(c.Request().Context(), valueOr(p.Reference, ""), guests(p.Guests),
		styleOf(p.Theme, p.Units))
	if err != nil {
		return err
	}
	return s.cache.Send(c, revision, reply.Of(reply.TypeSVG, drawing))
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
