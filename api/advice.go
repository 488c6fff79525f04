package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/calibrate"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// usualAdvice is how many readings are named when nobody says how many.
const usualAdvice = 5

// GetAdvice names the readings that would shrink the uncertainty most.
func (s *server) GetAdvice(c echo.Context, sled string, p openapi.GetAdviceParams) error {
	advice, err := s.book.Advice(c.Request().Context(), sled, valueOr(p.Show, ""), valueOr(p.Most, usualAdvice))
	if err != nil {
		return err
	}
	units := unitsOf(p.Units)
	items := mapSlice(advice.Items, func(a calibrate.Advice) openapi.Advice {
		gear := advice.Sled.Gears[a.Gear].Label
		return openapi.Advice{
			Gear: gear, StartFt: a.StartFt, PlusMinusFt: a.Now, ThenFt: a.Then, MeanFt: a.MeanNow,
			MeanThenFt: a.MeanThen,
			Detail:     words.Advice(gear, a, units),
		}
	})
	return s.cache.SendJSON(c, advice.Revision, openapi.AdviceList{Items: items})
}
