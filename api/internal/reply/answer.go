// Package reply is what goes back to whoever asked: finished answers, the cache of those that take arithmetic, ETags
// and problem documents. It knows HTTP, and nothing of what the answers say.
package reply

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"
)

// The media types that the API speaks.
const (
	TypeJSON = "application/json"
	TypeCSV  = "text/csv"
	TypeSVG  = "image/svg+xml"
	TypeYAML = "application/yaml" // RFC 9512
)

// Answer is a finished answer: what is sent, and what the cache holds.
type Answer struct {
	Status                int
	ContentType, Encoding string
	ETag, Location        string
	Body                  []byte
	next                  string // of a part of a list: the cursor of the one after it
}

// NoContent says that it is done, and nothing else.
func NoContent() Answer { return Answer{Status: http.StatusNoContent} }

// Of is an answer of what is there already, with the hash of its bytes for an ETag.
func Of(contentType string, body []byte) Answer {
	return Answer{Status: http.StatusOK, ContentType: contentType, ETag: etagOf(body), Body: body}
}

// encoded encodes v, with the hash of the bytes for an ETag.
func encoded(status int, v any) (Answer, error) {
	body, err := json.Marshal(v)
	if err != nil {
		return Answer{}, fmt.Errorf("encoding %T: %w", v, err)
	}
	a := Of(TypeJSON, body)
	a.Status = status
	return a, nil
}

// Done encodes v, which tells of what was done and is no document that could be read again: it has no ETag.
func Done(status int, v any) (Answer, error) {
	a, err := encoded(status, v)
	a.ETag = ""
	return a, err
}

// Document encodes v, a document that is changed with If-Match, in the state that StateOf has named.
func Document(status int, v any, state string) (Answer, error) {
	a, err := encoded(status, v)
	a.ETag = strongETag(state, a.Body)
	return a, err
}

// Send sends an answer, or 304 to whoever has it already. It may be stored on the way as long as it is asked for again
// each time, unless Cache-Control has been set before.
func Send(c echo.Context, a Answer) error {
	header := c.Response().Header()
	if a.ETag != "" {
		header.Set("Etag", a.ETag)
	}
	r := c.Request()
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		if header.Get(echo.HeaderCacheControl) == "" {
			header.Set(echo.HeaderCacheControl, "no-cache")
		}
		header.Set("Vary", "Accept-Encoding")
		if a.ETag != "" && stillHolds(r.Header.Get("If-None-Match"), a.ETag) {
			return c.NoContent(http.StatusNotModified)
		}
	}
	if a.Location != "" {
		header.Set("Location", a.Location)
	}
	if a.Encoding == "" {
		a = a.fitFor(r)
	}
	if a.Encoding != "" {
		header.Set("Content-Encoding", a.Encoding)
	}
	if len(a.Body) == 0 && a.ContentType == "" {
		return c.NoContent(a.Status)
	}
	header.Set("Content-Length", strconv.Itoa(len(a.Body)))
	return c.Blob(a.Status, a.ContentType, a.Body)
}

// SendJSON encodes and sends.
func SendJSON(c echo.Context, status int, v any) error {
	a, err := encoded(status, v)
	if err != nil {
		return err
	}
	return Send(c, a)
}
