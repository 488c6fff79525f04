package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"net/url"

	"github.com/mattn/go-sqlite3"
	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
)

// uri names the file so that SQLite takes spaces, ?, # and % in its name for what they are.
func uri(path, query string) string {
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + query
}

// writerDSN sets synchronous=FULL, so that what was acknowledged survives a power cut, and takes the write lock at the
// start of a transaction, so that the transaction cannot fail later for lack of it.
func writerDSN(path string) string {
	return uri(path, "mode=rwc&_journal_mode=WAL&_synchronous=FULL&_foreign_keys=1&_busy_timeout=5000"+
		"&_txlock=immediate&_cache_size=-32000")
}

func readerDSN(path string) string {
	return uri(path, "mode=ro&_query_only=1&_busy_timeout=5000")
}

// connect opens a file with no more connections than most.
func connect(dsn string, most int) (*gorm.DB, error) {
	pool := sql.OpenDB(connector(dsn))
	return pooled(sqlite.New(sqlite.Config{Conn: pool}), pool, most)
}

// connector makes the connections to one file.
type connector string

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.Driver().Open(string(c)) }

// Driver returns SQLite's driver with connections that sort in memory: SQLite would otherwise write a temporary file,
// and reads would fail when there is no room for one.
func (connector) Driver() driver.Driver {
	return &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		_, err := c.Exec("PRAGMA temp_store = MEMORY", nil)
		return err
	}}
}

// openAll opens as many connections as the pool may have, and each reads once. A connection opened later would read
// another file if that had been put in the place of this one.
func openAll(ctx context.Context, db *gorm.DB, n int) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	for range n {
		c, err := pool.Conn(ctx)
		if err != nil {
			return err
		}
		defer c.Close()
		var version int64
		if err := c.QueryRowContext(ctx, "PRAGMA schema_version").Scan(&version); err != nil {
			return err
		}
	}
	return nil
}
