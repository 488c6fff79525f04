package main

import (
	"crypto/tls"
	"fmt"
	"log/slog"
	"os"
	"os/signal"
	"sync"
	"syscall"
)

// certificate is the program's own certificate for HTTPS. Its files are read again when they have changed on the disk,
// so that a renewed one is used without a restart; while what is there cannot be used, the one from before stays.
type certificate struct {
	certFile, keyFile string
	log               *slog.Logger
	mu                sync.Mutex
	current           *tls.Certificate
	seen              [2]os.FileInfo // the files as they were when they were last read
}

func readCertificate(certFile, keyFile string, log *slog.Logger) (*certificate, error) {
	c := &certificate{certFile: certFile, keyFile: keyFile, log: log}
	if err := c.read(); err != nil {
		return nil, err
	}
	return c, nil
}

func (c *certificate) read() error {
	seen, err := c.look()
	if err != nil {
		return err
	}
	c.seen = seen
	pair, err := tls.LoadX509KeyPair(c.certFile, c.keyFile)
	if err != nil {
		return fmt.Errorf("the certificate in %s and its key in %s cannot be used: %w", c.certFile, c.keyFile, err)
	}
	c.current = &pair
	return nil
}

func (c *certificate) look() (seen [2]os.FileInfo, err error) {
	for i, name := range []string{c.certFile, c.keyFile} {
		if seen[i], err = os.Stat(name); err != nil {
			return seen, fmt.Errorf("the certificate cannot be read: %w", err)
		}
	}
	return seen, nil
}

// renew reads the files again, if they have changed or in any case.
func (c *certificate) renew(anyway bool) *tls.Certificate {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !anyway {
		now, err := c.look()
		if err != nil || sameFile(now[0], c.seen[0]) && sameFile(now[1], c.seen[1]) {
			return c.current
		}
	}
	if err := c.read(); err != nil {
		c.log.Error("the certificate from before is still used", "error", err)
	} else {
		c.log.Info("the certificate was read again", "file", c.certFile)
	}
	return c.current
}

func sameFile(a, b os.FileInfo) bool {
	return os.SameFile(a, b) && a.ModTime().Equal(b.ModTime()) && a.Size() == b.Size()
}

// config is how the program speaks TLS.
func (c *certificate) config() *tls.Config {
	return &tls.Config{
		MinVersion:     tls.VersionTLS12,
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return c.renew(false), nil },
	}
}

// onHangup reads the files again at every SIGHUP, which would else end the program, until the function returned is
// called.
func (c *certificate) onHangup() (stop func()) {
	hangups := make(chan os.Signal, 1)
	signal.Notify(hangups, syscall.SIGHUP)
	go func() {
		for range hangups {
			c.renew(true)
		}
	}()
	return func() {
		signal.Stop(hangups)
		close(hangups)
	}
}
