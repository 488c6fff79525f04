package store

import (
	"bufio"
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"gorm.io/gorm"
)

// The write-ahead log beside a file holds what was written last and is not in the file yet. SQLite takes any log beside
// a file for the file's own: that of another file is deleted, or mixed into the file. So the first page holds a number
// that SQLite leaves to its users ("user version"), here called the stamp. Every write increases it by one, and so puts
// the first page into the log. A log therefore belongs to its file if its first stamp is the one after the file's, or
// if the file's stamp is in the log, because part of the log is in the file already.

// stampOf returns the stamp in a first page.
func stampOf(page []byte) uint32 { return binary.BigEndian.Uint32(page[60:]) }

// raiseStamp increases the stamp, as part of a write.
func raiseStamp(tx *gorm.DB) error {
	var stamp int32
	if err := tx.Raw("PRAGMA user_version").Scan(&stamp).Error; err != nil {
		return fmt.Errorf("reading the stamp: %w", err)
	}
	return setStamp(tx, stamp+1)
}

func setStamp(db *gorm.DB, stamp int32) error {
	return wrapped(db.Exec(fmt.Sprintf("PRAGMA user_version = %d", stamp)).Error, "setting the stamp")
}

// renewStamp gives the file a stamp that no copy of it has, so that the log of a copy that is written to by itself can
// be told from this one's. The change of stamp is in one log with the write before it.
func renewStamp(ctx context.Context, writer *gorm.DB) (err error) {
	var random [4]byte
	rand.Read(random[:])
	db := writer.WithContext(ctx)
	if err := db.Exec("PRAGMA wal_autocheckpoint = 0").Error; err != nil {
		return fmt.Errorf("keeping the log together: %w", err)
	}
	defer func() { err = errors.Join(err, db.Exec("PRAGMA wal_autocheckpoint = 1000").Error) }()
	if err := raiseStamp(db); err != nil {
		return err
	}
	return setStamp(db, int32(binary.BigEndian.Uint32(random[:])))
}

// Of the log's format, https://www.sqlite.org/fileformat2.html, section 4: all numbers are big-endian.
const (
	logHeader   = 32
	frameHeader = 24
	logMagic    = 0x377f0682 // with the last bit set, checksums are of big-endian words
)

// ownLog says whether the log beside a file belongs to it, as far as it can tell: a log without a first page, which a
// program other than this one has left, is taken for the file's own. The file may be in use.
func ownLog(path string) (bool, error) {
	type state struct {
		file fileHeader
		log  [logHeader]byte
	}
	var before state
	for range 4 {
		var now state
		var own bool
		var err error
		if now.file, err = firstBytes(path); err != nil {
			return false, err
		}
		if now.log, own, err = readLog(path+"-wal", now.file); own || err != nil {
			return own, err
		}
		if now == before {
			return false, nil
		}
		before = now // whoever uses the file may have begun the log anew in between: look again
	}
	return true, nil // it is being written to, with the file
}

// readLog checks whether a log belongs to a file, as far as the log is whole, which is as far as SQLite reads it. It
// returns the header of the log too.
func readLog(name string, file fileHeader) (head [logHeader]byte, own bool, err error) {
	log, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return head, true, nil
	}
	if err != nil {
		return head, false, fmt.Errorf("looking at %s: %w", name, err)
	}
	defer log.Close()
	from := bufio.NewReaderSize(log, 1<<16)
	if _, err := io.ReadFull(from, head[:]); err != nil {
		return head, true, unlessEnded(name, err)
	}
	be := binary.BigEndian
	size := be.Uint32(head[8:])
	sum := checksum{order: binary.LittleEndian}
	if be.Uint32(head[0:])&1 == 1 {
		sum.order = be
	}
	sum.add(head[:24])
	switch {
	case be.Uint32(head[0:])&^1 != logMagic, !sum.is(head[24:]):
		return head, true, nil // nothing in it can be read
	case !file.inLogMode(), int64(size) != file.pageSize():
		return head, false, nil
	}
	frame := make([]byte, frameHeader+size)
	for first := true; ; {
		if _, err := io.ReadFull(from, frame); err != nil {
			return head, first, unlessEnded(name, err)
		}
		sum.add(frame[:8])
		sum.add(frame[frameHeader:])
		if [8]byte(frame[8:16]) != [8]byte(head[16:24]) || !sum.is(frame[16:]) {
			return head, first, nil
		}
		if be.Uint32(frame) != 1 {
			continue
		}
		stamp := stampOf(frame[frameHeader:])
		if stamp == file.stamp() || first && stamp == file.stamp()+1 {
			return head, true, nil
		}
		first = false
	}
}

func unlessEnded(name string, err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil
	}
	return fmt.Errorf("reading %s: %w", name, err)
}

// checksum is that of section 4.2.
type checksum struct {
	order  binary.ByteOrder
	s0, s1 uint32
}

func (c *checksum) add(b []byte) {
	for ; len(b) >= 8; b = b[8:] {
		c.s0 += c.order.Uint32(b) + c.s1
		c.s1 += c.order.Uint32(b[4:]) + c.s0
	}
}

func (c *checksum) is(b []byte) bool {
	return c.s0 == binary.BigEndian.Uint32(b) && c.s1 == binary.BigEndian.Uint32(b[4:])
}
