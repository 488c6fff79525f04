package store

import (
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
)

// answersLast is how long the first answer to a request is kept to be given again.
const answersLast = 30 * 24 * time.Hour

// Answer is the first answer to a request that carried an idempotency key.
type Answer struct {
	Request                     []byte // fingerprint of what was asked
	Status                      int
	ContentType, ETag, Location string
	Body                        []byte
	CreatedAt                   time.Time
}

type answerRow struct {
	Key         string `gorm:"primaryKey"`
	Request     []byte
	Status      int
	ContentType string
	ETag        string `gorm:"column:etag"`
	Location    string
	Body        []byte
	CreatedAt   int64 `gorm:"autoCreateTime:false"`
}

func (answerRow) TableName() string { return "answers" }

// Answer returns the answer kept under a key, or nil where there is none or it is too old.
func (tx *Tx) Answer(key string) (*Answer, error) {
	var row answerRow
	err := tx.db.Take(&row, "key = ? AND created_at >= ?", key, tx.oldest()).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for a kept answer: %w", err)
	}
	return &Answer{
		Request: row.Request, Status: row.Status, ContentType: row.ContentType, ETag: row.ETag, Location: row.Location,
		Body: row.Body, CreatedAt: timeOf(row.CreatedAt),
	}, nil
}

// KeepAnswer keeps an answer under a key, and drops those that are too old.
func (tx *Tx) KeepAnswer(key string, a Answer) error {
	if err := tx.db.Where("created_at < ?", tx.oldest()).Delete(&answerRow{}).Error; err != nil {
		return fmt.Errorf("dropping old answers: %w", err)
	}
	body := a.Body
	if body == nil {
		body = []byte{} // an answer without a body, not an unknown one
	}
	row := answerRow{
		Key: key, Request: a.Request, Status: a.Status, ContentType: a.ContentType, ETag: a.ETag, Location: a.Location,
		Body: body, CreatedAt: a.CreatedAt.UnixMicro(),
	}
	if err := tx.db.Create(&row).Error; err != nil {
		return fmt.Errorf("keeping an answer: %w", err)
	}
	return nil
}

func (tx *Tx) oldest() int64 { return tx.s.now().Add(-answersLast).UnixMicro() }
