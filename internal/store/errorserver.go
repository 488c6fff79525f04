package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"evenpull/internal/fleet"
)

// explainServer is explain for a PostgreSQL server. The codes are those of its manual, appendix A.
func explainServer(err error) error {
	var said *pgconn.PgError
	switch {
	case errors.As(err, &said):
	case isLost(err):
		return noAnswer(err)
	case errors.Is(err, pgx.ErrTxCommitRollback):
		return unavailable(err, "the database server undid this; nothing was changed")
	default:
		return err
	}
	switch said.Code {
	case "53100": // disk_full
		return full(err)
	case "57014": // query_canceled, by the keeper of the server or by a time limit that it has
		return unavailable(err, "the database server gave this up; nothing was changed")
	case "25006": // read_only_sql_transaction
		return unavailable(err, "the database can only be read just now; nothing was changed")
	case "40001", "40P01", "55P03": // serialization_failure, deadlock_detected, lock_not_available
		return unavailable(err, "another program is using the database just now; try again")
	case "0A000": // feature_not_supported: a statement prepared before a migration of a newer version
		return unavailable(err,
			"the database was just brought up to date by a newer version of this program; try again")
	case "XX001", "XX002": // data_corrupted, index_corrupted
		return unavailable(err, "the database is damaged; its keeper has to put back a copy")
	case "22021": // character_not_in_repertoire: asked for under a name that no text can be
		return &fleet.Error{Kind: fleet.NotFound,
			Detail: "there is nothing of that name: it holds bytes that are not text (UTF-8)", Cause: err}
	case "23505": // unique_violation
		for table, what := range map[string]string{"sleds": "sled", "classes": "class", "shows": "show"} {
			if said.TableName == table && said.ConstraintName == table+"_pkey" {
				return &fleet.Error{Kind: fleet.Conflict, Cause: err,
					Detail: "there is already a " + what + " with that id"}
			}
		}
		return err
	}
	// Whole classes of codes: the connection, permissions, resources of the server, its operator, its machine.
	for _, class := range []string{"08", "28", "3D", "53", "57", "58", "25P03", "25P04"} {
		if strings.HasPrefix(said.Code, class) {
			return noAnswer(err)
		}
	}
	return err
}

func noAnswer(err error) error {
	return unavailable(err, "the database server does not answer as it should; nothing was changed")
}

// isLost says whether the connection to the server is gone or was never made.
func isLost(err error) bool {
	var connecting *pgconn.ConnectError
	var network net.Error
	if errors.As(err, &connecting) || errors.As(err, &network) || pgconn.SafeToRetry(err) {
		return true
	}
	for _, over := range []error{
		io.EOF, io.ErrUnexpectedEOF, driver.ErrBadConn, sql.ErrConnDone, pgconn.ErrConnClosed, net.ErrClosed,
		syscall.ECONNRESET, syscall.EPIPE,
	} {
		if errors.Is(err, over) {
			return true
		}
	}
	return false
}

// inDoubt is the error of a write whose connection was lost during the commit: nobody on this side knows whether the
// server received it.
func (v *server) inDoubt(err error) error {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		if said.SeverityUnlocalized == "ERROR" { // it was undone, and the server is there to say so
			return err
		}
	} else if !isLost(err) {
		return err
	}
	return unavailable(err, "the database server went away in the middle; look whether this was stored before "+
		"you send it again, or send it again with the same Idempotency-Key")
}

// openError says in one line why a database on a server cannot be opened and what to do about it.
func (v *server) openError(name string, err error) error {
	var known *fleet.Error
	var said *pgconn.PgError
	switch {
	case err == nil, errors.As(err, &known), errors.Is(err, context.Canceled):
		return err
	case errors.As(err, &said):
	case isLost(err):
		return v.refusal(err, "the database server of %s does not answer at %s: start it, or give another address",
			name, v.address())
	default:
		return fmt.Errorf("opening %s: %w", name, err)
	}
	switch {
	case strings.HasPrefix(said.Code, "28"): // invalid_authorization_specification, invalid_password
		return v.refusal(err, "the database server of %s does not let the user %q in: check the user and the password",
			name, v.config.User)
	case said.Code == "3D000": // invalid_catalog_name
		return v.refusal(err, "there is no database %q on the server of %s: make it first, or give another address",
			v.config.Database, name)
	case said.Code == "42501": // insufficient_privilege
		return v.refusal(err, "the user %q may not make tables in %s: let the database belong to that user",
			v.config.User, name)
	case said.Code == "25006": // read_only_sql_transaction
		return v.refusal(err, "%s can only be read: give the address of the server that takes writes", name)
	case said.Code == "42704", said.Code == "22023": // undefined_object, invalid_parameter_value
		return v.refusal(err, "the database server of %s does not take a setting in the address (%s)", name,
			said.Message)
	case said.Code == "53300": // too_many_connections
		return v.refusal(err, "the database server of %s takes no more connections: raise its max_connections, "+
			"or run fewer instances", name)
	case said.Code == "57P03": // cannot_connect_now
		return v.refusal(err, "the database server of %s is still starting: try again in a moment", name)
	case said.Code == "53100": // disk_full
		return noRoom(name, err)
	case said.Code == "55P03": // lock_not_available
		return v.refusal(err, "%s is in use by another program: close that one first", name)
	}
	return fmt.Errorf("opening %s: %w", name, err)
}

func (v *server) refusal(cause error, format string, args ...any) error {
	return unavailable(onOneLine{cause}, format, args...)
}

// onOneLine is the text of an error without line breaks.
type onOneLine struct{ error }

func (o onOneLine) Error() string { return strings.Join(strings.Fields(o.error.Error()), " ") }
func (o onOneLine) Unwrap() error { return o.error }
