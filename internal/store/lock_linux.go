package store

import (
	"io"
	"os"

	"golang.org/x/sys/unix"
)

// lockBeside locks a database on one byte past those that SQLite locks (PENDING_BYTE and the 511 after it,
// https://www.sqlite.org/fileformat2.html, section 1.4). The lock belongs to the open file, not to the process: it
// stays when SQLite closes a descriptor of its own, and refuses the same process too.
func lockBeside(file *os.File) error { return setLockBeside(file, unix.F_WRLCK) }

// unlockBeside unlocks it. Closing the file is not enough: a process that is being started may still have it open.
func unlockBeside(file *os.File) error { return setLockBeside(file, unix.F_UNLCK) }

func setLockBeside(file *os.File, kind int16) error {
	const past = 0x40000000 + 512
	one := unix.Flock_t{Type: kind, Whence: io.SeekStart, Start: past, Len: 1}
	return unix.FcntlFlock(file.Fd(), unix.F_OFD_SETLK, &one)
}
