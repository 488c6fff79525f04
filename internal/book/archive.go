package book

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// archiveFormat names how a whole fleet is written as one document. A change of it that an older program cannot read, or that
// leaves something out, needs a new number, and Import must go on reading this one.
const archiveFormat = "evenpull-fleet-1"

// The sections of the document, in their order: what stands in one rests on those before it.
const (
	sectionSleds    = "sleds"    // fleet.Sled with the parts before its first change
	sectionChanges  = "changes"  // fleet.Change
	sectionReadings = "readings" // fleet.Reading
	sectionClasses  = "classes"  // fleet.Class
	sectionShows    = "shows"    // archivedShow
	sectionHistory  = "history"  // fleet.Entry
)

// archivedShow is a show with all that is noted of it.
type archivedShow struct {
	fleet.Show
	Reopened bool                     `json:"reopened,omitempty"`
	AsRun    []fleet.AsRun            `json:"as_run,omitempty"`
	Outcomes map[string]fleet.Outcome `json:"outcomes,omitempty"` // by class
	Sheet    *archivedSheet           `json:"sheet,omitempty"`    // of a show that is over
}

type archivedSheet struct {
	Format   int             `json:"format"`
	Document json.RawMessage `json:"document"`
}

// notExported are the kinds of history that belong to an installation and not to the fleet.
func notExported() []string { return []string{fleet.OfKey, fleet.OfFleet, fleet.OfDemo} }

// unsigned takes the sign of a zero away when it is added: PostgreSQL keeps -0 and SQLite does not.
const unsigned = 0.0

// Export writes the whole fleet as one JSON document, as it is at one moment: all but keys, what happened to them, and answers kept
// for repeated requests. The same fleet gives the same bytes. What has been written when it errs is no whole document.
func (b *Book) Export(ctx context.Context, out io.Writer) error {
	return b.store.Read(ctx, func(r *store.Reads) error {
		w := newArchiveWriter(ctx, out)
		for _, section := range []struct {
			name string
			each func() error
		}{
			{sectionSleds, func() error { return r.EachTimeline(w.sled) }},
			{sectionChanges, func() error { return r.EachTimeline(w.changes) }},
			{sectionReadings, func() error { return r.EachReading(w.reading) }},
			{sectionClasses, func() error { return r.EachClass(w.class) }},
			{sectionShows, func() error { return r.EachShow(w.show) }},
			{sectionHistory, func() error { return r.EachEntry(notExported(), func(e fleet.Entry) error { return w.put(e) }) }},
		} {
			w.section(section.name)
			if err := section.each(); err != nil {
				return err
			}
		}
		return w.end()
	})
}

func (w *archiveWriter) sled(t fleet.Timeline) error {
	t.Base.TakeUpFt += unsigned
	return w.put(t.Base)
}

func (w *archiveWriter) changes(t fleet.Timeline) error {
	for _, c := range t.Changes {
		if err := w.put(c); err != nil {
			return err
		}
	}
	return nil
}

func (w *archiveWriter) reading(r fleet.Reading) error {
	r.StartFt += unsigned
	return w.put(r)
}

func (w *archiveWriter) class(c fleet.Class) error {
	c.Setting.StartFt += unsigned
	if c.PullOff != nil {
		c.PullOff.StartFt += unsigned
	}
	return w.put(c)
}

func (w *archiveWriter) show(s store.WholeShow) error {
	out := archivedShow{Show: s.Show.Show, Reopened: s.Reopened, AsRun: s.AsRun, Outcomes: s.Outcomes}
	for n := range out.AsRun {
		out.AsRun[n].StartFt += unsigned
	}
	if s.Sheet != nil {
		out.Sheet = &archivedSheet{s.Sheet.Format, json.RawMessage(s.Sheet.Document)}
	}
	return w.put(out)
}

// archiveWriter writes sections of things, one on each line, so that two documents can be compared line by line.
type archiveWriter struct {
	ctx   context.Context
	out   *bufio.Writer
	first bool // of its section
}

func newArchiveWriter(ctx context.Context, out io.Writer) *archiveWriter {
	w := &archiveWriter{ctx: ctx, out: bufio.NewWriterSize(out, 1<<16)}
	fmt.Fprintf(w.out, "{\"format\": %q", archiveFormat)
	return w
}

// section begins a section and ends the one before. What fails here is told by end.
func (w *archiveWriter) section(name string) {
	if name != sectionSleds {
		w.out.WriteString("\n]")
	}
	fmt.Fprintf(w.out, ",\n%q: [", name)
	w.first = true
}

func (w *archiveWriter) put(thing any) error {
	if err := w.ctx.Err(); err != nil {
		return fmt.Errorf("writing the fleet out: %w", err)
	}
	text, err := json.Marshal(thing)
	if err != nil {
		return fmt.Errorf("writing the fleet out: %w", err)
	}
	if !w.first {
		w.out.WriteByte(',')
	}
	w.first = false
	w.out.WriteByte('\n')
	if _, err := w.out.Write(text); err != nil {
		return fmt.Errorf("writing the fleet out: %w", err)
	}
	return nil
}

func (w *archiveWriter) end() error {
	w.out.WriteString("\n]}\n")
	if err := w.out.Flush(); err != nil {
		return fmt.Errorf("writing the fleet out: %w", err)
	}
	return nil
}
