package store

import (
	"time"

	"evenpull/internal/fleet"
)

// How values of fleet stand in columns.

// timeOf is a time as stored: microseconds since 1970.
func timeOf(micros int64) time.Time { return time.UnixMicro(micros).UTC() }

// microsOf and momentOf convert times that may be missing.
func microsOf(t *time.Time) *int64 {
	if t == nil {
		return nil
	}
	return new(t.UnixMicro())
}

func momentOf(micros *int64) *time.Time {
	if micros == nil {
		return nil
	}
	return new(timeOf(*micros))
}

// orNull and orEmpty convert texts that are NULL instead of empty.
func orNull(text string) *string {
	if text == "" {
		return nil
	}
	return new(text) // and not &text, which would take memory for an empty one too
}

func orEmpty(text *string) string {
	if text == nil {
		return ""
	}
	return *text
}

// asideColumns say why a reading or a weighing does not count. Both are NULL where it does.
type asideColumns struct {
	Reason *string
	At     *int64
}

func asideColumnsOf(aside *fleet.SetAside) asideColumns {
	if aside == nil {
		return asideColumns{}
	}
	return asideColumns{&aside.Reason, new(aside.At.UnixMicro())}
}

func (c asideColumns) aside() *fleet.SetAside {
	if c.Reason == nil || c.At == nil {
		return nil
	}
	return &fleet.SetAside{Reason: *c.Reason, At: timeOf(*c.At)}
}
