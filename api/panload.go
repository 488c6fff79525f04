package main

import (
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/panload"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetPanLoad gives what lies on the pan of a sled at the hook, halfway and at the top.
func (s *server) GetPanLoad(c echo.Context, sled string, p openapi.GetPanLoadParams) error {
	found, err := s.book.PanLoad(c.Request().Context(), book.PanQuestion{
		Sled: sled, InBoxLb: valueOr(p.InBoxLb, 0), OnPanLb: valueOr(p.OnPanLb, 0), Gear: valueOr(p.Gear, ""),
		StartFt: valueOr(p.StartFt, 0),
	})
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, found.Revision, encodePanLoad(found, unitsOf(p.Units)))
}

// DrawPanLoad draws the load on the pan along the box's travel or, with a gear, along the pull.
func (s *server) DrawPanLoad(c echo.Context, sled string, p openapi.DrawPanLoadParams) error {
	question := book.PanQuestion{
		Sled: sled, InBoxLb: valueOr(p.InBoxLb, 0), OnPanLb: valueOr(p.OnPanLb, 0), Gear: valueOr(p.Gear, ""),
		StartFt: valueOr(p.StartFt, 0),
	}
	drawing, revision, err := s.book.DrawPanLoad(c.Request().Context(), question, styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

func encodePanLoad(l book.PanLoad, units fleet.Units) openapi.PanLoad {
	q := l.Question
	out := openapi.PanLoad{
		Sled: l.Sled.ID, Name: l.Sled.Name, Guest: encodeGuest(l.Sled.Name, l.Sled.Guest), Weighings: len(l.Weighings),
		WeighingsFrom: nilIfZero(l.From), InBoxLb: q.InBoxLb, OnPanLb: q.OnPanLb,
		Gear: nilIfZero(q.Gear), StartFt: q.StartFt, TravelFt: l.TravelFt, SpreadLb: l.Spread.Lb,
		Coefficients: encodeCoefficients(l.Coefficients),
		Places: mapSlice(l.Places, func(p words.PanPlace) openapi.PanPlace {
			return openapi.PanPlace{
				Where: openapi.PanPlaceWhere(p.Where), BoxAtFt: p.BoxAtFt, AtFt: p.AtFt,
				Pan: mapPointer(p.Pan, encodeLoad), Tandem: mapPointer(p.Tandem, encodeLoad),
			}
		}),
		Checks: mapSlice(l.Checks, func(k panload.Check) openapi.PanCheck {
			return encodePanCheck(k, l.Weighings,
				units)
		}),
		Next: mapSlice(l.Next, func(n panload.State) openapi.WeighNext {
			at := l.MarkFt(n.Mark)
			return openapi.WeighNext{
				Mark: openapi.WeighNextMark(n.Mark), Loaded: n.Loaded, BoxAtFt: at, Detail: words.WeighNext(n, at,
					units),
			}
		}),
		Caution: words.LoadCaution + " " + words.WeighingCaution + words.Invented(l.Sled),
	}
	if l.TopOut != nil {
		out.TopOutFt = numbers(*l.TopOut).expected
	}
	top := l.Places[len(l.Places)-1].Pan
	out.InWords.Headline = words.PanHeadline(l.Sled.Name, q.InBoxLb, len(l.Weighings), l.From, top, units)
	out.InWords.Lines = []string{}
	for _, p := range l.Places {
		if p.BoxAtFt != nil && len(l.Weighings) > 0 {
			out.InWords.Lines = append(out.InWords.Lines, words.PanLine(p, units))
		}
	}
	return out
}

func encodeCoefficients(c [4]*panload.Coefficient) []openapi.PanCoefficient {
	out := []openapi.PanCoefficient{
		{Name: openapi.A, Unit: openapi.Lb}, {Name: openapi.B, Unit: openapi.Lbft},
		{Name: openapi.C, Unit: openapi.Lblb}, {Name: openapi.D, Unit: openapi.N1ft},
	}
	for i, of := range c {
		if of != nil {
			out[i].Value, out[i].StandardUncertainty = &of.Value, &of.SD
		}
	}
	return out
}

func encodeLoad(l panload.Load) openapi.Load {
	return openapi.Load{Lb: l.Lb, LowLb: l.LowLb, HighLb: l.HighLb}
}

func encodePanCheck(k panload.Check, all []fleet.Weighing, units fleet.Units) openapi.PanCheck {
	detail, action := words.PanCheck(k, func(id string) fleet.Weighing {
		if i := slices.IndexFunc(all, func(w fleet.Weighing) bool { return w.ID == id }); i >= 0 {
			return all[i]
		}
		return fleet.Weighing{}
	}, units)
	return openapi.PanCheck{
		Code: string(k.Code), Weighing: nilIfZero(k.Weighing), Others: notNil(k.Others),
		Mend:   nilIfZero(string(k.Mend)),
		Detail: detail, Action: action,
	}
}
