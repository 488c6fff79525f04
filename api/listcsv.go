package main

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
)

// rowsAtATime is how many rows of a spreadsheet are in memory at once: a reading takes 2 kB there.
const rowsAtATime = 100

// spreadsheetOf is a list as it goes out as CSV (RFC 4180).
type spreadsheetOf[T any] struct {
	heading []string
	part    func(after string, limit int) ([]T, string, error) // a part of the list and the cursor of the next
	row     func(T) []string                                   // nil where it is left out
	moment  string                                             // what the rows depend on besides the fleet
}

// sendSpreadsheet sends a list as it is read, a part at a time: a reader, however slow, takes up the memory of one part
// and holds no transaction, and many readers of one list share its parts. Each row is as it stood when its part was
// read. The ETag names the fleet before the first of them, so that whoever asks again after a write gets all of it
// again.
func sendSpreadsheet[T any](s *server, c echo.Context, list spreadsheetOf[T]) error {
	stamp, err := s.book.Stamp(c.Request().Context())
	if err != nil {
		return err
	}
	part := func(after string) ([]byte, string, error) {
		r := c.Request()
		// With the columns: they were chosen before, perhaps at another revision than those of whoever shares the part.
		columns := strings.Join(list.heading, ",")
		question := strings.Join([]string{r.URL.RequestURI(), stamp, list.moment, columns, after}, "\n")
		return s.listParts.Part(r.Context(), question,
			func() (rows []byte, next string, err error) { return list.rows(after) })
	}
	rows, next, err := part("")
	if err != nil {
		return err
	}
	body := reply.Body{ContentType: reply.TypeCSV + "; charset=utf-8",
		ETag: reply.Of("", []byte(c.Request().URL.Path+stamp+list.moment)).ETag}
	return s.streams.Send(c, body, func(out io.Writer) error {
		for {
			if _, err := out.Write(rows); err != nil || next == "" {
				return err
			}
			if rows, next, err = part(next); err != nil {
				return err
			}
		}
	}, s.brokeOff(c))
}

// rows are those of a part as they go out, in the first part behind the heading, and the cursor of the next part.
func (list spreadsheetOf[T]) rows(after string) (rows []byte, next string, err error) {
	items, next, err := list.part(after, rowsAtATime)
	if err != nil {
		return nil, "", err
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	if after == "" {
		_ = w.Write(list.heading) // Error has it
	}
	for _, item := range items {
		if row := list.row(item); row != nil {
			_ = w.Write(row) // Error has it
		}
	}
	w.Flush()
	return out.Bytes(), next, w.Error()
}
