package main

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// usualOptions is how many combinations are named when nobody says how many.
const usualOptions = 20

// GetPartOptions gives which parts at hand would make one sled like another.
func (s *server) GetPartOptions(c echo.Context, p openapi.GetPartOptionsParams) error {
	var faults fleet.Faults
	sets := gearSets(p.GearSet, &faults)
	found, err := s.book.PartOptions(c.Request().Context(), book.PartQuestion{
		Sled: p.Sled, Reference: p.Reference, Limit: valueOr(p.Most, usualOptions),
		Now: driveline.Parts{
			SprocketTeeth: valueOr(p.SprocketTeethNow, 0), AxleRatio: valueOr(p.AxleRatioNow, 0),
			FinalRatio: valueOr(p.FinalRatioNow, 0), TireCircumferenceFt: valueOr(p.TireCircumferenceFtNow, 0),
		},
		Choices: driveline.Choices{
			SprocketTeeth: p.SprocketTeeth, AxleRatio: p.AxleRatio, FinalRatio: p.FinalRatio,
			TireCircumferenceFt: p.TireCircumferenceFt, GearSets: sets,
		},
	})
	if err := faults.Join(err); err != nil {
		return err
	}
	encode := func(o book.PartOption) openapi.PartOption { return encodeOption(o, p.GearSet) }
	return s.cache.SendJSON(c, found.Revision, openapi.PartOptions{
		Sled: found.Sled.ID, Reference: found.Reference.ID, Now: encode(found.Now), Items: mapSlice(found.Items,
			encode),
		Combinations: found.Combinations, ExactFactor: found.ExactFactor, ExactMeanFt: found.ExactMeanFt,
		CannotBeMended: notNil(found.CannotBeMended), LeftOut: notNil(found.LeftOut),
		Caution: partsCautionOf(found.Sled, found.Reference),
	})
}

// gearSets reads ratios with commas between. A set that cannot be read is noted, and nil.
func gearSets(given []string, faults *fleet.Faults) (sets [][]float64) {
	for i, text := range given {
		var set []float64
		for one := range strings.SplitSeq(text, ",") {
			ratio, wrong := fleet.ParseDecimal(strings.TrimSpace(one))
			if wrong == "" && !(ratio > 0 && ratio <= 1000) {
				wrong = fmt.Sprintf("a ratio must be above 0 and at most 1000, not %g", ratio)
			}
			if wrong != "" {
				faults.Add(fmt.Sprintf("gear_set[%d]", i), "%s", wrong)
				set = nil
				break
			}
			set = append(set, ratio)
		}
		sets = append(sets, set)
	}
	return sets
}

func encodeOption(o book.PartOption, sets []string) openapi.PartOption {
	out := openapi.PartOption{
		SprocketTeeth: nilIfZero(o.SprocketTeeth), AxleRatio: nilIfZero(o.AxleRatio),
		FinalRatio:          nilIfZero(o.FinalRatio),
		TireCircumferenceFt: nilIfZero(o.TireCircumferenceFt), MeanFt: o.MeanFt, WorstFt: o.WorstFt,
		PlusMinusFt: o.PlusMinusFt,
		Changed:     o.Changed, BoxSpeedChangePct: o.BoxSpeedChangePct,
		ReturnSpeedLowPct: o.ReturnLowPct, ReturnSpeedHighPct: o.ReturnHighPct,
		Gears: mapSlice(o.Gears, func(g book.PartGear) openapi.PartOptionGear {
			return openapi.PartOptionGear{ReferenceGear: g.ReferenceGear, Gear: g.Gear, TopOutFt: g.TopOutFt,
				DifferenceFt: g.DifferenceFt}
		}),
		TopOuts: mapSlice(o.TopOuts, func(g book.PartTopOut) openapi.PartTopOut {
			return openapi.PartTopOut{Gear: g.Gear, TopOutFt: g.TopOutFt}
		}),
	}
	if o.GearSet >= 0 && o.GearSet < len(sets) {
		out.GearSet = &sets[o.GearSet]
	}
	return out
}
