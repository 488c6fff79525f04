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

// Export writes the whole fleet as one JSON document, as it is at one moment: all but keys, what happened to them, and answers kept
// for repeated requests. The same fleet gives the same bytes. What has been written when it errs is no whole document.
func (b *Book) Export(ctx context.Context, out io.Writer) error {
	return b.store.Read(ctx, func(r *store.Reads) error {
		w := newArchiveWriter(ctx, out)
		w.section(sectionSleds)
		if err := r.EachTimeline(func(t store.Timeline) error { return w.put(t.Base) }); err != nil {
			return err
		}
		w.section(sectionChanges)
		err := r.EachTimeline(func(t store.Timeline) error {
			for _, c := range t.Changes {
				if err := w.put(c); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
		w.section(sectionReadings)
		if err := r.EachReading(func(of fleet.Reading) error { return w.put(of) }); err != nil {
			return err
		}
		w.section(sectionClasses)
		if err := r.EachClass(func(c fleet.Class) error { return w.put(c) }); err != nil {
			return err
		}
		w.section(sectionShows)
		if err := r.EachShow(func(s store.WholeShow) error { return w.put(archived(s)) }); err != nil {
			return err
		}
		w.section(sectionHistory)
		if err := r.EachEntry(notExported(), func(e fleet.Entry) error { return w.put(e) }); err != nil {
			return err
		}
		return w.end()
	})
}

func archived(s store.WholeShow) archivedShow {
	out := archivedShow{Show: s.Show.Show, Reopened: s.Reopened, AsRun: s.AsRun, Outcomes: s.Outcomes}
	if s.Sheet != nil {
		out.Sheet = &archivedSheet{s.Sheet.Format, json.RawMessage(s.Sheet.Document)}
	}
	return out
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
