package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/openapi"
)

// GetCutoff gives the room that each gear's box needs above the point where its drive is cut off.
func (s *server) GetCutoff(c echo.Context, sled string, p openapi.GetCutoffParams) error {
	found, err := s.book.Cutoff(c.Request().Context(), sled, p.GroundSpeedMph, p.ReleaseS, valueOr(p.BrakeFtS2, 0))
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, found.Revision,
		openapi.CutoffList{Sled: found.Sled.ID, Gears: mapSlice(found.Gears, encodeCutoff),
			Caution: partsCautionOf(found.Sled)})
}

func encodeCutoff(g book.CutoffGear) openapi.CutoffGear {
	return openapi.CutoffGear{
		Label: g.Label, BoxSpeedFtS: g.BoxSpeedFtS, DrivenRunOnFt: g.RunOnFt, CoastFt: g.CoastFt,
		RoomNeededFt: g.RoomNeededFt,
		Basis:        openapi.Basis(g.Basis),
	}
}
