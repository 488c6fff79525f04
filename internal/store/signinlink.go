package store

import "time"

// SignInLink is a link that signs one browser in with a key, as stored: of its secret only the hash under the
// database's salt. A key has at most one.
type SignInLink struct {
	KeyID                string
	Hash                 []byte
	CreatedAt, ExpiresAt time.Time
}

type signInLinkRow struct {
	KeyID     string `gorm:"primaryKey"`
	Hash      []byte
	CreatedAt int64 `gorm:"autoCreateTime:false"`
	ExpiresAt int64
}

func (signInLinkRow) TableName() string { return "sign_in_links" }

// SignInLinkOf returns the link of a key, expired or not, or nil.
func (r *Reads) SignInLinkOf(key string) (*SignInLink, error) {
	row, err := find[signInLinkRow](r.db.Where("key_id = ?", key))
	if row == nil || err != nil {
		return nil, wrapped(err, "looking for a sign-in link")
	}
	return &SignInLink{KeyID: row.KeyID, Hash: row.Hash, CreatedAt: timeOf(row.CreatedAt),
		ExpiresAt: timeOf(row.ExpiresAt)}, nil
}

// PutSignInLink stores a link in place of the one that its key had.
func (tx *Tx) PutSignInLink(l SignInLink) error {
	if err := tx.EndSignInLinkOf(l.KeyID); err != nil {
		return err
	}
	row := signInLinkRow{KeyID: l.KeyID, Hash: l.Hash, CreatedAt: l.CreatedAt.UnixMicro(),
		ExpiresAt: l.ExpiresAt.UnixMicro()}
	return wrapped(tx.db.Create(&row).Error, "storing a sign-in link")
}

// EndSignInLinkOf removes the link of a key, if there is one.
func (tx *Tx) EndSignInLinkOf(key string) error {
	return wrapped(tx.db.Delete(&signInLinkRow{}, "key_id = ?", key).Error, "ending the sign-in link of key %s", key)
}

// SweepSignInLinks removes the links that have expired by now.
func (tx *Tx) SweepSignInLinks(now time.Time) error {
	err := tx.db.Delete(&signInLinkRow{}, "expires_at <= ?", now.UnixMicro()).Error
	return wrapped(err, "sweeping sign-in links")
}
