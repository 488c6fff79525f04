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
	request := func(upload bool) book.Request {
		return book.Request{Upload: upload, Answers: book.Answers{
			KeepUnlikely: p.Unlikely != nil, Repeated: book.Repeated(valueOr(p.Repeated, "")),
		}}
	}
	of := bulk[fleet.Reading]{
		server: s, form: spreadsheet.Readings(), dryRun: valueOr(p.DryRun, false),
		check: func(rows iter.Seq[fleet.Row[fleet.Reading]], upload bool) (book.Checked[fleet.Reading], error) {
			return s.book.CheckReadings(c.Request().Context(), rows, request(upload))
		},
		add: func(w *book.Writer, rows iter.Seq[fleet.Row[fleet.Reading]], upload bool) (book.Added, error) {
			return w.AddReadings(rows, request(upload))
		},
		options: spreadsheet.Options[fleet.Reading]{
			Columns: valueOr(p.Columns, ""), SkipUnknown: p.Unknown != nil, Units: unitsOf(p.Units),
			Dates: spreadsheet.DateOrder(valueOr(p.Dates, "")),
			Same:  fleet.Reading{Sled: valueOr(p.Sled, ""), MeasuredOn: valueOr(p.MeasuredOn, "")},
		},
	}
	return of.take(c)
}

// bulk is a request that adds many readings or weighings, or checks them.
type bulk[T any] struct {
	server  *server
	form    spreadsheet.Form[T]
	check   func(rows iter.Seq[fleet.Row[T]], upload bool) (book.Checked[T], error)
	add     func(w *book.Writer, rows iter.Seq[fleet.Row[T]], upload bool) (book.Added, error)
	dryRun  bool
	options spreadsheet.Options[T]
}

func (b bulk[T]) take(c echo.Context) error {
	media, parameters, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err != nil || media == reply.TypeJSON {
		return b.takeList(c)
	}
	b.server.longer(c)
	body, err := contract.NewSpool(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	if parameters["charset"] != "" {
		b.options.Encoding = spreadsheet.UTF8
	}
	upload, err := spreadsheet.Open(func() io.Reader { return body.Reader() }, b.form, b.options)
	if err != nil {
		return err
	}
	if b.dryRun {
		return b.checkUpload(c, upload)
	}
	if err := upload.Faults.Err(); err != nil {
		return err
	}
	err = b.addRows(c, body.Digest, upload.Rows(), true)
	if errors.Is(err, errNoRows) {
		err = upload.NoRows()
	}
	return upload.NameAsSent(err)
}

// errNoRows says that there was nothing to add.
var errNoRows = errors.New("no rows")

func (b bulk[T]) addRows(
	c echo.Context, digest [sha256.Size]byte, rows iter.Seq[fleet.Row[T]], upload bool,
) error {
	if err := b.checkBeforeTurn(c, rows, upload); err != nil {
		return err
	}
	return b.server.once(c, digest, func(w *book.Writer) (reply.Answer, error) {
		added, err := b.add(w, rows, upload)
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
func (b bulk[T]) checkBeforeTurn(c echo.Context, rows iter.Seq[fleet.Row[T]], upload bool) error {
	if key := c.Request().Header.Get("Idempotency-Key"); key != "" {
		if was, err := b.server.book.AnyIdempotencyRecord(c.Request().Context(), key); was || err != nil {
			return err
		}
	}
	found, err := b.check(rows, upload)
	if err == nil && found.Rows == 0 {
		err = errNoRows
	}
	return err
}

// takeList adds the items of a JSON list, or checks them. The first is row 1.
func (b bulk[T]) takeList(c echo.Context) error {
	batch, err := contract.Decode[[]T](c)
	if err != nil {
		return err
	}
	rows := func(yield func(fleet.Row[T]) bool) {
		for i, r := range batch {
			if !yield(fleet.Row[T]{Number: i + 1, Record: r}) {
				return
			}
		}
	}
	if !b.dryRun {
		return b.addRows(c, contract.Digest(c), rows, false)
	}
	found, err := b.check(rows, false)
	return sendChecked(c, found, nil, err)
}

// checkUpload answers what is wrong with an upload, and how it is understood in any case.
func (b bulk[T]) checkUpload(c echo.Context, u *spreadsheet.Upload[T]) error {
	found, err := b.check(u.Rows(), true)
	if err == nil && found.Rows == 0 {
		err = u.NoRows()
	}
	return sendChecked(c, found, understood(u, found), u.NameAsSent(u.Faults.Join(err)))
}

// sendChecked answers a dry run.
func sendChecked[T any](c echo.Context, found book.Checked[T], upload *openapi.Upload, err error) error {
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
func understood[T any](u *spreadsheet.Upload[T], found book.Checked[T]) *openapi.Upload {
	out := &openapi.Upload{
		Encoding: openapi.UploadEncoding(u.Encoding), Separator: separatorNames[u.Separator],
		Dates: nilIfZero(openapi.UploadDates(u.Dates)), UnclearDate: nilIfZero(u.Unclear),
		Rows: found.Rows, RowsWithFaults: found.Bad,
		Columns: mapSlice(u.Columns, func(c spreadsheet.Column[T]) openapi.UploadColumn {
			return openapi.UploadColumn{Heading: c.Heading, Name: nilIfZero(c.Name()), Example: c.Example}
		}),
		Sleds: mapSlice(slices.Sorted(maps.Keys(found.Sleds)), func(sled string) openapi.UploadSled {
			return openapi.UploadSled{Sled: sled, Rows: found.Sleds[sled]}
		}),
	}
	out.Preview = mapSlice(found.First, func(row fleet.Row[T]) openapi.UploadRow {
		return openapi.UploadRow{Row: row.Number, Values: mapSlice(u.Columns, func(c spreadsheet.Column[T]) string {
			for _, f := range row.Faults.List() {
				if f.At == "" || c.Field != nil && f.At == c.Field.Name {
					return ""
				}
			}
			return c.Understood(&row.Record)
		})}
	})
	return out
}

var separatorNames = map[byte]openapi.UploadSeparator{',': openapi.Comma, ';': openapi.Semicolon, '\t': openapi.Tab}
