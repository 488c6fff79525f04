package main

import (
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
)

// expected are the statuses that may refuse a request.
var expected = []int{400, 401, 403, 404, 405, 409, 412, 413, 415, 422, 428, 429}

// judge says what of an answer does not fit the contract, and decodes it where it is JSON.
func judge(s shot, got *http.Response, body []byte) (decoded any, misfits []string) {
	wrong := func(format string, args ...any) { misfits = append(misfits, fmt.Sprintf(format, args...)) }
	h := got.Header
	if h.Get("X-Request-Id") == "" {
		wrong("no request id")
	}
	if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Content-Security-Policy") == "" {
		wrong("no security headers")
	}
	if h.Get("Content-Encoding") == "gzip" {
		plain, err := unzipped(body)
		if err != nil || !strings.ContainsAny(s.header.Get("Accept-Encoding"), "gz*") {
			wrong("compressed for who did not ask, or wrongly: %v", err)
		}
		body = plain
	}
	if s.method == "HEAD" {
		if len(body) > 0 {
			wrong("HEAD with a body")
		}
		return nil, misfits
	}
	if got.StatusCode >= 400 {
		return nil, append(misfits, judgeProblem(s, got, body)...)
	}
	if s.method == http.MethodOptions {
		if got.StatusCode != http.StatusNoContent || h.Get("Allow") == "" || len(body) > 0 {
			wrong("asked how the address can be used, it does not say")
		}
		return nil, misfits
	}
	described := s.op.Responses.Status(got.StatusCode)
	if s.method != s.op.method || s.path == "" || described == nil {
		if s.method == s.op.method || !slices.Contains([]string{"GET", "POST", "PUT", "PATCH", "DELETE"}, s.method) {
			wrong("a status that the contract does not know")
		}
		return nil, misfits // another operation of the same address
	}
	if s.bare && s.op.secured {
		wrong("done for somebody without a key")
	}
	if got.StatusCode == http.StatusNotModified && s.header.Get("If-None-Match") == "" {
		wrong("not modified since when?")
	}
	for name := range described.Value.Headers {
		if h.Get(name) == "" {
			wrong("no %s", name)
		}
	}
	if len(described.Value.Content) == 0 {
		if len(body) > 0 {
			wrong("a body where none belongs")
		}
		return nil, misfits
	}
	media := mediaTypeOf(h.Get("Content-Type"))
	content := described.Value.Content[media]
	if content == nil {
		wrong("the contract knows no %q here", media)
		return nil, misfits
	}
	decoded, err := readAs(media, content.Schema.Value, body)
	if err != nil {
		wrong("%v", err)
	}
	return decoded, misfits
}

func unzipped(body []byte) ([]byte, error) {
	if len(body) == 0 { // of HEAD
		return nil, nil
	}
	r, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// readAs reads a body of a media type and says where it is not what it should be.
func readAs(media string, schema *openapi3.Schema, body []byte) (decoded any, err error) {
	switch {
	case strings.HasSuffix(media, "json"):
		if err := json.Unmarshal(body, &decoded); err != nil {
			return nil, err
		}
		return decoded, schema.VisitJSON(decoded, openapi3.VisitAsResponse(), openapi3.MultiErrors())
	case media == "image/svg+xml":
		d := xml.NewDecoder(bytes.NewReader(body))
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				return nil, nil
			}
			if err != nil {
				return nil, fmt.Errorf("no well-formed drawing: %w", err)
			}
			if e, is := token.(xml.StartElement); is && !slices.Contains(drawn, e.Name.Local) {
				return nil, fmt.Errorf("<%s> in a drawing", e.Name.Local)
			}
		}
	case media == reply.TypeCSV:
		rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
		for _, row := range rows {
			for _, cell := range row {
				if _, wrong := fleet.ParseDecimal(cell); looksLikeFormula(cell) && wrong != "" {
					return nil, fmt.Errorf("a spreadsheet takes %q for a formula", cell)
				}
			}
		}
		return nil, err
	}
	return nil, nil
}

// drawn are the elements that our drawings are made of.
var drawn = []string{"svg", "title", "desc", "g", "path", "text", "rect", "line", "circle", "style", "tspan", "defs",
	"clipPath", "polyline", "polygon", "use"}

// judgeProblem holds a refusal against RFC 9457 and what is promised of every refusal.
func judgeProblem(s shot, got *http.Response, body []byte) (misfits []string) {
	wrong := func(format string, args ...any) { misfits = append(misfits, fmt.Sprintf(format, args...)) }
	h, status := got.Header, got.StatusCode
	if !slices.Contains(expected, status) {
		wrong("a status that nothing explains")
	}
	if h.Get("Content-Type") != "application/problem+json" || h.Get("Cache-Control") != "no-store" {
		wrong("sent as %q, %q", h.Get("Content-Type"), h.Get("Cache-Control"))
	}
	var value any
	if err := json.Unmarshal(body, &value); err != nil {
		return append(misfits, err.Error())
	}
	schema := s.op.Responses.Default().Value.Content["application/problem+json"].Schema.Value
	if err := schema.VisitJSON(value, openapi3.MultiErrors(), openapi3.VisitAsResponse()); err != nil {
		return append(misfits, err.Error())
	}
	doc := value.(map[string]any)
	if doc["status"] != float64(status) || doc["title"] != http.StatusText(status) ||
		doc["type"] != fmt.Sprintf("/worked-out#problem-%d", status) || doc["detail"] == "" {
		wrong("a problem that does not say what it is")
	}
	for _, f := range listed(doc, "errors") {
		if f.(map[string]any)["detail"] == "" {
			wrong("a fault that says nothing")
		}
	}
	if status == http.StatusUnprocessableEntity && len(listed(doc, "errors")) == 0 {
		wrong("what is wrong is not named")
	}
	for need, header := range map[int]string{401: "WWW-Authenticate", 405: "Allow", 429: "Retry-After"} {
		if status == need && h.Get(header) == "" {
			wrong("no %s", header)
		}
	}
	if s.wrong == "" && status == http.StatusUnsupportedMediaType {
		wrong("the type of a body that the contract names is refused")
	}
	return misfits
}

// shownOnce is what the first answer to a request has and a later one has not: a new key.
var shownOnce = regexp.MustCompile(`"key":"evenpull-[a-z2-7]+",`)

// repeatIt sends again what succeeded with an Idempotency-Key: the same answer comes, or another request under that key
// is refused.
func (c *caller) repeatIt() {
	was := *c.again
	c.again = nil
	s := was.shot
	s.header = s.header.Clone()
	if c.chance(0.3) {
		s.body, s.wrong = append(bytes.Clone(s.body), ' '), "the idempotency key, of another request"
	}
	sent, err := http.NewRequest(s.method, c.p.address+s.path, bytes.NewReader(s.body))
	if err != nil {
		return
	}
	sent.URL.RawQuery, sent.Header = s.query, s.header
	got, err := c.http.Do(sent)
	if err != nil {
		c.drawn.add(s.op.id, 0, []string{fmt.Sprintf("no answer: %v\n%s", err, s)})
		return
	}
	defer got.Body.Close()
	body, _ := io.ReadAll(got.Body)
	_, misfits := judge(s, got, body)
	same := got.StatusCode == was.status && bytes.Equal(body, shownOnce.ReplaceAll(was.body, nil))
	switch {
	case keyEnded(s, got.StatusCode):
	case s.wrong == "" && !same:
		misfits = append(misfits, fmt.Sprintf("sent again, it is answered otherwise than %d %s", was.status, was.body))
	case s.wrong != "" && got.StatusCode != http.StatusUnprocessableEntity:
		misfits = append(misfits, "another request was taken under a key that was used")
	}
	for i := range misfits {
		misfits[i] += fmt.Sprintf("\n%s\n→ %s %.2000s", s, got.Status, body)
	}
	c.drawn.add(s.op.id, got.StatusCode, misfits)
}

// keyEnded tells whether the key that a request was sent with has ended since its first answer. An ended key is a wrong
// key: an address that sent many is slowed. The manager's set key never ends.
func keyEnded(s shot, status int) bool {
	return s.header.Get("Authorization") != "Bearer "+testKey && slices.Contains(
		[]int{http.StatusUnauthorized, http.StatusForbidden, http.StatusTooManyRequests}, status)
}

func escaped(id string) string { return url.PathEscape(id) }

// segment is the nth part of a path, from 1; empty where there is none.
func segment(path string, n int) string {
	plain, _ := url.PathUnescape(rawSegment(path, n))
	return plain
}

func rawSegment(path string, n int) string {
	if parts := strings.Split(path, "/"); n < len(parts) {
		return parts[n]
	}
	return ""
}
