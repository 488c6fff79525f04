package archive

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"

	"evenpull/internal/fleet"
)

// Source is a fleet that is written out. Each goes through everything of a sort in an order that depends on nothing but
// the fleet.
type Source interface {
	EachTimeline(do func(fleet.Timeline) error) error
	EachReading(do func(fleet.Reading) error) error
	EachWeighing(do func(fleet.Weighing) error) error
	EachClass(do func(fleet.Class) error) error
	EachShow(do func(fleet.ShowRecord) error) error
	EachInspectionList(do func(fleet.InspectionList) error) error
	EachInspection(do func(fleet.Inspection) error) error
	EachEntry(but []string, do func(fleet.Entry) error) error // of the history, without those kinds
}

// Export writes the whole fleet as one JSON document: all but keys, what happened to them, and idempotency records. The
// same fleet gives the same bytes. What has been written when it errs is no whole document.
func Export(ctx context.Context, from Source, out io.Writer) error {
	w := newWriter(ctx, out, format)
	for _, section := range []struct {
		name string
		each func() error
	}{
		{sectionSleds, func() error { return from.EachTimeline(w.sled) }},
		{sectionChanges, func() error { return from.EachTimeline(w.changes) }},
		{sectionReadings, func() error { return from.EachReading(put[fleet.Reading](w)) }},
		{sectionWeighings, func() error { return from.EachWeighing(put[fleet.Weighing](w)) }},
		{sectionClasses, func() error { return from.EachClass(put[fleet.Class](w)) }},
		{sectionShows, func() error { return from.EachShow(put[fleet.ShowRecord](w)) }},
		{sectionInspectionLists, func() error { return from.EachInspectionList(put[fleet.InspectionList](w)) }},
		{sectionInspections, func() error { return from.EachInspection(put[fleet.Inspection](w)) }},
		{sectionHistory, func() error { return from.EachEntry(notExported(), put[fleet.Entry](w)) }},
	} {
		w.section(section.name)
		if err := section.each(); err != nil {
			return err
		}
	}
	return w.end()
}

// put writes things as they are stored.
func put[T any](w *writer) func(T) error { return func(thing T) error { return w.put(thing) } }

func (w *writer) sled(t fleet.Timeline) error { return w.put(t.Base) }

func (w *writer) changes(t fleet.Timeline) error {
	for _, c := range t.Changes {
		if err := w.put(c); err != nil {
			return err
		}
	}
	return nil
}

// writer writes sections of things, one on each line, so that two documents can be compared line by line.
type writer struct {
	ctx   context.Context
	out   *bufio.Writer
	begun bool // with a section
	first bool // of its section
}

func newWriter(ctx context.Context, out io.Writer, format string) *writer {
	w := &writer{ctx: ctx, out: bufio.NewWriterSize(out, 1<<16)}
	fmt.Fprintf(w.out, "{\"format\": %q", format)
	return w
}

// section begins a section and ends the one before. What fails here is told by end.
func (w *writer) section(name string) {
	if w.begun {
		w.out.WriteString("\n]")
	}
	w.begun = true
	fmt.Fprintf(w.out, ",\n%q: [", name)
	w.first = true
}

func (w *writer) put(thing any) error {
	if err := w.ctx.Err(); err != nil {
		return fmt.Errorf("writing a document: %w", err)
	}
	text, err := json.Marshal(thing)
	if err != nil {
		return fmt.Errorf("writing a document: %w", err)
	}
	if !w.first {
		w.out.WriteByte(',')
	}
	w.first = false
	w.out.WriteByte('\n')
	if _, err := w.out.Write(text); err != nil {
		return fmt.Errorf("writing a document: %w", err)
	}
	return nil
}

func (w *writer) end() error {
	w.out.WriteString("\n]}\n")
	if err := w.out.Flush(); err != nil {
		return fmt.Errorf("writing a document: %w", err)
	}
	return nil
}
