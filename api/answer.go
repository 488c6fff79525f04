package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"sync"

	"github.com/labstack/echo/v4"
)

// answer is a finished answer: what is sent, and what may be kept.
type answer struct {
	status                int
	contentType, encoding string
	etag, location        string
	body                  []byte
}

// jsonAnswer encodes v, with the hash of the bytes for an ETag.
func jsonAnswer(status int, v any) (answer, error) {
	body, err := json.Marshal(v)
	if err != nil {
		return answer{}, fmt.Errorf("encoding %T: %w", v, err)
	}
	return answer{status: status, contentType: typeJSON, etag: etagOf(body), body: body}, nil
}

// Below this many bytes compressing is not worth it: the answer fits one packet anyway.
const leastZipped = 1024

var zippers = sync.Pool{New: func() any { return gzip.NewWriter(nil) }}

// zipped is the answer compressed.
func (a answer) zipped() answer {
	var b bytes.Buffer
	z := zippers.Get().(*gzip.Writer)
	defer zippers.Put(z)
	z.Reset(&b)
	z.Write(a.body) // a Buffer takes everything
	z.Close()
	a.body, a.encoding = b.Bytes(), "gzip"
	return a
}

// fitFor compresses an answer that is worth it for who asks. The ETag of a sled is strong, so that a sled goes
// uncompressed; it is small.
func (a answer) fitFor(r *http.Request) answer {
	if a.encoding == "" && len(a.body) >= leastZipped && a.etag != "" && a.etag[0] == 'W' && takesGzip(r.Header) {
		return a.zipped()
	}
	return a
}

// send sends an answer, or 304 to whoever has it already.
func send(c echo.Context, a answer) error {
	header := c.Response().Header()
	if a.etag != "" {
		header.Set("Etag", a.etag)
	}
	r := c.Request()
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		header.Set("Cache-Control", cachingOf(c))
		header.Set("Vary", "Accept-Encoding")
		if a.etag != "" && stillHolds(r.Header.Get("If-None-Match"), a.etag) {
			return c.NoContent(http.StatusNotModified)
		}
	}
	if a.location != "" {
		header.Set("Location", a.location)
	}
	if a.encoding == "" {
		a = a.fitFor(r)
	}
	if a.encoding != "" {
		header.Set("Content-Encoding", a.encoding)
	}
	if len(a.body) == 0 && a.contentType == "" {
		return c.NoContent(a.status)
	}
	header.Set("Content-Length", strconv.Itoa(len(a.body)))
	return c.Blob(a.status, a.contentType, a.body)
}

// cachingOf lets an answer be kept on the way as long as it is asked for again each time, and one that takes a key in the
// browser alone.
func cachingOf(c echo.Context) string {
	if underKey(c) {
		return "private, no-cache"
	}
	return "no-cache"
}

// sendJSON encodes and sends.
func sendJSON(c echo.Context, status int, v any) error {
	a, err := jsonAnswer(status, v)
	if err != nil {
		return err
	}
	return send(c, a)
}
