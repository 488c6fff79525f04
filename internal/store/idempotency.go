package store

import (
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
)

// idempotencyRetention is how long an idempotency record is stored.
const idempotencyRetention = 30 * 24 * time.Hour

// IdempotencyRecord is the first answer to a request that carried an idempotency key.
type IdempotencyRecord struct {
	Digest                      []byte // fingerprint of what was asked
	Status                      int
	ContentType, ETag, Location string
	Body                        []byte
	CreatedAt                   time.Time
}

type idempotencyRow struct {
	Key         string `gorm:"primaryKey"`
	Digest      []byte
	Status      int
	ContentType string
	ETag        string `gorm:"column:etag"`
	Location    string
	Body        []byte
	CreatedAt   int64 `gorm:"autoCreateTime:false"`
}

func (idempotencyRow) TableName() string { return "idempotency_records" }

// IdempotencyRecord returns the record of a key, or nil where there is none or it has expired.
func (tx *Tx) IdempotencyRecord(key string) (*IdempotencyRecord, error) {
	var row idempotencyRow
	err := tx.db.Take(&row, "key = ? AND created_at >= ?", key, tx.oldest()).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for a kept answer: %w", err)
	}
	return &IdempotencyRecord{
		Digest: row.Digest, Status: row.Status, ContentType: row.ContentType, ETag: row.ETag, Location: row.Location,
		Body: row.Body, CreatedAt: timeOf(row.CreatedAt),
	}, nil
}

// AddIdempotencyRecord stores the first answer under a key, and deletes expired records.
func (tx *Tx) AddIdempotencyRecord(key string, a IdempotencyRecord) error {
	if err := tx.db.Where("created_at < ?", tx.oldest()).Delete(&idempotencyRow{}).Error; err != nil {
		return fmt.Errorf("dropping old answers: %w", err)
	}
	body := a.Body
	if body == nil {
		body = []byte{} // an answer without a body, not an unknown one
	}
	row := idempotencyRow{
		Key: key, Digest: a.Digest, Status: a.Status, ContentType: a.ContentType, ETag: a.ETag, Location: a.Location,
		Body: body, CreatedAt: a.CreatedAt.UnixMicro(),
	}
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("keeping an answer: %w", err)
	}
	return nil
}

func (tx *Tx) oldest() int64 { return tx.s.now().Add(-idempotencyRetention).UnixMicro() }
