package main

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/calibrate"
	"evenpull/openapi"
)

// usualAdvice is how many readings are named when nobody says how many.
const usualAdvice = 5

// GetAdvice names the readings that would shrink the uncertainty most.
func (s *server) GetAdvice(c echo.Context, sled string, p openapi.GetAdviceParams) error {
	advice, err := s.book.Advice(c.Request().Context(), sled, or(p.Show, ""), or(p.Most, usualAdvice))
	if err != nil {
		return err
	}
	a, err := jsonAnswer(http.StatusOK, openapi.AdviceList{Items: each(advice.Items, advised(advice))})
	if err != nil {
		return err
	}
	return s.sendKept(c, advice.Revision, a)
}

func advised(of book.Advice) func(calibrate.Advice) openapi.Advice {
	return func(a calibrate.Advice) openapi.Advice {
		gear := of.Sled.Gears[a.Gear].Label
		from := "full back"
		if a.StartFt > 0 {
			from = fmt.Sprintf("%g ft", a.StartFt)
		}
		detail := fmt.Sprintf("Gear %s from %s, of which nothing is known yet: afterwards it is known to ± %.0f ft.", gear, from, a.Then)
		if a.Now != nil {
			detail = fmt.Sprintf("Gear %s from %s: from ± %.1f to ± %.1f ft.", gear, from, *a.Now, a.Then)
		}
		return openapi.Advice{
			Gear: gear, StartFt: a.StartFt, PlusMinusFt: a.Now, ThenFt: a.Then, MeanFt: a.MeanNow, MeanThenFt: a.MeanThen, Detail: detail,
		}
	}
}
