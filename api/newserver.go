package main

import (
	"log/slog"
	"net/http"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/observe"
	"evenpull/api/internal/reply"
	"evenpull/api/internal/site"
	"evenpull/frontend"
	"evenpull/internal/book"
	"evenpull/openapi"
)

// serverOptions are what a server needs besides the book.
type serverOptions struct {
	ManagerKey string // a manager key that is valid besides those in the database; empty for none
	PublicURL  string // where the pages are seen from outside; empty for nowhere
	Private    bool   // reading takes a key as well
	Secure     bool   // browsers come by HTTPS, to the program itself or to what is in front of it
	// ReadRate and WriteRate are how many requests a second one address may make, 0 for as many as it likes.
	ReadRate, WriteRate float64
	LastBackup          func() time.Time // when the last good copy was made, zero for never; nil where none are made
	Log                 *slog.Logger
	Now                 func() time.Time // time.Now where it is nil
}

// cacheBytes is how much the cached answers may take up.
const cacheBytes = 32 << 20

// partBytes is how much parts of lists may take up that many read at once.
const partBytes = 4 << 20

// What is built in is read once: several servers in one process share it, and nothing in it changes.
var (
	readContract = sync.OnceValues(func() (*contract.Contract, error) { return contract.Read(openapi.Document) })
	readPages    = sync.OnceValues(func() (site.Pages, error) { return site.Read(frontend.Files()) })
)

// newServer makes the handler of every request.
func newServer(b *book.Book, o serverOptions) (http.Handler, error) {
	k, err := readContract()
	if err != nil {
		return nil, err
	}
	pages, err := readPages()
	if err != nil {
		return nil, err
	}
	now := o.Now
	if now == nil {
		now = time.Now
	}
	log, metrics := observe.Redacting(o.Log, o.ManagerKey), observe.NewMetrics(guard.SlowedBecause()...)
	s := &server{
		book: b, cache: reply.NewCache(cacheBytes, b.Revision, now, metrics.Cached), contract: k, metrics: metrics,
		listParts: reply.NewCache(partBytes, b.Revision, now, nil),
		streams:   reply.NewStreams(readerPatience, compressedAtOnce),
		private:   o.Private, publicURL: o.PublicURL, now: now, log: log,
		keys: guard.NewCredentials(guard.Options{
			SetKey: o.ManagerKey, SlowHash: b.SlowHash, Stored: b.KnowsKey, Session: b.Session,
			Link:   b.KnowsSignInLink,
			Cookie: guard.Cookie{Secure: o.Secure}, Now: now, WrongKey: metrics.WrongKey, SlowedDown: metrics.Slowed,
		}),
	}
	metrics.Add(observe.NewFleetMetrics(observe.Fleet{Revision: b.Revision, Count: s.count, LastBackup: o.LastBackup},
		log))
	rights, err := guard.NewRights(s.keys, o.Private, o.PublicURL)
	if err != nil {
		return nil, err
	}
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	// An address in a header (X-Forwarded-For) can be made up by whoever sends it; the connection's cannot.
	e.IPExtractor = echo.ExtractIPDirect()
	e.HTTPErrorHandler = reply.Problems(log, metrics.Failed)
	e.Use(observe.NewWatch(log, metrics, guard.ActorOf, now).Requests, observe.Recovered, site.Secured(o.Secure))
	t := routeTable{Echo: e, contract: k, rights: rights, cache: s.cache,
		rates: guard.NewRates(o.ReadRate, o.WriteRate, metrics.Slowed, now)}
	openapi.RegisterHandlers(&t, s)
	t.pages(s, pages)
	return e, t.err
}
