package store

import "time"

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
	row, err := find[sessionRow](r.db.Where("hash = ?", hash))
	if row == nil || err != nil {
		return nil, wrapped(err, "looking for a session")
	}
	return &Session{Hash: row.Hash, KeyID: orEmpty(row.KeyID), Fingerprint: row.Fingerprint,
		CreatedAt: timeOf(row.CreatedAt), ExpiresAt: timeOf(row.ExpiresAt)}, nil
}

// AddSession stores a new session.
func (tx *Tx) AddSession(s Session) error {
	row := sessionRow{s.Hash, orNull(s.KeyID), s.Fingerprint, s.CreatedAt.UnixMicro(), s.ExpiresAt.UnixMicro()}
	return wrapped(tx.db.Create(&row).Error, "storing a session")
}

// EndSession removes the session whose token has that hash, if there is one.
func (tx *Tx) EndSession(hash []byte) error {
	return wrapped(tx.db.Delete(&sessionRow{}, "hash = ?", hash).Error, "ending a session")
}

// EndSessionsOf removes every session of a key.
func (tx *Tx) EndSessionsOf(key string) error {
	return wrapped(tx.db.Delete(&sessionRow{}, "key_id = ?", key).Error, "ending the sessions of key %s", key)
}

// SweepSessions removes the sessions that have expired by now.
func (tx *Tx) SweepSessions(now time.Time) error {
	return wrapped(tx.db.Delete(&sessionRow{}, "expires_at <= ?", now.UnixMicro()).Error, "sweeping sessions")
}
