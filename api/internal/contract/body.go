package contract

import (
	"crypto/sha256"
	"errors"
	"io"
	"maps"
	"mime"
	"net/http"
	"os"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

// How large a body may be.
const (
	mostJSON    = 1 << 20
	mostCSV     = 64 << 20
	mostArchive = 512 << 20 // a whole fleet as one document
)

// readBeyond is how much of a body is read beyond its limit before it is refused: a browser that is still sending when
// the connection ends shows no answer.
const readBeyond = 16 << 20

const bodyKey = "body"

// body is the JSON body of a request that was checked.
type body struct {
	raw   []byte
	value any // as strictjson.Read gives it
}

func bodyOf(c echo.Context) body {
	b, _ := c.Get(bodyKey).(body)
	return b
}

// Decode puts the checked body of a request into the type generated for it.
func Decode[T any](c echo.Context) (T, error) {
	var into T
	err := strictjson.Fill(&into, bodyOf(c).value).Err()
	return into, err
}

// Has says whether the checked body of a request has a field, null or not.
func Has(c echo.Context, field string) bool {
	fields, _ := bodyOf(c).value.(map[string]any)
	_, there := fields[field]
	return there
}

// Digest tells the checked JSON body of a request from any other.
func Digest(c echo.Context) [sha256.Size]byte { return sha256.Sum256(bodyOf(c).raw) }

// checkBody checks the type and size of a body, and the form of the whole body where it is JSON. A CSV is left to the
// handler, which reads it row by row.
func (o Operation) checkBody(c echo.Context, faults *fleet.Faults) error {
	r := c.Request()
	media, err := o.mediaType(r)
	if err != nil {
		return err
	}
	most := int64(mostJSON)
	switch {
	case o.streamed():
		most = mostArchive
	case media == reply.TypeCSV:
		most = mostCSV
	}
	if r.ContentLength > most {
		// Who asks before sending (Expect) has not sent anything yet, and of more than that the rest would be cut
		// anyway.
		if r.ContentLength <= most+readBeyond && r.Header.Get("Expect") == "" {
			_, _ = io.Copy(io.Discard, r.Body)
		}
		return &http.MaxBytesError{Limit: most}
	}
	r.Body = &limitedBody{ReadCloser: http.MaxBytesReader(c.Response(), r.Body, most), rest: r.Body}
	if media == reply.TypeCSV || o.streamed() {
		return nil
	}
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		return bodyError(err)
	}
	if len(strings.TrimSpace(string(raw))) == 0 {
		return fleet.Errorf(fleet.Unreadable, "the body is missing; send %s", reply.TypeJSON)
	}
	value, found, err := strictjson.Read(raw)
	if err != nil {
		return err
	}
	c.Set(bodyKey, body{raw: raw, value: value})
	schema := o.RequestBody.Value.Content.Get(reply.TypeJSON).Schema.Value
	all := distinct(append(found.List(), faultsOf(schema, value, "")...))
	if schema.Type.Is(openapi3.TypeArray) {
		for i := range all {
			all[i].At, all[i].Row = rowOf(all[i].At)
		}
	}
	addTo(faults, all)
	return nil
}

// limitedBody reads on for a while where the limit is passed, so that whoever sends comes to an end.
type limitedBody struct {
	io.ReadCloser
	rest io.Reader // nil once it was read
}

// Read implements io.Reader.
func (b *limitedBody) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	var large *http.MaxBytesError
	if b.rest != nil && errors.As(err, &large) {
		_, _ = io.CopyN(io.Discard, b.rest, readBeyond)
		b.rest = nil
	}
	return n, err
}

// streamed says whether the body is a document that the handler reads bit by bit, as it may be larger than memory
// should be.
func (o Operation) streamed() bool { return o.Extensions["x-streamed"] == true }

// mediaType is the type of the body, which must be one of the operation's.
func (o Operation) mediaType(r *http.Request) (string, error) {
	known := slices.Sorted(maps.Keys(o.RequestBody.Value.Content))
	ways := strings.Join(known, " or ")
	if encoding := r.Header.Get("Content-Encoding"); encoding != "" && !strings.EqualFold(encoding, "identity") {
		return "", reply.Refuse(http.StatusUnsupportedMediaType,
			"the body is compressed (Content-Encoding); send it as it is")
	}
	given := r.Header.Values("Content-Type")
	if len(given) == 0 {
		if r.ContentLength == 0 {
			return "", fleet.Errorf(fleet.Unreadable, "the body is missing; send %s", ways)
		}
		return "", reply.Refuse(http.StatusUnsupportedMediaType, "the body has no Content-Type; it must be %s", ways)
	}
	media, parameters, err := mime.ParseMediaType(given[0])
	if err != nil || len(given) > 1 || !slices.Contains(known, media) {
		return "", reply.Refuse(http.StatusUnsupportedMediaType, "the body must be %s, not %s", ways,
			fleet.Quoted(strings.Join(given, ", ")))
	}
	if charset := parameters["charset"]; charset != "" && !strings.EqualFold(charset, "utf-8") &&
		!strings.EqualFold(charset, "us-ascii") {
		return "", reply.Refuse(http.StatusUnsupportedMediaType, "the body must be UTF-8, not %s",
			fleet.Quoted(charset))
	}
	return media, nil
}

// bodyError tells a body that is too large from one that broke off on the way.
func bodyError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return large
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return reply.Refuse(http.StatusRequestTimeout, "the body came too slowly and was given up; send it again")
	}
	return &fleet.Error{Kind: fleet.Unreadable, Detail: "the body broke off before its end", Cause: err}
}
