package book

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// player writes at random, in every way there is, right and wrong.
type player struct {
	*Book
	rng   *rand.Rand
	clock *at
	who   []fleet.Actor
	ids   map[string][]string // by kind, of what was ever there; of lines and outcomes as SHOW/CLASS
	lines [][3]string         // show, class, id
}

func pick[T any](p *player, from []T) (one T) {
	if len(from) > 0 {
		one = from[p.rng.IntN(len(from))]
	}
	return one
}

func (p *player) remember(kind, id string, err error) error {
	if err == nil && !slices.Contains(p.ids[kind], id) {
		p.ids[kind] = append(p.ids[kind], id)
	}
	return err
}

func (p *player) gearOn(w *Writer, sled string) string {
	s, err := w.tx.Sled(sled)
	if err != nil {
		return "none"
	}
	return pick(p, s.Labels())
}

func (p *player) reading(w *Writer, sled string) fleet.Reading {
	r := readingOf(p.gearOn(w, sled), float64(p.rng.IntN(8)), 240+60*p.rng.Float64())
	r.Sled, r.Note = sled, pick(p, []string{"", "<dusty> & \"dry\"", "Fläche 3"})
	r.MeasuredOn = p.clock.now.AddDate(0, 0, -p.rng.IntN(40)).Format(time.DateOnly)
	if p.rng.IntN(4) == 0 {
		r.Replaces = pick(p, p.ids[fleet.OfReading])
	}
	return r
}

func (p *player) weighing(sled string) fleet.Weighing {
	g := weighingOf(float64(p.rng.IntN(32)), 2000*float64(p.rng.IntN(7)), 9_000+8_000*p.rng.Float64())
	g.Sled, g.WeighedOn = sled, p.clock.now.AddDate(0, 0, -p.rng.IntN(40)).Format(time.DateOnly)
	return g
}

func (p *player) class(w *Writer, name string) fleet.Class {
	c := classOf(name, pick(p, p.ids[fleet.OfSled]), "", 0)
	c.Setting.Gear = p.gearOn(w, c.Setting.Sled)
	if p.rng.IntN(3) == 0 {
		off := homeOf(pick(p, p.ids[fleet.OfSled]), "", 0)
		off.Gear = p.gearOn(w, off.Sled)
		c.PullOff = &off
	}
	return c
}

func (p *player) show(name string) fleet.Show {
	s := fleet.Show{Name: name, Sled: pick(p, p.ids[fleet.OfSled]),
		Date: p.clock.now.AddDate(0, 0, p.rng.IntN(12)-2).Format(time.DateOnly), Over: p.rng.IntN(4) == 0}
	for _, id := range p.ids[fleet.OfClass] {
		if p.rng.IntN(2) == 0 {
			s.Classes = append(s.Classes, id)
		}
	}
	return s
}

// one writes once; what the book refuses is the error.
func (p *player) one(w *Writer) error {
	sled, show, class := pick(p, p.ids[fleet.OfSled]), pick(p, p.ids[fleet.OfShow]), pick(p, p.ids[fleet.OfClass])
	switch p.rng.IntN(39) {
	case 0, 1:
		s := sledOf(fmt.Sprint("Sled ", p.rng.IntN(8)), pick(p, []*float64{nil, ft(30), ft(34.5)}), "A", "B", "C")
		s.Gears[0].Ratio, s.Driveline.FinalRatio, s.Driveline.AxleRatios = ft(1.3), 5.29, map[string]float64{}
		made, err := w.AddSled(s)
		return p.remember(fleet.OfSled, made.ID, err)
	case 2: // every gear gets its neighbor's label
		s, err := w.tx.Sled(sled)
		if err != nil {
			return err
		}
		c := Correction{Sled: s, Was: s.Labels()}
		c.Sled.Gears = slices.Clone(s.Gears)
		for i := range s.Gears {
			c.Sled.Gears[i].Label = s.Gears[(i+1)%len(s.Gears)].Label
		}
		c.Sled.Retired, c.Sled.Driveline.FinalRatio = p.rng.IntN(3) == 0, 5+p.rng.Float64()
		_, err = w.CorrectSled(sled, whatever, c)
		return err
	case 3:
		if p.rng.IntN(3) > 0 {
			return nil
		}
		_, _, err := w.RemoveSled(sled, whatever)
		return err
	case 4, 5, 6:
		r, err := w.AddReading(sled, p.reading(w, sled), Answers{})
		return p.remember(fleet.OfReading, r.ID, err)
	case 7:
		rows := []fleet.Reading{p.reading(w, sled), p.reading(w, sled), p.reading(w, pick(p, p.ids[fleet.OfSled]))}
		added, err := w.AddReadings(rowsOf(rows), Request{})
		if err == nil {
			p.ids[fleet.OfReadings] = append(p.ids[fleet.OfReadings], added.Batch)
		}
		return err
	case 21:
		if p.rng.IntN(2) == 0 {
			if p.rng.IntN(3) == 0 {
				_, err := w.Confirm(pick(p, p.ids["confirmed"]), false)
				return err
			}
			r, err := w.Confirm(pick(p, p.ids[fleet.OfReading]), true)
			return p.remember("confirmed", r.ID, err)
		}
		reason := "the wrong file"
		_, err := w.SetBatchAside(pick(p, p.ids[fleet.OfReadings]), pick(p, []*string{&reason, nil}))
		return err
	case 8, 9:
		reason := "the flag had blown over"
		_, err := w.SetAside(pick(p, p.ids[fleet.OfReading]), pick(p, []*string{&reason, nil}))
		return err
	case 10, 11:
		c := changeOn(p.clock.now.AddDate(0, 0, -p.rng.IntN(20)).Format(time.DateOnly),
			pick(p, []fleet.Effect{fleet.ByRatio, fleet.UnknownEffect}))
		c.Driveline.FinalRatio, c.Driveline.AxleRatios = 5+p.rng.Float64(), map[string]float64{}
		c.EndsWeighings = p.rng.IntN(2) == 0
		if p.rng.IntN(2) == 0 {
			c.Gears = []fleet.Gear{{Label: p.gearOn(w, sled), Ratio: ft(1 + p.rng.Float64())}}
		}
		v, err := w.AddChange(sled, c)
		return p.remember(fleet.OfChange, v.ID, err)
	case 12:
		return w.RemoveChange(pick(p, p.ids[fleet.OfChange]))
	case 13, 22, 23:
		c, err := w.AddClass(p.class(w, fmt.Sprint("Class ", p.rng.IntN(6))))
		return p.remember(fleet.OfClass, c.ID, err)
	case 14:
		_, err := w.ReplaceClass(class, anyClass, p.class(w, "Another "+class), p.rng.IntN(2) == 0)
		return err
	case 15:
		if p.rng.IntN(2) == 0 {
			return w.RemoveClass(class, anyClass)
		}
		return w.RemoveShow(show, anyShow)
	case 16, 24:
		s, err := w.AddShow(p.show(fmt.Sprint("Pull ", p.rng.IntN(3))))
		return p.remember(fleet.OfShow, s.ID, err)
	case 17, 25, 26:
		_, err := w.ReplaceShow(show, anyShow, p.show("Another "+show))
		return err
	case 18, 27, 28:
		s, err := w.tx.Show(show)
		if err != nil {
			return err
		}
		class = pick(p, s.Classes)
		a, err := w.AddAsRun(show, class, fleet.AsRun{FromHook: 1 + p.rng.IntN(3), Gear: p.gearOn(w, s.Sled)}, nil)
		if err == nil {
			p.lines = append(p.lines, [3]string{show, class, a.ID})
		}
		return err
	case 19:
		line := pick(p, p.lines)
		return w.RemoveAsRun(line[0], line[1], line[2])
	case 20, 29, 30:
		s, err := w.tx.Show(show)
		if err != nil {
			return err
		}
		class = pick(p, s.Classes)
		_, err = w.PutOutcome(show, class, fleet.Outcome{Felt: pick(p, []fleet.Felt{"", fleet.Soft, fleet.Hard})})
		return p.remember(fleet.OfOutcome, show+"/"+class, err)
	case 32:
		_, err := w.PutInspectionList(sled, anyList, fleet.OfferedInspectionItems()[p.rng.IntN(3):5], nil)
		return p.remember(fleet.OfInspectionList, sled, err)
	case 33:
		list, err := w.tx.InspectionList(sled)
		if err != nil {
			return err
		}
		made, err := w.AddInspections(sled, []fleet.Inspection{{Item: pick(p, list.Items).ID, On: "2026-05-09",
			Well: p.rng.IntN(3) > 0, Note: "as it is", Show: pick(p, append(p.ids[fleet.OfShow], ""))}})
		if err != nil {
			return err
		}
		return p.remember(fleet.OfInspection, made[0].ID, nil)
	case 34:
		return w.RemoveInspection(pick(p, p.ids[fleet.OfInspection]))
	case 35, 36:
		g, err := w.AddWeighing(sled, p.weighing(sled))
		return p.remember(fleet.OfWeighing, g.ID, err)
	case 37:
		_, err := w.AddWeighings(rowsFrom([]fleet.Weighing{p.weighing(sled), p.weighing(pick(p, p.ids[fleet.OfSled]))}))
		return err
	case 38:
		reason := "brake dragged"
		all := p.ids[fleet.OfWeighing] // of the first few, so that one of them comes back
		_, err := w.SetWeighingAside(pick(p, all[:min(3, len(all))]), pick(p, []*string{&reason, nil}))
		return err
	}
	if p.rng.IntN(2) == 0 {
		return w.EndKey(pick(p, p.ids[fleet.OfKey]), false)
	}
	k, _, err := w.AddKey("Cy", pick(p, []fleet.Role{fleet.Manager, fleet.Operator}))
	return p.remember(fleet.OfKey, k.ID, err)
}

func (p *player) newest(t *testing.T) fleet.Entry {
	page, _, err := p.History(context.Background(), "", "", "", 1)
	require.NoError(t, err)
	require.Len(t, page, 1)
	return page[0]
}

func (p *player) revision(t *testing.T) int64 {
	revision, err := p.Revision(context.Background())
	require.NoError(t, err)
	return revision
}
