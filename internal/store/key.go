package store

import (
	"time"

	"evenpull/internal/fleet"
)

// Key is a key as stored: only its hash under the database's salt.
type Key struct {
	fleet.Key
	Hash []byte
}

type keyRow struct {
	ID         string `gorm:"primaryKey"`
	Name       string
	Role       string
	Hash       []byte
	CreatedAt  int64 `gorm:"autoCreateTime:false"`
	LastUsedAt *int64
	EndedAt    *int64
}

func (keyRow) TableName() string { return "keys" }

func keyRowOf(k Key) keyRow {
	return keyRow{
		ID: k.ID, Name: k.Name, Role: string(k.Role), Hash: k.Hash, CreatedAt: k.CreatedAt.UnixMicro(),
		LastUsedAt: microsOf(k.LastUsedAt), EndedAt: microsOf(k.EndedAt),
	}
}

func (r keyRow) key() Key {
	return Key{Key: fleet.Key{
		ID: r.ID, Name: r.Name, Role: fleet.Role(r.Role), CreatedAt: timeOf(r.CreatedAt),
		LastUsedAt: momentOf(r.LastUsedAt), EndedAt: momentOf(r.EndedAt),
	}, Hash: r.Hash}
}

// KeyByHash returns the key with that hash, or nil where there is none or it has ended.
func (r *Reads) KeyByHash(hash []byte) (*Key, error) {
	row, err := find[keyRow](r.db.Where("hash = ? AND ended_at IS NULL", hash))
	if row == nil || err != nil {
		return nil, wrapped(err, "looking for a key")
	}
	return new(row.key()), nil
}

// Key returns a key, an ended one too, or is NotFound.
func (r *Reads) Key(id string) (Key, error) {
	row, err := take[keyRow](r, "key", id)
	return row.key(), err
}

// Keys lists every key there is or was, oldest first.
func (r *Reads) Keys() ([]Key, error) {
	var rows []keyRow
	err := r.db.Order("created_at, id").Find(&rows).Error
	return mapSlice(rows, keyRow.key), wrapped(err, "listing keys")
}

// LiveManagerKeys counts the manager keys that have not ended.
func (r *Reads) LiveManagerKeys() (int, error) {
	n, err := count(r.db.Model(&keyRow{}).Where("role = ? AND ended_at IS NULL", fleet.Manager))
	return n, wrapped(err, "counting manager keys")
}

// AnyKey says whether there is a manager key that has not ended: without one nobody can make another.
func (r *Reads) AnyKey() (bool, error) {
	n, err := r.LiveManagerKeys()
	return n > 0, err
}

// AddKey stores a new key.
func (tx *Tx) AddKey(k Key) error {
	return wrapped(tx.db.Create(new(keyRowOf(k))).Error, "storing key %s", k.ID)
}

// UseKey notes when a key was used last.
func (tx *Tx) UseKey(id string, at time.Time) error {
	err := tx.db.Model(&keyRow{}).Where("id = ?", id).Update("last_used_at", at.UnixMicro()).Error
	return wrapped(err, "noting the use of key %s", id)
}

// EndKey ends a key. It stays, so that its id is never given again and the list says when it ended.
func (tx *Tx) EndKey(id string, at time.Time) error {
	err := tx.db.Model(&keyRow{}).Where("id = ?", id).Update("ended_at", at.UnixMicro()).Error
	return wrapped(err, "ending key %s", id)
}
