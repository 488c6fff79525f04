package store

import (
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
)

// Session is a browser that is signed in, as stored: of its token only the hash under the database's salt. It belongs
// to a key; or to the key that is set from outside, as long as that has the fingerprint.
type Session struct {
	Hash                 []byte
	KeyID                string
	Fingerprint          []byte // nil where there is a KeyID
	CreatedAt, ExpiresAt time.Time
}

type sessionRow struct {
	Hash        []byte `gorm:"primaryKey"`
	KeyID       *string
	Fingerprint []byte
	CreatedAt   int64 `gorm:"autoCreateTime:false"`
	ExpiresAt   int64
}

func (sessionRow) TableName() string { return "sessions" }

// SessionByHash returns the session whose token has that hash, expired or not, or nil.
func (r *Reads) SessionByHash(hash []byte) (*Session, error) {
	var row sessionRow
	err := r.db.Take(&row, "hash = ?", hash).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for a session: %w", err)
	}
	s := &Session{Hash: row.Hash, Fingerprint: row.Fingerprint, CreatedAt: timeOf(row.CreatedAt),
		ExpiresAt: timeOf(row.ExpiresAt)}
	if row.KeyID != nil {
		s.KeyID = *row.KeyID
	}
	return s, nil
}

// AddSession stores a new session.
func (tx *Tx) AddSession(s Session) error {
	row := sessionRow{Hash: s.Hash, Fingerprint: s.Fingerprint, CreatedAt: s.CreatedAt.UnixMicro(),
		ExpiresAt: s.ExpiresAt.UnixMicro()}
	if s.KeyID != "" {
		row.KeyID = &s.KeyID
	}
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("storing a session: %w", err)
	}
	return nil
}

// EndSession removes the session whose token has that hash, if there is one.
func (tx *Tx) EndSession(hash []byte) error {
	return tx.endSessions("ending a session", "hash = ?", hash)
}

// EndSessionsOf removes every session of a key.
func (tx *Tx) EndSessionsOf(key string) error {
	return tx.endSessions("ending the sessions of key "+key, "key_id = ?", key)
}

// SweepSessions removes the sessions that have expired by now.
func (tx *Tx) SweepSessions(now time.Time) error {
	return tx.endSessions("sweeping sessions", "expires_at <= ?", now.UnixMicro())
}

func (tx *Tx) endSessions(doing, where string, value any) error {
	if err := tx.db.Where(where, value).Delete(&sessionRow{}).Error; err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	return nil
}
