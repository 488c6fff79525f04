package reply

import (
	"compress/gzip"
	"io"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"
)

// Streams sends bodies as they are written, never whole in memory. A reader who takes nothing for Patience is cut.
type Streams struct {
	Patience time.Duration
	zippers  chan *gzip.Writer // as many as compress at once, nil where one was not needed yet
}

// NewStreams makes Streams. At most so many bodies are compressed at once, as one takes 800 kB to do; those beyond are
// sent as they are.
func NewStreams(patience time.Duration, compressed int) *Streams {
	s := &Streams{Patience: patience, zippers: make(chan *gzip.Writer, compressed)}
	for range compressed {
		s.zippers <- nil
	}
	return s
}

// Body is what a stream begins with.
type Body struct {
	ContentType, ETag string
	File              string // the name that a browser keeps it under; what has one is stored nowhere on the way
	Long              bool   // a HEAD is answered without going through everything for nothing
}

// Send sends what write writes, or 304 to whoever has it already. The head goes out once there is enough to compress,
// or all; until then an error of write is one of the request. Later it breaks the connection off, so that half a body
// is not taken for a whole one, and broken is told.
func (s *Streams) Send(c echo.Context, body Body, write func(io.Writer) error, broken func(error)) error {
	r, out := c.Request(), c.Response()
	header := out.Header()
	if body.ETag != "" {
		header.Set("Etag", body.ETag)
		header.Set(echo.HeaderCacheControl, "no-cache")
	}
	header.Set("Vary", "Accept-Encoding")
	if body.ETag != "" && stillHolds(r.Header.Get("If-None-Match"), body.ETag) {
		return c.NoContent(http.StatusNotModified)
	}
	sent := &stream{of: s, body: body, out: out, zips: TakesGzip(r.Header),
		to: &paced{Writer: out, clock: http.NewResponseController(out), patience: s.Patience}}
	defer sent.release()
	if r.Method == http.MethodHead && body.Long {
		sent.begin()
		return nil
	}
	err := write(sent)
	if err == nil {
		err = sent.end()
	}
	if err != nil && sent.begun {
		broken(err)
		panic(http.ErrAbortHandler)
	}
	if err != nil {
		for _, name := range []string{"Etag", echo.HeaderCacheControl, "Vary"} {
			header.Del(name)
		}
	}
	return err
}

// stream is a body on its way.
type stream struct {
	of    *Streams
	body  Body
	out   *echo.Response
	to    io.Writer
	zips  bool // the reader takes it compressed
	held  []byte
	begun bool
	zip   *gzip.Writer // one of the compressors, on loan
}

func (s *stream) Write(b []byte) (int, error) {
	if s.begun {
		return s.send(b)
	}
	s.held = append(s.held, b...)
	if len(s.held) < leastZipped {
		return len(b), nil
	}
	if s.zips {
		s.borrow()
	}
	s.begin()
	if _, err := s.send(s.held); err != nil {
		return 0, err
	}
	s.held = nil
	return len(b), nil
}

func (s *stream) send(b []byte) (int, error) {
	if s.zip != nil {
		return s.zip.Write(b)
	}
	return s.to.Write(b)
}

// end sends what is held.
func (s *stream) end() error {
	if !s.begun {
		s.begin()
		_, err := s.send(s.held)
		return err
	}
	if s.zip != nil {
		return s.zip.Close()
	}
	return nil
}

func (s *stream) begin() {
	s.begun = true
	header := s.out.Header()
	header.Set("Content-Type", s.body.ContentType)
	if s.zip != nil {
		header.Set("Content-Encoding", "gzip")
	}
	if s.body.File != "" {
		header.Set("Content-Disposition", `attachment; filename="`+s.body.File+`"`)
		header.Set(echo.HeaderCacheControl, "no-store")
	}
	s.out.WriteHeader(http.StatusOK)
}

func (s *stream) borrow() {
	select {
	case s.zip = <-s.of.zippers:
		if s.zip == nil {
			s.zip, _ = gzip.NewWriterLevel(s.to, gzip.BestSpeed) // a level that there is
		} else {
			s.zip.Reset(s.to)
		}
	default:
	}
}

func (s *stream) release() {
	if s.zip != nil {
		s.of.zippers <- s.zip
	}
}

// paced gives the reader its time for every few bytes.
type paced struct {
	io.Writer
	clock    *http.ResponseController
	patience time.Duration
}

// atATime is how many bytes a reader has to take before its time begins anew: what the connection buffers.
const atATime = 4096

func (p *paced) Write(b []byte) (n int, err error) {
	for len(b) > 0 {
		// A connection without deadlines, as in a test, is not paced.
		_ = p.clock.SetWriteDeadline(time.Now().Add(p.patience))
		wrote, err := p.Writer.Write(b[:min(len(b), atATime)])
		n += wrote
		if err != nil {
			return n, err
		}
		b = b[wrote:]
	}
	return n, nil
}
