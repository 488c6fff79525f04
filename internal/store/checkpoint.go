package store

import (
	"context"
	"os"
)

// largestLog is the length in bytes that the write-ahead log may keep. SQLite starts it again from its beginning every
// 1,000 pages, but never makes it shorter: one large import would take its space on the disk twice for as long as the
// program runs. An assumption of our own: four times what everyday writes make it.
const largestLog = 16 << 20

// truncateLog runs after every write, before the next may begin. It truncates a log that has grown past largestLog,
// and, where there is no room, a log of any length, because its pages may fit into the file and leave room for the next
// write. It does not wait for readers: then a later write truncates the log.
func (s *Store) truncateLog(ctx context.Context, full bool) {
	if about, err := os.Stat(s.path + "-wal"); err != nil || !full && about.Size() <= largestLog {
		return
	}
	ctx = context.WithoutCancel(ctx) // the write is over; this is for the next
	db := s.writer.WithContext(ctx)
	for _, statement := range []string{"PRAGMA busy_timeout = 0", "PRAGMA wal_checkpoint(TRUNCATE)",
		"PRAGMA busy_timeout = 5000"} {
		if err := db.Exec(statement).Error; err != nil {
			s.log.WarnContext(ctx, "the write-ahead log was not folded into the file", "file", s.path, "error", err)
		}
	}
}
