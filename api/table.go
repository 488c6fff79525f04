package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/openapi"
)

// GetTable gives every gear of one sled against the whole fleet, as JSON or as a spreadsheet.
func (s *server) GetTable(c echo.Context, p openapi.GetTableParams) error {
	table, err := s.book.Table(c.Request().Context(), p.Reference, or(p.StartFt, 0))
	if err != nil {
		return err
	}
	var a answer
	if wantsCSV(c) {
		a, err = tableSpreadsheet(table, unitsOf(p.Units))
	} else {
		a, err = jsonAnswer(http.StatusOK, encodeTable(table))
	}
	if err != nil {
		return err
	}
	return s.sendKept(c, table.Revision, a)
}

func encodeTable(t book.Table) openapi.Table {
	return openapi.Table{
		Reference: t.Reference.ID, StartFt: t.StartFt, Caution: caution,
		Sleds: each(t.Sleds, func(s fleet.Sled) string { return s.ID }),
		Rows: each(t.Rows, func(r book.TableRow) openapi.TableRow {
			out := openapi.TableRow{Gear: r.Asked.Gear, Basis: basis(r.Asked.Estimate), On: map[string]openapi.TableCell{}}
			out.TopOutFt, out.LowFt, out.HighFt = numbers(r.Asked.Estimate)
			for sled, answer := range r.On {
				if answer.Nearest != nil {
					out.On[sled] = encodeCell(*answer.Nearest)
				}
			}
			return out
		}),
	}
}

func encodeCell(n match.Nearest) openapi.TableCell {
	return openapi.TableCell{
		Gear: n.Gear, DifferenceFt: n.DifferenceFt, PlusMinusFt: plusMinus(n), ChanceNearest: n.ChanceNearest,
		Confidence: openapi.Confidence(n.Confidence), OutOfReach: n.OutOfReach,
		ComparedAt: openapi.TableCellComparedAt(n.ComparedAt), Basis: basis(n.Estimate), StatedBy: unless(n.StatedBy, ""),
	}
}

// plusMinus is half the width of the 95 % interval of the difference, ft.
func plusMinus(n match.Nearest) float64 { return (n.DifferenceHighFt - n.DifferenceLowFt) / 2 }
