package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// partsCaution goes with everything that may lead to another part or a faster box.
const partsCaution = "An aid, not a release. A faster box loads switch, brake and chains more, and parts that " +
	"change it can change its " +
	"return speed. After such a change a qualified check and slow runs with an empty box come before a show. Never " +
	"override a cut-off " +
	"switch; the sum of run-on and coast certifies nothing. Its maker, the class rules and local codes decide."

// partsCautionOf is the same of these sleds, and which of them are invented.
func partsCautionOf(sleds ...fleet.Sled) string { return partsCaution + words.Invented(sleds...) }

// GetDriveline gives what a sled's parts predict, beside what was measured.
func (s *server) GetDriveline(c echo.Context, sled string, _ openapi.GetDrivelineParams) error {
	found, err := s.book.Driveline(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	out := openapi.GearedAgainstMeasured{
		Sled: found.Sled.ID, VariesWithSpeed: found.VariesWithSpeed, Caution: partsCautionOf(found.Sled),
		Gears: mapSlice(found.Gears, encodeGeared),
		StandsOut: mapSlice(found.StandsOut, func(o book.StandsOut) openapi.StandsOut {
			return openapi.StandsOut{Gear: o.Gear, Detail: words.StandsOut(o.Gear, o.OffPct)}
		}),
	}
	if f := found.Factor; f != nil {
		out.Factor, out.FactorLow, out.FactorHigh = &f.Factor, &f.Low, &f.High
	}
	return s.cache.SendJSON(c, found.Revision, out)
}

func encodeGeared(g book.GearedGear) openapi.GearedGear {
	return openapi.GearedGear{
		Label: g.Label, GearedTopOutFt: g.GearedFt, MeasuredTopOutFt: g.MeasuredFt,
		MeasuredOverGeared: g.MeasuredOverGeared,
		Missing:            mapSlice(g.Missing, words.Part),
	}
}

// drivelineInput is a drive line as it is sent. The names in JSON are those of fleet.Driveline.
type drivelineInput struct {
	fleet.Driveline
	TireRevsPerMile float64 `json:"tire_revs_per_mile"` // instead of its circumference; the contract refuses 0 for both
}

// decode notes where a drive line gives one thing in two ways.
func (in drivelineInput) decode(faults *fleet.Faults) fleet.Driveline {
	switch {
	case in.TireRevsPerMile == 0:
	case in.TireCircumferenceFt != 0:
		faults.Add("driveline.tire_revs_per_mile", "says the same as tire_circumference_ft; give one of them")
	default:
		in.TireCircumferenceFt = driveline.CircumferenceFt(in.TireRevsPerMile)
	}
	return in.Driveline
}

// encodeDriveline is nil while nothing is known.
func encodeDriveline(d fleet.Driveline) *openapi.Driveline {
	if d.Empty() {
		return nil
	}
	return &openapi.Driveline{
		SprocketTeeth: nilIfZero(d.SprocketTeeth), ChainPitchIn: nilIfZero(d.ChainPitchIn),
		BoxFtPerTurn: nilIfZero(d.BoxFtPerTurn),
		AxleRatio:    nilIfZero(d.AxleRatio), FinalRatio: nilIfZero(d.FinalRatio), OtherRatio: nilIfZero(d.OtherRatio),
		TireCircumferenceFt: nilIfZero(d.TireCircumferenceFt), AxleRatios: d.AxleRatios,
	}
}
