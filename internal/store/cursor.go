package store

import (
	"encoding/base64"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// A cursor names the last item of a part of a list, so that writes between two requests neither repeat nor hide another
// item. Its form may change; only cursors that were returned are accepted.

const (
	sledCursor     = "sled:"
	readingCursor  = "reading:"
	weighingCursor = "weighing:"
	classCursor    = "class:"
	showCursor     = "show:"
)

func encodeCursor(kind, position string) string {
	return base64.RawURLEncoding.EncodeToString([]byte(kind + position))
}

func decodeCursor(kind, cursor string) (string, error) {
	text, err := base64.RawURLEncoding.Strict().DecodeString(cursor)
	position, ok := strings.CutPrefix(string(text), kind)
	if err != nil || !ok || position == "" || !utf8.ValidString(position) || strings.ContainsRune(position, 0) {
		return "", badCursor()
	}
	return position, nil
}

// decodeSeqCursor decodes the cursor of a list in the order of writing.
func decodeSeqCursor(kind, cursor string) (int64, error) {
	position, err := decodeCursor(kind, cursor)
	if err != nil {
		return 0, err
	}
	seq, err := strconv.ParseInt(position, 10, 64)
	if err != nil || seq <= 0 {
		return 0, badCursor()
	}
	return seq, nil
}

func seqPosition(seq int64) string { return strconv.FormatInt(seq, 10) }

// datedPosition is a place in a list in the order of dates, then of writing.
func datedPosition(on string, seq int64) string { return on + ":" + seqPosition(seq) }

func decodeDatedCursor(kind, cursor string) (on string, seq int64, err error) {
	on, number, err := decodeDated(kind, cursor)
	if err != nil {
		return "", 0, err
	}
	if seq, err = strconv.ParseInt(number, 10, 64); err != nil || seq <= 0 || seqPosition(seq) != number {
		return "", 0, badCursor()
	}
	return on, seq, nil
}

// decodeDated decodes the cursor of a list in the order of dates, then of something else.
func decodeDated(kind, cursor string) (on, then string, err error) {
	position, err := decodeCursor(kind, cursor)
	if err != nil {
		return "", "", err
	}
	on, then, _ = strings.Cut(position, ":")
	if _, err := time.Parse(time.DateOnly, on); err != nil || then == "" {
		return "", "", badCursor()
	}
	return on, then, nil
}

func badCursor() error {
	var f fleet.Faults
	f.Add("after", "is not the next of a part of this list; leave it out to begin at the first part")
	return f.Err()
}

// order is the direction of a list by date.
type order int

const (
	newestFirst order = iota
	oldestFirst
)

// datedPart narrows a query to the part of a list in the order of a date column, then of writing, that follows a
// cursor.
func datedPart(query *gorm.DB, kind, column, after string, in order) (*gorm.DB, error) {
	direction, beyond := " DESC", "<"
	if in == oldestFirst {
		direction, beyond = "", ">"
	}
	query = query.Order(column + direction + ", seq" + direction)
	if after == "" {
		return query, nil
	}
	on, seq, err := decodeDatedCursor(kind, after)
	if err != nil {
		return nil, err
	}
	return query.Where("("+column+", seq) "+beyond+" (?, ?)", on, seq), nil
}
