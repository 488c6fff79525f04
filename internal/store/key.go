package store

import (
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
)

// Key is one key as stored: never itself, only its hash under the database's salt.
type Key struct {
	ID         string
	Name       string
	Role       string
	Hash       []byte
	CreatedAt  time.Time
	LastUsedAt *time.Time
}

type keyRow struct {
	ID         string `gorm:"primaryKey"`
	Name       string
	Role       string
	Hash       []byte
	CreatedAt  int64 `gorm:"autoCreateTime:false"`
	LastUsedAt *int64
}

func (keyRow) TableName() string { return "keys" }

// KeyByHash returns the key with that hash, or nil.
func (r *Reads) KeyByHash(hash []byte) (*Key, error) {
	var row keyRow
	err := r.db.Take(&row, "hash = ?", hash).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for a key: %w", err)
	}
	key := &Key{ID: row.ID, Name: row.Name, Role: row.Role, Hash: row.Hash, CreatedAt: timeOf(row.CreatedAt)}
	if row.LastUsedAt != nil {
		at := timeOf(*row.LastUsedAt)
		key.LastUsedAt = &at
	}
	return key, nil
}

// AnyKey says whether there is a key at all.
func (r *Reads) AnyKey() (bool, error) {
	var ids []string
	if err := r.db.Model(&keyRow{}).Limit(1).Pluck("id", &ids).Error; err != nil {
		return false, fmt.Errorf("looking for a key: %w", err)
	}
	return len(ids) > 0, nil
}

// AddKey stores a new key.
func (tx *Tx) AddKey(k Key) error {
	row := keyRow{ID: k.ID, Name: k.Name, Role: k.Role, Hash: k.Hash, CreatedAt: k.CreatedAt.UnixMicro()}
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("storing key %s: %w", k.ID, err)
	}
	return nil
}

// UseKey notes when a key was used last.
func (tx *Tx) UseKey(id string, at time.Time) error {
	if err := tx.db.Model(&keyRow{}).Where("id = ?", id).Update("last_used_at", at.UnixMicro()).Error; err != nil {
		return fmt.Errorf("noting the use of key %s: %w", id, err)
	}
	return nil
}
