package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// inspectionCaution goes with every list and everything that is due.
const inspectionCaution = "This is a crew's own memory and certifies nothing. The sled maker's manual, the " +
	"sanctioning body's inspection and qualified people decide whether a sled may pull."

// GetInspectionList gives what the crew looks at on a sled.
func (s *server) GetInspectionList(c echo.Context, sled string, _ openapi.GetInspectionListParams) error {
	list, err := s.book.InspectionList(c.Request().Context(), sled)
	return inspectionListResource.send(c, list, err)
}

// PutInspectionList replaces what the crew looks at on a sled.
func (s *server) PutInspectionList(c echo.Context, sled string, p openapi.PutInspectionListParams) error {
	return change(s, c, inspectionListResource, p.IfMatch, func(w *book.Writer,
		match func(fleet.InspectionList) error, in openapi.InspectionListInput) (fleet.InspectionList, error) {
		return w.PutInspectionList(sled, match, mapSlice(in.Items, decodeInspectionItem),
			mapSlice(in.Items, func(i openapi.InspectionItemInput) string { return valueOr(i.Was, "") }))
	})
}

// ListInspections lists what was found of a sled, newest first.
func (s *server) ListInspections(c echo.Context, sled string, p openapi.ListInspectionsParams) error {
	found, next, err := s.book.Inspections(c.Request().Context(), sled, valueOr(p.Show, ""), valueOr(p.After, ""),
		valueOr(p.Limit, defaultLimit))
	return sendPage(c, found, next, err, encodeInspection)
}

// AddInspections signs what was looked at.
func (s *server) AddInspections(c echo.Context, sled string, _ openapi.AddInspectionsParams) error {
	return create(s, c, func(w *book.Writer, in openapi.InspectionsInput) (reply.Answer, error) {
		found, err := w.AddInspections(sled, decodeInspections(in))
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusCreated, openapi.InspectionsAdded{Items: mapSlice(found, encodeInspection)})
	})
}

// DeleteInspection takes back what was signed by mistake.
func (s *server) DeleteInspection(c echo.Context, id string) error {
	return s.write(c, func(w *book.Writer) (reply.Answer, error) { return reply.NoContent(), w.RemoveInspection(id) })
}

// GetDue gives what is due on a sled.
func (s *server) GetDue(c echo.Context, sled string, p openapi.GetDueParams) error {
	due, err := s.book.Due(c.Request().Context(), sled, valueOr(p.Show, ""), valueOr(p.On, ""))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, encodeDue(due))
}

// GetInspectionsCSV gives all inspections of a sled as a spreadsheet, oldest first.
func (s *server) GetInspectionsCSV(c echo.Context, sled string, _ openapi.GetInspectionsCSVParams) error {
	return sendSpreadsheet(s, c, spreadsheetOf[fleet.Inspection]{
		heading: []string{"on", "show", "what", "well", "note", "done", "by", "signed_by", "written_at"},
		part: func(after string, limit int) ([]fleet.Inspection, string, error) {
			return s.book.InspectionsOldestFirst(c.Request().Context(), sled, after, limit)
		},
		row: inspectionRow,
	})
}

func inspectionRow(i fleet.Inspection) []string {
	well := "no"
	if i.Well {
		well = "yes"
	}
	return []string{i.On, i.Show, spreadsheet.Text(i.What), well, spreadsheet.Text(i.Note), spreadsheet.Text(i.Done),
		spreadsheet.Text(i.By), spreadsheet.Text(i.SignedBy), i.CreatedAt.Format("2006-01-02 15:04:05Z07:00")}
}

var inspectionListResource = resource[fleet.InspectionList, openapi.InspectionList]{
	encode: encodeInspectionList,
	state: func(l fleet.InspectionList) (name, state string) {
		return "the inspection list", reply.StateOf(l.Revision, l.CreatedAt)
	},
	match: reply.IfMatch[fleet.InspectionList],
}

func encodeInspectionList(l fleet.InspectionList) openapi.InspectionList {
	out := openapi.InspectionList{Sled: l.Sled, Items: mapSlice(l.Items, encodeInspectionItem),
		Revision: int(l.Revision), Caution: inspectionCaution}
	if l.Revision > 0 {
		out.UpdatedAt = &l.UpdatedAt
	}
	if len(l.Items) == 0 {
		out.Offered = mapSlice(fleet.OfferedInspectionItems(),
			func(i fleet.InspectionItem) openapi.InspectionItemInput {
				return openapi.InspectionItemInput{What: i.What, EveryShows: nilIfZero(i.EveryShows),
					EveryDays: nilIfZero(i.EveryDays), Calibration: &i.Calibration}
			})
	}
	return out
}

func encodeInspectionItem(i fleet.InspectionItem) openapi.InspectionItem {
	return openapi.InspectionItem{Id: i.ID, What: i.What, EveryShows: nilIfZero(i.EveryShows),
		EveryDays: nilIfZero(i.EveryDays), Calibration: i.Calibration}
}

func decodeInspectionItem(in openapi.InspectionItemInput) fleet.InspectionItem {
	return fleet.InspectionItem{What: in.What, EveryShows: valueOr(in.EveryShows, 0),
		EveryDays: valueOr(in.EveryDays, 0), Calibration: valueOr(in.Calibration, false)}
}

func decodeInspections(in openapi.InspectionsInput) []fleet.Inspection {
	return mapSlice(in.Items, func(i openapi.InspectionInput) fleet.Inspection {
		return fleet.Inspection{Item: i.Item, Well: i.Well, Note: valueOr(i.Note, ""), Done: valueOr(i.Done, ""),
			On: in.On, Show: valueOr(in.Show, ""), By: valueOr(in.By, "")}
	})
}

func encodeInspection(i fleet.Inspection) openapi.Inspection {
	return openapi.Inspection{Id: i.ID, Sled: i.Sled, Item: i.Item, What: i.What, Well: i.Well,
		Note: nilIfZero(i.Note), Done: nilIfZero(i.Done), On: i.On, Show: nilIfZero(i.Show), By: i.By,
		SignedBy: i.SignedBy, CreatedAt: i.CreatedAt}
}

func encodeDue(v book.DueView) openapi.Due {
	return openapi.Due{Sled: v.Sled.ID, SledName: v.Sled.Name, On: v.On, Show: mapPointer(v.Show, encodeDueShow),
		Shows: mapSlice(v.Shows, encodeDueShow), Items: mapSlice(v.Items, encodeDueItem), Caution: inspectionCaution}
}

func encodeDueShow(s fleet.Show) openapi.DueShow {
	return openapi.DueShow{Id: s.ID, Name: s.Name, Date: s.Date, Zone: s.Zone}
}

func encodeDueItem(d fleet.DueItem) openapi.DueItem {
	return openapi.DueItem{Id: d.ID, What: d.What, EveryShows: nilIfZero(d.EveryShows),
		EveryDays: nilIfZero(d.EveryDays), Calibration: d.Calibration, Due: d.Due, DueOn: nilIfZero(d.DueOn),
		Last: mapPointer(d.Last, encodeInspection), NotWell: mapSlice(d.NotWell, encodeInspection)}
}
