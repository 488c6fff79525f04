package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetTable gives every gear of one sled against the whole fleet.
func (s *server) GetTable(c echo.Context, p openapi.GetTableParams) error {
	table, err := s.book.Table(c.Request().Context(), p.Reference, valueOr(p.StartFt, 0), valueOr(p.Day, ""))
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, table.Revision, encodeTable(table, unitsOf(p.Units)))
}

func encodeTable(t book.Table, units fleet.Units) openapi.Table {
	out := openapi.Table{
		Reference: t.Reference.ID, StartFt: t.StartFt, Caution: cautionOf(t), Nights: map[string]openapi.Night{},
		Guests: encodeGuests(append([]fleet.Sled{t.Reference}, t.Sleds...)),
		Sleds:  mapSlice(t.Sleds, func(s fleet.Sled) string { return s.ID }),
		Rows: mapSlice(t.Rows, func(r book.TableRow) openapi.TableRow {
			out := openapi.TableRow{Gear: r.Asked.Gear, Basis: basis(r.Asked.Estimate),
				On: map[string]openapi.TableCell{}}
			n := numbers(r.Asked.Estimate)
			out.TopOutFt, out.LowFt, out.HighFt = n.expected, n.low, n.high
			out.TonightLowFt, out.TonightHighFt = n.tonightLow, n.tonightHigh
			for sled, answer := range r.On {
				if answer.Nearest != nil {
					out.On[sled] = encodeCell(*answer.Nearest)
				}
			}
			return out
		}),
	}
	for sled, night := range t.Nights {
		out.Nights[sled] = *encodeNight(night, units)
	}
	return out
}

func encodeCell(n match.Nearest) openapi.TableCell {
	return openapi.TableCell{
		Gear: n.Gear, DifferenceFt: n.DifferenceFt, PlusMinusFt: plusMinus(n), PlusMinusTonightFt: plusMinusTonight(n),
		ChanceNearest: n.ChanceNearest,
		Confidence:    openapi.Confidence(n.Confidence), OutOfReach: n.OutOfReach,
		ComparedAt: openapi.TableCellComparedAt(n.ComparedAt), Basis: basis(n.Estimate),
		StatedBy: nilIfZero(n.StatedBy),
	}
}

// cautionOf is the caution of a table, with the names of sleds that are invented.
func cautionOf(t book.Table) string {
	return words.Standing(t.Weighed, append([]fleet.Sled{t.Reference}, t.Sleds...)...)
}

// plusMinusTonight is half the width of the 95 % interval of one more pull tonight, ft.
func plusMinusTonight(n match.Nearest) float64 {
	return (n.DifferenceTonightHighFt - n.DifferenceTonightLowFt) / 2
}

// plusMinus is half the width of the 95 % interval of the difference, ft.
func plusMinus(n match.Nearest) float64 { return (n.DifferenceHighFt - n.DifferenceLowFt) / 2 }
