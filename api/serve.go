package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"syscall"
	"time"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/store"
	"evenpull/testdata"
)

// How long a program that was told to end waits for what is under way.
const graceAtEnd = 10 * time.Second

// serve opens the database, serves, and ends in good order when ctx ends. The address is taken before the
// database is touched, so that a start that cannot succeed leaves no trace.
func serve(ctx context.Context, set settings, stdout io.Writer, log *slog.Logger) (err error) {
	if set.ManagerKey != "" {
		if err := checkManagerKey(set.ManagerKey); err != nil {
			return err
		}
	}
	var own *certificate
	if set.TLSCert != "" {
		if own, err = readCertificate(set.TLSCert, set.TLSKey, log); err != nil {
			return err
		}
		defer own.onHangup()()
	}
	var nights *nightly
	if set.BackupDir != "" {
		if nights, err = newNightly(set.BackupDir, set.BackupKeep, log); err != nil {
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
	link, _ := filepath.EvalSymlinks("/etc/localtime") // without it there is no name
	zone := serverZone(time.Local.String(), link, log)
	b := book.New(st, book.Options{Assumed: set.Assumed, Log: log, Zone: zone})
	if set.Demo {
		if err := startWithDemo(ctx, b, testdata.Demo(), time.Now().In(zone)); err != nil {
			return fmt.Errorf("loading the demo fleet: %w", err)
		}
	}
	if err := announceKey(ctx, b, set, pageAddress(listener.Addr(), own != nil), stdout); err != nil {
		return err
	}
	options := serverOptions{
		ManagerKey: set.ManagerKey, PublicURL: set.PublicURL, Private: set.Private, Secure: set.secure(),
		ReadRate: set.ReadRate, WriteRate: set.WriteRate, Log: log,
	}
	if nights != nil {
		nights.copy, options.LastBackup = st.Backup, nights.last
		defer alongside(ctx, nights.run)() // ends before the database is closed
	}
	handler, err := newServer(b, options)
	if err != nil {
		return err
	}
	server := newHTTPServer(handler, log)
	if own != nil {
		server.TLSConfig = own.config()
	}
	fmt.Fprintf(stdout, "Evenpull is at %s with the database %s\n", pageAddress(listener.Addr(), own != nil),
		store.Name(set.DB))
	return serveUntil(ctx, server, listener)
}

// alongside runs do beside what else is done, until the function returned is called, which waits for its end.
func alongside(ctx context.Context, do func(context.Context)) (end func()) {
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		do(ctx)
	}()
	return func() {
		cancel()
		<-done
	}
}

// announceKey prints the first manager key and a link that signs a browser in with it, once, where nothing else gives a
// right to write. The link is under the address that pages are seen at from outside, else under the local one.
func announceKey(ctx context.Context, b *book.Book, set settings, local string, stdout io.Writer) error {
	if set.ManagerKey != "" {
		return nil
	}
	key, link, err := b.FirstKey(ctx)
	if err != nil {
		return fmt.Errorf("making the first manager key: %w", err)
	}
	if key != "" {
		fmt.Fprintf(stdout, "The manager key, shown this once, is %s\n", key)
		fmt.Fprintf(stdout, "This link signs a browser in with it, once, within ten minutes: %s\n",
			signInURL(cmp.Or(set.PublicURL, local), link))
	}
	return nil
}

// errCut is of a program that was told to end and has cut what was still under way.
var errCut = fmt.Errorf("told to end; what was still under way after %s was cut", graceAtEnd)

// serveUntil serves until ctx ends, then takes nothing new and finishes what is under way. What takes longer than
// graceAtEnd is cut, which is an error.
func serveUntil(ctx context.Context, server *http.Server, listener net.Listener) error {
	failed := make(chan error, 1)
	listener = reply.Listener(listener)
	go func() {
		if server.TLSConfig != nil {
			failed <- server.ServeTLS(listener, "", "")
			return
		}
		failed <- server.Serve(listener)
	}()
	select {
	case err := <-failed:
		return fmt.Errorf("serving: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), graceAtEnd)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return errors.Join(errCut, server.Close())
	}
	return nil
}

// newHTTPServer bounds what one connection can take up. Large imports and exports get longer (see longer).
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
