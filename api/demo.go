package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
	"evenpull/testdata"
)

// startWithDemo loads the demo into an empty database and leaves any other alone.
func startWithDemo(ctx context.Context, b *book.Book, files fs.FS, now time.Time) error {
	empty, err := b.Empty(ctx)
	if err != nil || !empty {
		return err
	}
	return loadDemo(ctx, b, fleet.TheProgram(), files, now)
}

// GetDemo says whether the invented fleet is there.
func (s *server) GetDemo(c echo.Context, _ openapi.GetDemoParams) error {
	loaded, err := s.book.Demo(c.Request().Context())
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, openapi.Demo{Loaded: loaded})
}

// LoadDemo loads the invented fleet for who wants to look around.
func (s *server) LoadDemo(c echo.Context) error {
	if err := loadDemo(c.Request().Context(), s.book, guard.ActorOf(c), testdata.Demo(), s.now()); err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusCreated, openapi.Demo{Loaded: true})
}

// RemoveDemo takes it out again.
func (s *server) RemoveDemo(c echo.Context, p openapi.RemoveDemoParams) error {
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		return reply.NoContent(), w.RemoveDemo(p.Dependents != nil)
	})
}

// loadDemo loads the invented fleet with its changes of parts, classes and shows into an empty database. The files are
// read as the API reads what is sent to it, and stored all or nothing. Its coming show comes after now.
func loadDemo(ctx context.Context, b *book.Book, who fleet.Actor, files fs.FS, now time.Time) error {
	k, err := contract.Read(openapi.Document)
	if err != nil {
		return err
	}
	sleds, sledsErr := demoList(files, "sleds.json", asPosted[sledInput](k, "SledInput"))
	classes, classesErr := demoList(files, "classes.json", asPosted[classInput](k, "ClassInput"))
	shows, showsErr := demoList(files, "shows.json",
		func(item any) (demoShow, error) { return readDemoShow(item, k, now) })
	changes, changesErr := demoList(files, "changes.json",
		func(item any) (demoChange, error) { return readDemoChange(item, k) })
	aside, asideErr := setAsideEntries(files)
	if err := errors.Join(sledsErr, classesErr, showsErr, changesErr, asideErr); err != nil {
		return err
	}
	return b.Write(ctx, who, func(w *book.Writer) error {
		if err := w.NoteDemo(); err != nil {
			return err
		}
		for _, input := range sleds {
			input.Invented = true
			if _, err := addSled(w, input); err != nil {
				return fmt.Errorf("sled %s: %w", input.Name, err)
			}
		}
		if err := addDemoReadings(w, files, aside); err != nil {
			return err
		}
		if err := addDemoWeighings(w, files); err != nil {
			return err
		}
		for _, c := range changes { // before the classes and shows, which keep what the charts say
			if _, err := addChange(w, c.sled, c.input); err != nil {
				return fmt.Errorf("change of %s on %s: %w", c.sled, c.input.MadeOn, err)
			}
		}
		for _, input := range classes {
			if _, err := w.AddClass(input.Class); err != nil {
				return fmt.Errorf("class %s: %w", input.Name, err)
			}
		}
		for _, show := range shows {
			if err := show.add(w); err != nil {
				return fmt.Errorf("show %s: %w", show.input.Name, err)
			}
		}
		return nil
	})
}

// addDemoReadings adds them one by one, because what is set aside is named by the ids they get.
func addDemoReadings(w *book.Writer, files fs.FS, aside []setAsideEntry) error {
	upload, err := demoUpload(files, "readings.csv", spreadsheet.Readings())
	if err != nil {
		return err
	}
	found := make([]int, len(aside))
	for row := range upload.Rows() {
		if err := row.Faults.Err(); err != nil {
			return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
		}
		reading, err := w.AddReading(row.Record.Sled, row.Record, book.Answers{})
		if err != nil {
			return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
		}
		for i, entry := range aside {
			if entry.names(row.Record.Sled, reading) {
				found[i]++
				if _, err := w.SetAside(reading.ID, &entry.Reason); err != nil {
					return fmt.Errorf("readings.csv, row %d: %w", row.Number, err)
				}
			}
		}
	}
	for i, times := range found {
		if times != 1 {
			return fmt.Errorf("set-aside.json: entry %d names %d readings, not one", i+1, times)
		}
	}
	return nil
}

func addDemoWeighings(w *book.Writer, files fs.FS) error {
	upload, err := demoUpload(files, "weighings.csv", spreadsheet.Weighings())
	if err != nil {
		return err
	}
	if _, err := w.AddWeighings(upload.Rows()); err != nil {
		return fmt.Errorf("weighings.csv: %w", err)
	}
	return nil
}

// demoUpload is a CSV file of the demo fleet.
func demoUpload[T any](files fs.FS, name string, form spreadsheet.Form[T]) (*spreadsheet.Upload[T], error) {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	upload, err := spreadsheet.Open(func() io.Reader { return bytes.NewReader(text) }, form, spreadsheet.Options[T]{})
	if err == nil {
		err = upload.Faults.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return upload, nil
}
