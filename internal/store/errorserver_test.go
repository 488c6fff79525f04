package store

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

// A server that goes while it is told to make a write last may have done so: that is what the writer is told.
func TestWrite_WhoseEndIsLostIsInDoubt(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	s := openAt(t, db)
	_, err := connectRaw(t, db).Exec(context.Background(), `CREATE FUNCTION go() RETURNS trigger LANGUAGE plpgsql AS
		$$ BEGIN PERFORM pg_terminate_backend(pg_backend_pid()); PERFORM pg_sleep(1); RETURN NULL; END $$;
		CREATE CONSTRAINT TRIGGER at_the_end AFTER INSERT ON sleds DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN
		(NEW.id = 'fescue') EXECUTE FUNCTION go()`)
	require.NoError(t, err)
	err = s.Write(context.Background(), func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "A")) })
	assert.Equal(t, fleet.Unavailable, kindOf(t, err))
	assert.ErrorContains(t, err, "look whether this was stored")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	assert.EqualValues(t, 1, revisionOf(t, s))

	for _, lost := range []error{io.ErrUnexpectedEOF, syscall.ECONNRESET,
		&pgconn.PgError{Code: "57P02", SeverityUnlocalized: "FATAL"}} {
		assert.ErrorContains(t, s.server.inDoubt(lost), "look whether this was stored")
	}
	undone := &pgconn.PgError{Code: "40001", SeverityUnlocalized: "ERROR"}
	assert.Equal(t, error(undone), s.server.inDoubt(undone))
}

// No id is bytes that are not text: nothing is found under them, as in a file.
func TestServer_FindsNothingUnderBytesThatAreNotText(t *testing.T) {
	t.Parallel()
	for _, db := range []string{storetest.URL(t), filepath.Join(t.TempDir(), "fleet.db")} {
		s := openAt(t, db)
		write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
		for _, id := range []string{"blue\x00stem", "blue\xffstem"} {
			err := s.Read(context.Background(), func(r *Reads) error {
				_, err := r.Sled(id)
				return err
			})
			assert.Equal(t, fleet.NotFound, kindOf(t, err))
			err = s.Write(context.Background(), func(tx *Tx) error {
				_, err := tx.Show(id)
				return err
			})
			assert.Equal(t, fleet.NotFound, kindOf(t, err))
			err = s.Read(context.Background(), func(r *Reads) error {
				_, _, err := r.Sleds(encodeCursor(sledCursor, id), 2)
				return err
			})
			assert.Equal(t, fleet.Invalid, kindOf(t, err))
		}
	}
}

func TestServer_ErrorsAreExplained(t *testing.T) {
	t.Parallel()
	says := func(code string) error { return &pgconn.PgError{Code: code, Message: "as the server puts it"} }
	for _, c := range []struct {
		err  error
		want fleet.Kind
	}{
		{says("53100"), fleet.Full},
		{says("25006"), fleet.Unavailable}, // it has become a second server, which only reads
		{says("40001"), fleet.Unavailable},
		{says("55P03"), fleet.Unavailable},
		{says("57P01"), fleet.Unavailable}, // told to stop by its keeper
		{says("57P03"), fleet.Unavailable}, // still starting
		{says("53300"), fleet.Unavailable}, // no connection free
		{says("58030"), fleet.Unavailable}, // the disk fails
		{says("XX001"), fleet.Unavailable},
		{&pgconn.PgError{Code: "23505", TableName: "sleds", ConstraintName: "sleds_pkey"}, fleet.Conflict},
		{&pgconn.PgError{Code: "23505", TableName: "classes", ConstraintName: "classes_pkey"}, fleet.Conflict},
		{&pgconn.PgError{Code: "23505", TableName: "shows", ConstraintName: "shows_pkey"}, fleet.Conflict},
	} {
		err := explain(fmt.Errorf("storing readings: %w", c.err))
		assert.Equal(t, c.want, kindOf(t, err), c.err.Error())
		assert.ErrorIs(t, err, c.err, "the log gets the cause")
	}
	for _, ours := range []error{
		says("42601"), // a statement that is wrong
		says("25P02"), // a write that goes on after an error
		&pgconn.PgError{Code: "23505", TableName: "readings", ConstraintName: "readings_id_key"},
	} {
		assert.Equal(t, ours, explain(ours), "a fault of the program stays one")
	}
}
