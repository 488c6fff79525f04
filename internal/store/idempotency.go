package store

import (
	"fmt"
	"time"
)

// idempotencyRetention is how long an idempotency record is stored.
const idempotencyRetention = 30 * 24 * time.Hour

// IdempotencyRecord is the first answer to a request that carried an idempotency key.
type IdempotencyRecord struct {
	Request                     [32]byte // fingerprint of what was asked
	Sender                      string   // whoever asked
	Status                      int
	ContentType, ETag, Location string
	Body                        []byte
	CreatedAt                   time.Time
}

type idempotencyRow struct {
	Key         string `gorm:"primaryKey"`
	Digest      []byte
	Sender      string
	Status      int
	ContentType string
	ETag        string `gorm:"column:etag"`
	Location    string
	Body        []byte
	CreatedAt   int64 `gorm:"autoCreateTime:false"`
}

func (idempotencyRow) TableName() string { return "idempotency_records" }

// IdempotencyRecord returns the record of a key, or nil where there is none or it is too old.
func (tx *Tx) IdempotencyRecord(key string) (*IdempotencyRecord, error) {
	row, err := find[idempotencyRow](tx.db.Where("key = ? AND created_at >= ?", key, tx.oldest()))
	if row == nil || err != nil {
		return nil, wrapped(err, "looking for an idempotency record")
	}
	r := &IdempotencyRecord{
		Sender: row.Sender, Status: row.Status, ContentType: row.ContentType, ETag: row.ETag,
		Location: row.Location, Body: row.Body,
		CreatedAt: timeOf(row.CreatedAt),
	}
	if copy(r.Request[:], row.Digest) != len(r.Request) {
		return nil, fmt.Errorf("the fingerprint stored under %q has %d bytes", key, len(row.Digest))
	}
	return r, nil
}

// AnyIdempotencyRecord says whether there is a record of a key, however old.
func (r *Reads) AnyIdempotencyRecord(key string) (bool, error) {
	n, err := count(r.db.Model(&idempotencyRow{}).Where("key = ?", key))
	return n > 0, wrapped(err, "looking for an idempotency record")
}

// AddIdempotencyRecord stores the record of a key, and deletes those that are too old.
func (tx *Tx) AddIdempotencyRecord(key string, r IdempotencyRecord) error {
	if err := tx.db.Where("created_at < ?", tx.oldest()).Delete(&idempotencyRow{}).Error; err != nil {
		return fmt.Errorf("deleting old idempotency records: %w", err)
	}
	body := r.Body
	if body == nil {
		body = []byte{} // an answer without a body, not an unknown one
	}
	row := idempotencyRow{
		Key: key, Digest: r.Request[:], Sender: r.Sender, Status: r.Status, ContentType: r.ContentType, ETag: r.ETag,
		Location: r.Location,
		Body:     body, CreatedAt: r.CreatedAt.UnixMicro(),
	}
	return wrapped(tx.db.Create(&row).Error, "storing an idempotency record")
}

func (tx *Tx) oldest() int64 { return tx.s.now().Add(-idempotencyRetention).UnixMicro() }
