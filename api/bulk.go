package main

import (
	"crypto/sha256"
	"errors"
	"io"
	"iter"
	"maps"
	"mime"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// AddReadings adds many readings, all or nothing, or only checks them.
func (s *server) AddReadings(c echo.Context, p openapi.AddReadingsParams) error {
	dryRun := valueOr(p.DryRun, false)
	request := book.Request{Answers: book.Answers{
		KeepUnlikely: p.Unlikely != nil, Repeated: book.Repeated(valueOr(p.Repeated, "")),
	}}
	media, parameters, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err != nil || media == reply.TypeJSON {
		return s.addBatch(c, request, dryRun)
	}
	request.Upload = true
	s.longer(c)
	body, err := contract.NewSpool(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	options := spreadsheet.Options{
		Columns: valueOr(p.Columns, ""), SkipUnknown: p.Unknown != nil, Units: unitsOf(p.Units),
		Dates: spreadsheet.DateOrder(valueOr(p.Dates, "")),
		Same:  fleet.Reading{Sled: valueOr(p.Sled, ""), MeasuredOn: valueOr(p.MeasuredOn, "")},
	}
	if parameters["charset"] != "" {
		options.Encoding = spreadsheet.UTF8
	}
	upload, err := spreadsheet.Open(func() io.Reader { return body.Reader() }, options)
	if err != nil {
		return err
	}
	if dryRun {
		return s.checkUpload(c, upload, request)
	}
	if err := upload.Faults.Err(); err != nil {
		return err
	}
	err = s.addRows(c, body.Digest, upload.Rows(), request)
	if errors.Is(err, errNoRows) {
		err = upload.NoRows()
	}
	return upload.NameAsSent(err)
}

// errNoRows says that there was nothing to add.
var errNoRows = errors.New("no readings")

func (s *server) addRows(
	c echo.Context, digest [sha256.Size]byte, rows iter.Seq[fleet.Row], request book.Request,
) error {
	if err := s.checkBeforeTurn(c, rows, request); err != nil {
		return err
	}
	return s.once(c, digest, func(w *book.Writer) (reply.Answer, error) {
		added, err := w.AddReadings(rows, request)
		if err == nil && added.Accepted+added.Skipped == 0 { // of an upload; a list in JSON was counted before
			err = errNoRows
		}
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusCreated, openapi.Accepted{
			Accepted: added.Accepted, Skipped: nilIfZero(added.Skipped), Batch: nilIfZero(added.Batch),
		})
	})
}

// checkBeforeTurn refuses what would be refused in its turn to write, so that it holds up nobody else: the more rows,
// the longer checking takes. What passes is checked again in its turn, as the fleet may be another one by then. A
// request that was carried out before is left to its turn.
func (s *server) checkBeforeTurn(c echo.Context, rows iter.Seq[fleet.Row], request book.Request) error {
	ctx := c.Request().Context()
	if key := c.Request().Header.Get("Idempotency-Key"); key != "" {
		if was, err := s.book.AnyIdempotencyRecord(ctx, key); was || err != nil {
			return err
		}
	}
	found, err := s.book.CheckReadings(ctx, rows, request)
	if err == nil && found.Rows == 0 {
		err = errNoRows
	}
	return err
}

// addBatch adds the readings of a JSON list, or checks them. The first is row 1.
func (s *server) addBatch(c echo.Context, request book.Request, dryRun bool) error {
	batch, err := contract.Decode[[]fleet.Reading](c)
	if err != nil {
		return err
	}
	rows := func(yield func(fleet.Row) bool) {
		for i, r := range batch {
			if !yield(fleet.Row{Number: i + 1, Reading: r}) {
				return
			}
		}
	}
	if !dryRun {
		return s.addRows(c, contract.Digest(c), rows, request)
	}
	found, err := s.book.CheckReadings(c.Request().Context(), rows, request)
	return sendChecked(c, found, nil, err)
}

// checkUpload answers what is wrong with an upload, and how it is understood in any case.
func (s *server) checkUpload(c echo.Context, u *spreadsheet.Upload, request book.Request) error {
	found, err := s.book.CheckReadings(c.Request().Context(), u.Rows(), request)
	if err == nil && found.Rows == 0 {
		err = u.NoRows()
	}
	return sendChecked(c, found, understood(u, found), u.NameAsSent(u.Faults.Join(err)))
}

// sendChecked answers a dry run.
func sendChecked(c echo.Context, found book.CheckedReadings, upload *openapi.Upload, err error) error {
	if err != nil {
		return reply.WithUpload(err, upload)
	}
	a, err := reply.Done(http.StatusOK, openapi.Accepted{
		Accepted: found.Rows - found.Skipped, Skipped: nilIfZero(found.Skipped), Upload: upload,
	})
	if err != nil {
		return err
	}
	return reply.Send(c, a)
}

// understood is how an upload is understood.
func understood(u *spreadsheet.Upload, found book.CheckedReadings) *openapi.Upload {
	out := &openapi.Upload{
		Encoding: openapi.UploadEncoding(u.Encoding), Separator: separatorNames[u.Separator],
		Dates: nilIfZero(openapi.UploadDates(u.Dates)), UnclearDate: nilIfZero(u.Unclear),
		Rows: found.Rows, RowsWithFaults: found.Bad,
		Columns: mapSlice(u.Columns, func(c spreadsheet.Column) openapi.UploadColumn {
			return openapi.UploadColumn{Heading: c.Heading, Name: nilIfZero(c.Name()), Example: c.Example}
		}),
		Sleds: mapSlice(slices.Sorted(maps.Keys(found.Sleds)), func(sled string) openapi.UploadSled {
			return openapi.UploadSled{Sled: sled, Rows: found.Sleds[sled]}
		}),
	}
	out.Preview = mapSlice(found.First, func(row fleet.Row) openapi.UploadRow {
		return openapi.UploadRow{Row: row.Number, Values: mapSlice(u.Columns, func(c spreadsheet.Column) string {
			for _, f := range row.Faults.List() {
				if f.At == "" || c.Field != nil && f.At == c.Field.Name {
					return ""
				}
			}
			return c.Understood(&row.Reading)
		})}
	})
	return out
}

var separatorNames = map[byte]openapi.UploadSeparator{',': openapi.Comma, ';': openapi.Semicolon, '\t': openapi.Tab}
