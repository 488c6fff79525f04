package store

import (
	"encoding/binary"
	"fmt"
	"os"
	"strings"
)

// fileHeader is the first bytes of a database file: https://www.sqlite.org/fileformat2.html, section 1.3. All zero
// where the file is shorter.
type fileHeader [100]byte

func firstBytes(path string) (b fileHeader, err error) {
	file, err := os.Open(path)
	if err != nil {
		return b, fmt.Errorf("looking at %s: %w", path, err)
	}
	defer file.Close()
	if n, err := file.ReadAt(b[:], 0); n < len(b) {
		b = fileHeader{}
		if about, statErr := file.Stat(); statErr != nil || about.Size() >= int64(len(b)) {
			return b, fmt.Errorf("looking at %s: %w", path, err)
		}
	}
	return b, nil
}

func (b fileHeader) isDatabase() bool { return strings.HasPrefix(string(b[:]), "SQLite format 3\x00") }

// pageSize is in bytes; 1 stands for 65,536.
func (b fileHeader) pageSize() int64 {
	if size := binary.BigEndian.Uint16(b[16:]); size != 1 {
		return int64(size)
	}
	return 1 << 16
}

// inLogMode says whether the file is, or was, used with a write-ahead log: a database that a program works on, not a
// copy that lies by itself.
func (b fileHeader) inLogMode() bool { return b[18] == 2 }

// pages is how many pages the file has. It is only kept up in a file that lies by itself.
func (b fileHeader) pages() int64 { return int64(binary.BigEndian.Uint32(b[28:])) }

func (b fileHeader) stamp() uint32 { return stampOf(b[:]) }

func (b fileHeader) applicationID() uint32 { return binary.BigEndian.Uint32(b[68:]) }
