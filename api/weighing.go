package main

import (
	"iter"
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// ListWeighings lists a sled's weighings, newest first.
func (s *server) ListWeighings(c echo.Context, sled string, p openapi.ListWeighingsParams) error {
	weighings, next, err := s.book.Weighings(c.Request().Context(), sled, valueOr(p.After, ""),
		valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK,
		weighingPage{Items: mapSlice(weighings, encodeWeighing), Next: nilIfZero(next)})
}

// GetWeighing gives one weighing.
func (s *server) GetWeighing(c echo.Context, id string, _ openapi.GetWeighingParams) error {
	w, err := s.book.Weighing(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return sendDocument(c, w, weighingAnswer)
}

func weighingState(w fleet.Weighing) (name, state string) {
	return "the weighing", reply.StateOf(0, w.CreatedAt) + digestOf(w)
}

func weighingAnswer(status int, w fleet.Weighing) (reply.Answer, error) {
	_, state := weighingState(w)
	return reply.Document(status, encodeWeighing(w), state)
}

// AddWeighing adds one weighing.
func (s *server) AddWeighing(c echo.Context, sled string, _ openapi.AddWeighingParams) error {
	return create(s, c, func(w *book.Writer, in fleet.Weighing) (reply.Answer, error) {
		g, err := w.AddWeighing(sled, in)
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := weighingAnswer(http.StatusCreated, g)
		a.Location = "/v1/weighings/" + url.PathEscape(g.ID)
		return a, err
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
	match, err := reply.IfMatchGiven(p.IfMatch, weighingState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.WeighingPatch) (reply.Answer, error) {
		if err := w.MatchWeighing(id, match); err != nil {
			return reply.Answer{}, err
		}
		g, err := w.SetWeighingAside(id, reasonOf(in.SetAside))
		if err != nil {
			return reply.Answer{}, err
		}
		return weighingAnswer(http.StatusOK, g)
	})
}

// GetWeighingsCSV gives the weighings of a sled that count as a spreadsheet, oldest first.
func (s *server) GetWeighingsCSV(c echo.Context, sled string, _ openapi.GetWeighingsCSVParams) error {
	fields := fleet.WeighingFields()
	of, err := s.book.Sled(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	return sendSpreadsheet(s, c, spreadsheetOf[fleet.Weighing]{
		heading: headings(fields),
		part: func(after string, limit int) ([]fleet.Weighing, string, error) {
			return s.book.WeighingsOldestFirst(c.Request().Context(), sled, after, limit)
		},
		row: func(w fleet.Weighing) []string {
			if w.SetAside != nil {
				return nil
			}
			w.Note = strings.TrimSpace(w.Note + words.Invented(of))
			return cells(fields, w)
		},
	})
}

// weighing is a weighing as the contract has it. The names in JSON are those of fleet.Weighing.
type weighing struct {
	fleet.Weighing
	SetAside *fleet.SetAside `json:"set_aside"` // null where the weighing counts
}

func encodeWeighing(w fleet.Weighing) weighing { return weighing{Weighing: w, SetAside: w.SetAside} }

type weighingPage struct {
	Items []weighing `json:"items"`
	Next  *string    `json:"next"`
}

func decodeLoading(in *openapi.Loading) fleet.Loading {
	if in == nil {
		return fleet.Loading{}
	}
	out := fleet.Loading{
		TandemToPanFt: in.TandemToPanFt, TandemToPanPlusMinusFt: in.TandemToPanPlusMinusFt, EmptyBoxLb: in.EmptyBoxLb,
		EmptyBoxPlusMinusLb: in.EmptyBoxPlusMinusLb, BoxAheadOfTandemFt: in.BoxAheadOfTandemFt,
		BoxAheadOfTandemPlusMinusFt: in.BoxAheadOfTandemPlusMinusFt, MostInBoxLb: in.MostInBoxLb,
		MostOnPanLb: in.MostOnPanLb, MostOnTandemLb: in.MostOnTandemLb,
	}
	for _, b := range valueOr(in.Blocks, nil) {
		out.Blocks = append(out.Blocks, fleet.Block{Lb: b.Lb, Count: b.Count})
	}
	return out
}

// encodeLoading is nil where nothing is known.
func encodeLoading(l fleet.Loading) *openapi.Loading {
	if l.IsZero() {
		return nil
	}
	out := &openapi.Loading{
		TandemToPanFt: l.TandemToPanFt, TandemToPanPlusMinusFt: l.TandemToPanPlusMinusFt, EmptyBoxLb: l.EmptyBoxLb,
		EmptyBoxPlusMinusLb: l.EmptyBoxPlusMinusLb, BoxAheadOfTandemFt: l.BoxAheadOfTandemFt,
		BoxAheadOfTandemPlusMinusFt: l.BoxAheadOfTandemPlusMinusFt, MostInBoxLb: l.MostInBoxLb,
		MostOnPanLb: l.MostOnPanLb, MostOnTandemLb: l.MostOnTandemLb,
	}
	if len(l.Blocks) > 0 {
		out.Blocks = new(mapSlice(l.Blocks, func(b fleet.Block) openapi.Block {
			return openapi.Block{Lb: b.Lb, Count: b.Count}
		}))
	}
	return out
}
