package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"net"
	"syscall"

	"github.com/jackc/pgx/v5"
)

// checkConnection detects that the server has closed a connection, without a query: after a server has restarted, its
// old connections are dropped before anything is sent on them. What has been sent is never sent again.
func checkConnection(ctx context.Context, conn *pgx.Conn) error {
	said, err := hasPendingData(conn.PgConn().Conn())
	switch {
	case err != nil:
		return driver.ErrBadConn
	case said && conn.Ping(ctx) != nil: // its last words, or a notice in passing
		return driver.ErrBadConn
	}
	return nil
}

// hasPendingData says whether data has arrived on an idle connection; an error says that the connection is closed.
func hasPendingData(conn net.Conn) (said bool, err error) {
	if wrapped, ok := conn.(interface{ NetConn() net.Conn }); ok { // TLS
		conn = wrapped.NetConn()
	}
	open, ok := conn.(syscall.Conn)
	if !ok {
		return false, nil
	}
	raw, err := open.SyscallConn()
	if err != nil {
		return false, err
	}
	// Control and not Read: the driver may have left a reader of its own waiting, and two readers would block each
	// other.
	over := raw.Control(func(fd uintptr) {
		var b [1]byte
		var n int
		n, _, err = syscall.Recvfrom(int(fd), b[:], syscall.MSG_PEEK|syscall.MSG_DONTWAIT)
		said = n > 0
		switch {
		case errors.Is(err, syscall.EAGAIN):
			err = nil // silent, and open
		case err == nil && n == 0:
			err = net.ErrClosed
		}
	})
	return said, errors.Join(over, err)
}
