// Package site serves the pages and what they need: the files themselves, what is fetched ahead of their scripts, and
// the headers that tell browsers what they must not do.
package site

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"sync"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/openapi"
)

// Pages are the front end: its files by their path, each as it is sent and, where that is shorter, compressed, and the
// documents, to be filled with an answer.
type Pages struct {
	files     map[string]file
	documents *template.Template
	preloads  map[string][]byte   // what goes into the head of a document, by its name
	styles    map[string][]string // the addresses of a document's style sheets, by its name
}

type file struct {
	plain  reply.Answer
	zipped func() reply.Answer // compressed when it is first asked for
}

func fileOf(contentType string, body []byte) file {
	plain := reply.Of(contentType, body)
	return file{plain, sync.OnceValue(plain.Zipped)}
}

// fitFor is what is sent to whoever asks.
func (f file) fitFor(r *http.Request) reply.Answer {
	if reply.TakesGzip(r.Header) {
		if zipped := f.zipped(); len(zipped.Body) < len(f.plain.Body) {
			return zipped
		}
	}
	return f.plain
}

// contentTypes are fixed here, because what Go finds by itself depends on the machine.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".mjs": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".csv": "text/csv; charset=utf-8",
	".woff2": "font/woff2",
}

// sharedParts is the file with what the documents share: head, header and footer.
const sharedParts = "frame.tmpl"

// Read reads all files once. They are a few hundred kilobytes, and built in.
func Read(files fs.FS) (Pages, error) {
	documents, err := template.ParseFS(files, sharedParts, "*.html")
	if err != nil {
		return Pages{}, fmt.Errorf("reading the pages: %w", err)
	}
	scripts := modulesIn(files)
	p := Pages{files: map[string]file{}, documents: documents, preloads: map[string][]byte{},
		styles: map[string][]string{}}
	err = fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		contentType, known := contentTypes[path.Ext(name)]
		if !known {
			return nil
		}
		body, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		if path.Ext(name) == ".html" {
			if p.preloads[name], err = scripts.preloads(body); err != nil {
				return err
			}
			if body, err = p.document(name, p.preloads[name], nil); err != nil {
				return err
			}
			for _, link := range styleSheet.FindAllSubmatch(body, -1) {
				p.styles[name] = append(p.styles[name], string(link[1]))
			}
		}
		p.files[name] = fileOf(contentType, body)
		return nil
	})
	if err == nil {
		err = p.readVariants(files, scripts)
	}
	if err != nil {
		return Pages{}, fmt.Errorf("reading the pages: %w", err)
	}
	return p, nil
}

// answer is what a document of a question is filled with.
type answer struct {
	*openapi.InWords
	Caution    string
	ByDistance bool // the question is about a distance, and no setting
}

// document is a page with an answer, or bare where that is nil.
func (p Pages) document(name string, preloads []byte, with *answer) ([]byte, error) {
	var filled bytes.Buffer
	if err := p.documents.ExecuteTemplate(&filled, name, with); err != nil {
		return nil, err
	}
	return bytes.Replace(filled.Bytes(), headEnds, append(bytes.Clone(preloads), headEnds...), 1), nil
}

// Page serves one page.
func (p Pages) Page(name string) echo.HandlerFunc {
	return func(c echo.Context) error { return p.send(c, name) }
}

// Asset serves what the pages need.
func (p Pages) Asset(c echo.Context) error { return p.send(c, "assets/"+c.Param("*")) }

func (p Pages) send(c echo.Context, name string) error {
	found, ok := p.files[name]
	if !ok {
		return echo.ErrNotFound
	}
	return reply.Send(c, found.fitFor(c.Request()))
}

// sendWith sends a page with an answer. It is for the one who asked, now: nobody stores it.
func (p Pages) sendWith(c echo.Context, name string, with answer) error {
	body, err := p.document(name, p.preloads[name], &with)
	if err != nil {
		return fmt.Errorf("filling %s: %w", name, err)
	}
	if isFirstAnswer(c) {
		if body, err = p.answerFirst(body, name, with); err != nil {
			return err
		}
	}
	page := fileOf(contentTypes[".html"], body).fitFor(c.Request())
	page.ETag = ""
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	return reply.Send(c, page)
}
