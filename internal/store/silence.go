package store

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"sync"
	"syscall"
	"time"

	"gorm.io/gorm"
)

// mostSilence is how long a server may take to say anything while it is waited for. Every request ends by then: the
// one that waits for the server, and those that wait for that one. A statement that waits for another program's lock
// gives up before (lock_timeout).
const mostSilence = 10 * time.Second

// listening is a connection to a server that fails once the server has been silent for too long. A server that is
// stopped, or cut off without a word, keeps its connections open: nothing else would tell.
type listening struct {
	net.Conn
	of    *server
	mu    sync.Mutex
	until time.Time // as the driver has set it, zero for none
}

// Read implements net.Conn.
func (l *listening) Read(p []byte) (int, error) {
	limit := time.Now().Add(l.of.mostSilence)
	l.mu.Lock()
	own := l.of.open.Load() && (l.until.IsZero() || limit.Before(l.until))
	if own {
		_ = l.Conn.SetReadDeadline(limit)
	}
	l.mu.Unlock()
	n, err := l.Conn.Read(p)
	switch {
	case n > 0:
		l.of.silent.Store(false)
	case own && os.IsTimeout(err) && !time.Now().Before(limit):
		l.of.silent.Store(true)
		// It must be closed here: after a timeout the driver would read on.
		return n, errors.Join(errSilent, l.Conn.Close())
	}
	return n, err
}

// errSilent is of a connection that was given up.
var errSilent = fmt.Errorf("nothing came from the database server for too long: %w", net.ErrClosed)

// SetDeadline implements net.Conn.
func (l *listening) SetDeadline(t time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.until = t
	return l.Conn.SetDeadline(t)
}

// SetReadDeadline implements net.Conn.
func (l *listening) SetReadDeadline(t time.Time) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.until = t
	return l.Conn.SetReadDeadline(t)
}

// SyscallConn implements syscall.Conn.
func (l *listening) SyscallConn() (syscall.RawConn, error) {
	open, ok := l.Conn.(syscall.Conn)
	if !ok {
		return nil, net.ErrClosed
	}
	return open.SyscallConn()
}

// onConnection runs do on a connection of a pool of the server's, which it waits for no longer than the server may be
// silent: those who have the connections wait for the server themselves.
func (v *server) onConnection(ctx context.Context, pool *gorm.DB, do func(*gorm.DB) error) error {
	connections, err := pool.DB()
	if err != nil {
		return err
	}
	began := time.Now()
	waiting, done := context.WithTimeout(ctx, v.mostSilence)
	conn, err := connections.Conn(waiting)
	late := waiting.Err() != nil && ctx.Err() == nil
	done()
	switch {
	case err != nil && late:
		return noAnswer(err)
	case err != nil:
		return err
	}
	defer conn.Close()
	if v.silent.Load() && time.Since(began) > v.mostSilence/10 { // whoever had it before has waited in vain
		return noAnswer(errors.New("others have waited for the server in vain"))
	}
	db := pool.WithContext(ctx)
	db.Statement.ConnPool = conn
	return do(db)
}
