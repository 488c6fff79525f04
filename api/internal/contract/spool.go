package contract

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"syscall"

	"evenpull/internal/fleet"
)

// spooledInMemory is how much of a body is held in memory; a longer one goes to a temporary file.
const spooledInMemory = 1 << 20

// Spool is a whole body. One that comes in is taken in before the write begins: a slow sender must not hold up the one
// writer that a database has. One that goes out is written before it is sent: a slow reader must not hold a connection
// of the database.
type Spool struct {
	Digest [sha256.Size]byte // of a body that came in
	head   bytes.Buffer      // all of it, where there is no file
	file   *os.File
	size   int64
}

// Reader reads the body from its beginning, each time anew.
func (s *Spool) Reader() io.Reader {
	if s.file == nil {
		return bytes.NewReader(s.head.Bytes())
	}
	return io.NewSectionReader(s.file, 0, s.size)
}

// NewSpool reads all of r. Close the spool after use.
func NewSpool(r io.Reader) (*Spool, error) {
	hash := sha256.New()
	s, err := Spooled(func(out io.Writer) error {
		_, err := io.Copy(out, io.TeeReader(r, hash))
		return err
	})
	var disk *fleet.Error
	switch {
	case errors.As(err, &disk):
		return nil, err
	case err != nil:
		return nil, bodyError(err)
	}
	s.Digest = [sha256.Size]byte(hash.Sum(nil))
	return s, nil
}

// Spooled takes all that write writes. What cannot be stored is a fleet.Error. Close the spool after use.
func Spooled(write func(out io.Writer) error) (*Spool, error) {
	s := new(Spool)
	if err := write(s); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// Write implements io.Writer.
func (s *Spool) Write(p []byte) (int, error) {
	if s.file == nil && s.head.Len()+len(p) <= spooledInMemory {
		return s.head.Write(p)
	}
	if s.file == nil {
		file, err := os.CreateTemp("", "evenpull-*")
		if err != nil {
			return 0, diskError(err)
		}
		s.file = file
		os.Remove(file.Name()) // the open file stays; nothing is left behind, whatever happens
		if _, err := s.Write(s.head.Bytes()); err != nil {
			return 0, err
		}
		s.head = bytes.Buffer{}
	}
	n, err := s.file.Write(p)
	s.size += int64(n)
	if err != nil {
		return n, diskError(err)
	}
	return n, nil
}

// Close lets go of what the spool holds.
func (s *Spool) Close() error {
	if s.file == nil {
		return nil
	}
	return s.file.Close()
}

func diskError(err error) error {
	kind, detail := fleet.Unavailable, "the body cannot be stored while it is read"
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		kind, detail = fleet.Full, "there is no room to store the body while it is read"
	}
	return &fleet.Error{Kind: kind, Detail: detail, Cause: fmt.Errorf("temporary file: %w", err)}
}
