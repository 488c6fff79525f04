package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"syscall"
	"time"

	"evenpull/frontend"
	"evenpull/internal/book"
	"evenpull/internal/store"
	"evenpull/testdata"
)

// Exit codes: 0 when it was told to end, 1 when it cannot serve, 2 when it was started wrongly.
const (
	exitWell   = 0
	exitFailed = 1
	exitUsage  = 2
)

// How long a program that was told to end waits for what is under way.
const graceAtEnd = 30 * time.Second

// run is the whole program: it serves until ctx ends and returns the exit code. Whatever keeps it from serving
// is one line on stderr.
func run(ctx context.Context, args []string, getenv func(string) string, stdout, stderr io.Writer) int {
	set, err := readSettings(args, getenv)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, usage())
		return exitWell
	case err != nil:
		fmt.Fprintln(stderr, "evenpull:", oneLine(err))
		return exitUsage
	case set.CheckHealth:
		err = checkHealth(ctx, set.Addr)
	default:
		err = serve(ctx, set, stdout, slog.New(slog.NewTextHandler(stderr, nil)))
	}
	if ctx.Err() != nil && errors.Is(err, context.Canceled) { // told to end before it had begun
		return exitWell
	}
	if err != nil {
		fmt.Fprintln(stderr, "evenpull:", oneLine(err))
		return exitFailed
	}
	return exitWell
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }

// serve opens the database, serves, and ends in good order when ctx ends. The address is taken before the
// database is touched, so that a start that cannot succeed leaves no trace.
func serve(ctx context.Context, set settings, stdout io.Writer, log *slog.Logger) (err error) {
	if set.ManagerKey != "" {
		if err := checkManagerKey(set.ManagerKey); err != nil {
			return err
		}
	}
	listener, err := net.Listen("tcp", set.Addr)
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("%s is in use by another program; choose another address with --addr", set.Addr)
	}
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w", set.Addr, err)
	}
	defer listener.Close()

	st, err := store.Open(ctx, set.DB, store.Options{Log: log})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	b := book.New(st, book.Options{Assumed: set.Assumed, Log: log})
	if set.Demo {
		if err := loadDemo(ctx, b, testdata.Demo()); err != nil {
			return fmt.Errorf("loading the demo fleet: %w", err)
		}
	}
	if err := announceKey(ctx, b, set.ManagerKey, stdout); err != nil {
		return err
	}
	handler, err := newServer(b, serverOptions{ManagerKey: set.ManagerKey, PublicURL: set.PublicURL, Pages: frontend.Files(), Log: log})
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "Evenpull is at %s with the database %s\n", pageAddress(listener.Addr()), set.DB)
	return serveUntil(ctx, newHTTPServer(handler, log), listener)
}

// announceKey prints the first manager key, once, where nothing else gives a right to write.
func announceKey(ctx context.Context, b *book.Book, set string, stdout io.Writer) error {
	if set != "" {
		return nil
	}
	key, err := b.FirstKey(ctx)
	if err != nil {
		return fmt.Errorf("making the first manager key: %w", err)
	}
	if key != "" {
		fmt.Fprintf(stdout, "The manager key, shown this once, is %s\n", key)
	}
	return nil
}

// serveUntil serves until ctx ends, then takes nothing new and finishes what is under way.
func serveUntil(ctx context.Context, server *http.Server, listener net.Listener) error {
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serving: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), graceAtEnd)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		server.Close()
	}
	return nil
}

// newHTTPServer bounds what one connection can take up. Bulk imports get longer (see bulk.go).
func newHTTPServer(handler http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       60 * time.Second,
		WriteTimeout:      90 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
}

// pageAddress is where a browser on this machine finds the page.
func pageAddress(addr net.Addr) string { return "http://" + reachable(addr.String()) + "/" }

// reachable turns an address that means "every interface" into one that can be asked.
func reachable(addr string) string {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return addr
	}
	if ip := net.ParseIP(host); host == "" || (ip != nil && ip.IsUnspecified()) {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port)
}

// checkHealth asks the program at addr whether it is alive.
func checkHealth(ctx context.Context, addr string) error {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+reachable(addr)+"/healthz", nil)
	if err != nil {
		return fmt.Errorf("asking %s: %w", addr, err)
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return err
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answers %s", addr, response.Status)
	}
	return nil
}
