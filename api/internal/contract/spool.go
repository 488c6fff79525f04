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

// Spool is a whole body, taken in before the write begins: a slow sender must not hold up the one writer that a
// database has.
type Spool struct {
	Digest [sha256.Size]byte
	body   io.ReaderAt
	size   int64
	file   *os.File
}

// Reader reads the body from its beginning, each time anew.
func (s *Spool) Reader() io.Reader { return io.NewSectionReader(s.body, 0, s.size) }

// NewSpool reads all of r. Close the spool after use.
func NewSpool(r io.Reader) (*Spool, error) {
	hash := sha256.New()
	r = io.TeeReader(r, hash)
	var head bytes.Buffer
	if _, err := io.CopyN(&head, r, spooledInMemory); err != nil && !errors.Is(err, io.EOF) {
		return nil, bodyError(err)
	} else if err != nil { // that was all of it
		return &Spool{Digest: [sha256.Size]byte(hash.Sum(nil)), body: bytes.NewReader(head.Bytes()),
			size: int64(head.Len())}, nil
	}
	file, err := os.CreateTemp("", "evenpull-*")
	if err != nil {
		return nil, diskError(err)
	}
	s := &Spool{file: file, body: file}
	if err := s.fill(io.MultiReader(&head, r)); err != nil {
		s.Close()
		return nil, err
	}
	s.Digest = [sha256.Size]byte(hash.Sum(nil))
	return s, nil
}

func (s *Spool) fill(r io.Reader) error {
	os.Remove(s.file.Name()) // the open file stays; nothing is left behind, whatever happens
	var reading readErrors
	reading.Reader = r
	n, err := io.Copy(s.file, &reading)
	s.size = n
	switch {
	case err != nil && reading.err != nil:
		return bodyError(reading.err)
	case err != nil:
		return diskError(err)
	}
	return nil
}

// Close lets go of what the spool holds.
func (s *Spool) Close() error {
	if s.file == nil {
		return nil
	}
	return s.file.Close()
}

// readErrors remembers whether it was reading that failed, not writing.
type readErrors struct {
	io.Reader
	err error
}

func (r *readErrors) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		r.err = err
	}
	return n, err
}

func diskError(err error) error {
	kind, detail := fleet.Unavailable, "the body cannot be stored while it is read"
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		kind, detail = fleet.Full, "there is no room to store the body while it is read"
	}
	return &fleet.Error{Kind: kind, Detail: detail, Cause: fmt.Errorf("temporary file: %w", err)}
}
