package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

// historyCursor is the kind of cursor that History hands out; its position is the seq of the last entry.
const historyCursor = "history:"

// pageBytes limits the documents in one part of the history: closed sheets are long.
const pageBytes = 4 << 20

type historyRow struct {
	Seq     int64 `gorm:"primaryKey"`
	At      int64
	KeyID   string
	Who     string
	Role    string
	Act     string
	Kind    string
	Subject string
	Before  *string
	After   *string
}

func (historyRow) TableName() string { return "history" }

type historySledRow struct {
	SledID string `gorm:"primaryKey"`
	Seq    int64  `gorm:"primaryKey;autoIncrement:false"`
}

func (historySledRow) TableName() string { return "history_sleds" }

func historyRowOf(e fleet.Entry) historyRow {
	return historyRow{
		At: e.At.UnixMicro(), KeyID: e.KeyID, Who: e.Who, Role: string(e.Role), Act: e.Act, Kind: e.Kind,
		Subject: e.Subject, Before: document(e.Before), After: document(e.After),
	}
}

func (r historyRow) entry() fleet.Entry {
	e := fleet.Entry{
		At: timeOf(r.At), KeyID: r.KeyID, Who: r.Who, Role: fleet.Role(r.Role), Act: r.Act, Kind: r.Kind,
		Subject: r.Subject,
	}
	if r.Before != nil {
		e.Before = json.RawMessage(*r.Before)
	}
	if r.After != nil {
		e.After = json.RawMessage(*r.After)
	}
	return e
}

func document(of json.RawMessage) *string {
	if of == nil {
		return nil
	}
	text := string(of)
	return &text
}

// NewestEntry is the number of the newest entry and when it was written, zero where there is none. No two writes have
// both in common, not even those on two copies of one database.
func (r *Reads) NewestEntry() (number int64, at time.Time, err error) {
	var row historyRow
	err = r.db.Select("seq", "at").Order("seq DESC").Limit(1).Find(&row).Error
	return row.Seq, timeOf(row.At), wrapped(err, "reading the newest entry of the history")
}

// Record adds entries to the history, in that order. Nothing changes or removes one.
func (tx *Tx) Record(entries ...fleet.Entry) error {
	for some := range slices.Chunk(entries, chunk) {
		rows := mapSlice(some, historyRowOf)
		if err := tx.db.Create(rows).Error; err != nil {
			return fmt.Errorf("writing to the history: %w", err)
		}
		var about []historySledRow
		for i, e := range some {
			sleds := slices.Sorted(slices.Values(e.Sleds))
			for _, id := range slices.Compact(sleds) {
				about = append(about, historySledRow{id, rows[i].Seq})
			}
		}
		if len(about) == 0 {
			continue
		}
		if err := tx.db.CreateInBatches(about, chunk).Error; err != nil {
			return fmt.Errorf("noting the sleds that the history is about: %w", err)
		}
	}
	return nil
}

// History lists the history, newest first, and returns the cursor of the next part, "" at the end. sled and who select
// the entries about a sled and those of a person of that name, "" selects all. A part may hold fewer entries than limit
// where they are long. A cursor of another list is Invalid.
func (r *Reads) History(sled, who, after string, limit int) (entries []fleet.Entry, next string, err error) {
	seq := "history.seq"
	if sled != "" { // in the order of the index by sled
		seq = "history_sleds.seq"
	}
	query := r.db.Model(&historyRow{}).Order(seq + " DESC").Limit(limit + 1)
	if after != "" {
		last, err := decodeSeqCursor(historyCursor, after)
		if err != nil {
			return nil, "", err
		}
		query = query.Where(seq+" < ?", last)
	}
	if sled != "" {
		query = query.Joins("JOIN history_sleds ON history_sleds.seq = history.seq AND history_sleds.sled_id = ?", sled)
	}
	if who != "" {
		query = query.Where("who = ?", who)
	}
	found, err := query.Rows()
	if err != nil {
		return nil, "", fmt.Errorf("reading the history: %w", err)
	}
	defer found.Close()
	var seqs []int64
	for size := 0; found.Next(); {
		if len(seqs) == limit || size >= pageBytes {
			next = encodeCursor(historyCursor, seqPosition(seqs[len(seqs)-1]))
			break
		}
		var row historyRow
		if err := r.db.ScanRows(found, &row); err != nil {
			return nil, "", fmt.Errorf("reading an entry of the history: %w", err)
		}
		e := row.entry()
		size += len(e.Before) + len(e.After)
		seqs, entries = append(seqs, row.Seq), append(entries, e)
	}
	if err := found.Err(); err != nil {
		return nil, "", fmt.Errorf("reading the history: %w", err)
	}
	if err := found.Close(); err != nil {
		return nil, "", fmt.Errorf("reading the history: %w", err)
	}
	return entries, next, r.addSleds(seqs, entries)
}

// addSleds gives entries the sleds that they are about.
func (r *Reads) addSleds(seqs []int64, entries []fleet.Entry) error {
	place := make(map[int64]int, len(seqs))
	for i, seq := range seqs {
		place[seq] = i
	}
	err := eachOf(r.db.Order("seq, sled_id"), "seq", seqs, func(row historySledRow) {
		e := &entries[place[row.Seq]]
		e.Sleds = append(e.Sleds, row.SledID)
	})
	return wrapped(err, "reading the sleds that the history is about")
}

// AnyHistory says whether there is anything in the history about a sled.
func (r *Reads) AnyHistory(sled string) (bool, error) {
	_, found, err := first[int64](r.db.Model(&historySledRow{}).Where("sled_id = ?", sled), "seq")
	return found, wrapped(err, "looking for the history of %s", sled)
}
