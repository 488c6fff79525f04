package main

import (
	"iter"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListWeighings lists a sled's weighings, newest first.
func (s *server) ListWeighings(c echo.Context, sled string, p openapi.ListWeighingsParams) error {
	weighings, next, err := s.book.Weighings(c.Request().Context(), sled, valueOr(p.After, ""),
		valueOr(p.Limit, defaultLimit))
	return sendPage(c, weighings, next, err, encodeWeighing)
}

// GetWeighing gives one weighing.
func (s *server) GetWeighing(c echo.Context, id string, _ openapi.GetWeighingParams) error {
	w, err := s.book.Weighing(c.Request().Context(), id)
	return weighingResource.send(c, w, err)
}

var weighingResource = resource[fleet.Weighing, weighing]{
	path: "/v1/weighings/", id: func(w fleet.Weighing) string { return w.ID }, encode: encodeWeighing,
	state: func(w fleet.Weighing) (name, state string) {
		return "the weighing", reply.StateOf(0, w.CreatedAt) + digestOf(w)
	},
	match: reply.IfMatchGiven[fleet.Weighing],
}

// AddWeighing adds one weighing.
func (s *server) AddWeighing(c echo.Context, sled string, _ openapi.AddWeighingParams) error {
	return add(s, c, weighingResource, func(w *book.Writer, in fleet.Weighing) (fleet.Weighing, error) {
		return w.AddWeighing(sled, in)
	})
}

// AddWeighings adds many weighings, all or nothing, or only checks them.
func (s *server) AddWeighings(c echo.Context, p openapi.AddWeighingsParams) error {
	of := bulk[fleet.Weighing]{
		server: s, form: spreadsheet.Weighings(), dryRun: valueOr(p.DryRun, false),
		check: func(rows iter.Seq[fleet.Row[fleet.Weighing]], _ bool) (book.Checked[fleet.Weighing], error) {
			return s.book.CheckWeighings(c.Request().Context(), rows)
		},
		add: func(w *book.Writer, rows iter.Seq[fleet.Row[fleet.Weighing]], _ bool) (book.Added, error) {
			count, err := w.AddWeighings(rows)
			return book.Added{Accepted: count}, err
		},
		options: spreadsheet.Options[fleet.Weighing]{
			Columns: valueOr(p.Columns, ""), SkipUnknown: p.Unknown != nil, Units: unitsOf(p.Units),
			Dates: spreadsheet.DateOrder(valueOr(p.Dates, "")),
			Same:  fleet.Weighing{Sled: valueOr(p.Sled, ""), WeighedOn: valueOr(p.WeighedOn, "")},
		},
	}
	return of.take(c)
}

// SetWeighingAside leaves a weighing out, or brings it back.
func (s *server) SetWeighingAside(c echo.Context, id string, p openapi.SetWeighingAsideParams) error {
	return change(s, c, weighingResource, p.IfMatch,
		func(w *book.Writer, match func(fleet.Weighing) error, in openapi.WeighingPatch) (fleet.Weighing, error) {
			if err := w.MatchWeighing(id, match); err != nil {
				return fleet.Weighing{}, err
			}
			return w.SetWeighingAside(id, reasonOf(in.SetAside))
		})
}

// GetWeighingsCSV gives the weighings of a sled that count as a spreadsheet, oldest first.
func (s *server) GetWeighingsCSV(c echo.Context, sled string, _ openapi.GetWeighingsCSVParams) error {
	return sendNotebook(s, c, sled, fleet.WeighingFields(), s.book.WeighingsOldestFirst,
		func(w *fleet.Weighing) (note *string, counts bool) { return &w.Note, w.SetAside == nil })
}

// weighing is a weighing as the contract has it. The names in JSON are those of fleet.Weighing.
type weighing struct {
	fleet.Weighing
	SetAside *fleet.SetAside `json:"set_aside"` // null where the weighing counts
}

func encodeWeighing(w fleet.Weighing) weighing { return weighing{Weighing: w, SetAside: w.SetAside} }

// encodeLoading is nil where nothing is known.
func encodeLoading(l fleet.Loading) *openapi.Loading {
	if l.IsZero() {
		return nil
	}
	return &openapi.Loading{
		TandemToPanFt: l.TandemToPanFt, TandemToPanPlusMinusFt: l.TandemToPanPlusMinusFt, EmptyBoxLb: l.EmptyBoxLb,
		EmptyBoxPlusMinusLb: l.EmptyBoxPlusMinusLb, BoxAheadOfTandemFt: l.BoxAheadOfTandemFt,
		BoxAheadOfTandemPlusMinusFt: l.BoxAheadOfTandemPlusMinusFt, MostInBoxLb: l.MostInBoxLb,
		MostOnPanLb: l.MostOnPanLb, MostOnTandemLb: l.MostOnTandemLb,
		Blocks: mapSlice(l.Blocks, func(b fleet.Block) openapi.Block {
			return openapi.Block{Lb: b.Lb, Count: b.Count}
		}),
	}
}
