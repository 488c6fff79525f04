package store

import "net/url"

// uri names the file so that SQLite takes spaces, ?, # and % in its name for what they are.
func uri(path, query string) string {
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + query
}

// writerDSN: synchronous=FULL, so that what was acknowledged survives a power cut; a write transaction takes the
// write lock as it begins, so that it cannot fail half-way for want of it.
func writerDSN(path string) string {
	return uri(path, "mode=rwc&_journal_mode=WAL&_synchronous=FULL&_foreign_keys=1&_busy_timeout=5000&_txlock=immediate&_cache_size=-32000")
}

func readerDSN(path string) string {
	return uri(path, "mode=ro&_query_only=1&_busy_timeout=5000")
}
