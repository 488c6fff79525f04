package store

import (
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
)

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
	var row signInLinkRow
	err := r.db.Take(&row, "key_id = ?", key).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for a sign-in link: %w", err)
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
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("storing a sign-in link: %w", err)
	}
	return nil
}

// EndSignInLinkOf removes the link of a key, if there is one.
func (tx *Tx) EndSignInLinkOf(key string) error {
	return tx.endSignInLinks("ending the sign-in link of key "+key, "key_id = ?", key)
}

// SweepSignInLinks removes the links that have expired by now.
func (tx *Tx) SweepSignInLinks(now time.Time) error {
	return tx.endSignInLinks("sweeping sign-in links", "expires_at <= ?", now.UnixMicro())
}

func (tx *Tx) endSignInLinks(doing, where string, value any) error {
	if err := tx.db.Where(where, value).Delete(&signInLinkRow{}).Error; err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	return nil
}
