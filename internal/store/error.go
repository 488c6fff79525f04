package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"evenpull/internal/fleet"
)

// explain turns an error of the database into one that says what to do about it. Errors of package fleet and of a
// context are returned as they are; an unknown error stays an internal one.
func explain(err error) error {
	var known *fleet.Error
	var s sqlite3.Error
	switch {
	case err == nil, errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case strings.Contains(err.Error(), "sql: database is closed"): // database/sql has no value for it
		return unavailable(err, "the database is closed")
	case !errors.As(err, &s):
		return explainServer(err)
	case s.SystemErrno == syscall.ENOSPC, s.SystemErrno == syscall.EDQUOT, s.SystemErrno == syscall.EFBIG:
		return full(err)
	case s.SystemErrno == syscall.EROFS, s.SystemErrno == syscall.EPERM, s.SystemErrno == syscall.EACCES:
		return unavailable(err, "the database can only be read just now; nothing was changed")
	}
	switch s.Code {
	case sqlite3.ErrFull:
		return full(err)
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return unavailable(err, "another program is using the database just now; try again")
	case sqlite3.ErrReadonly, sqlite3.ErrPerm:
		return unavailable(err, "the database can only be read just now; nothing was changed")
	case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
		return unavailable(err, "the database is damaged; its keeper has to put back a copy")
	case sqlite3.ErrIoErr, sqlite3.ErrCantOpen, sqlite3.ErrNomem, sqlite3.ErrProtocol:
		return unavailable(err, "the storage does not answer as it should; nothing was changed")
	case sqlite3.ErrConstraint:
		for table, what := range map[string]string{"sleds": "sled", "classes": "class", "shows": "show"} {
			if strings.Contains(err.Error(), "UNIQUE constraint failed: "+table+".id") {
				return &fleet.Error{Kind: fleet.Conflict, Cause: err,
					Detail: "there is already a " + what + " with that id"}
			}
		}
	}
	return err
}

// isFull says whether there was no room for something.
func isFull(err error) bool {
	var known *fleet.Error
	return errors.As(explain(err), &known) && known.Kind == fleet.Full
}

// wrapped says what failed with err; it is nil where err is.
func wrapped(err error, format string, args ...any) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", fmt.Sprintf(format, args...), err)
}

func full(err error) error {
	return &fleet.Error{Kind: fleet.Full, Cause: err,
		Detail: "the storage is full; nothing was changed, and what is stored can still be read"}
}

// noRoom is full for a file that is made.
func noRoom(file string, cause error) error {
	return &fleet.Error{Kind: fleet.Full, Cause: cause,
		Detail: fmt.Sprintf("there is no room left for %s: free some", file)}
}

func unavailable(cause error, format string, args ...any) error {
	return &fleet.Error{Kind: fleet.Unavailable, Cause: cause, Detail: fmt.Sprintf(format, args...)}
}
