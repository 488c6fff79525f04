package store

import (
	"io"
	"os"

	"golang.org/x/sys/unix"
)

// lockBeside locks a database for as long as the file is open, on one byte past those that SQLite locks (PENDING_BYTE and the
// 511 after it, https://www.sqlite.org/fileformat2.html, section 1.4). The lock belongs to the open file, not to the process:
// it stays when SQLite closes a descriptor of its own, and refuses the same process too.
func lockBeside(file *os.File) error {
	const past = 0x40000000 + 512
	return unix.FcntlFlock(file.Fd(), unix.F_OFD_SETLK, &unix.Flock_t{Type: unix.F_WRLCK, Whence: io.SeekStart, Start: past, Len: 1})
}
