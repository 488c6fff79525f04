package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// entryOf is entry number n, a second after the one before.
func entryOf(n int, who string, sleds ...string) fleet.Entry {
	return fleet.Entry{
		At: noon.Add(time.Duration(n) * time.Second), KeyID: "key-of-" + who, Who: who, Role: fleet.Operator,
		Act: fleet.ActChanged, Kind: fleet.OfSled,
		Subject: fmt.Sprint("s", n), Sleds: sleds, Before: json.RawMessage(`{"n": 1}`),
		After: json.RawMessage(fmt.Sprintf(`{"n":%d, "<":"é"}`, n)),
	}
}

// wholeHistory reads every page and lists the entries newest first.
func wholeHistory(t *testing.T, s *Store, sled, who string, limit int) (entries []fleet.Entry) {
	t.Helper()
	for after := ""; ; {
		read(t, s, func(r *Reads) error {
			page, next, err := r.History(sled, who, after, limit)
			assert.LessOrEqual(t, len(page), limit)
			entries, after = append(entries, page...), next
			return err
		})
		if after == "" {
			return entries
		}
	}
}

func TestHistory_IsReadNewestFirstBySledAndByPerson(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	bare := fleet.Entry{At: noon, Who: "Ann", Role: fleet.Manager, Act: fleet.ActAdded, Kind: fleet.OfKey,
		Subject: "k1"}
	all := []fleet.Entry{
		bare, entryOf(1, "Ann", "bluestem"), entryOf(2, "Bo", "fescue"), entryOf(3, "Bo", "bluestem", "fescue"),
		entryOf(4, "Ann", "fescue"), entryOf(5, "Ann", "bluestem", "fescue"), entryOf(6, "Bo"),
	}
	for some := range slices.Chunk(all, 3) {
		write(t, s, func(tx *Tx) error { return tx.Record(some...) })
	}
	slices.Reverse(all)
	for _, c := range []struct {
		sled, who string
		want      func(e fleet.Entry) bool
	}{
		{"", "", func(fleet.Entry) bool { return true }},
		{"bluestem", "", func(e fleet.Entry) bool { return slices.Contains(e.Sleds, "bluestem") }},
		{"", "Bo", func(e fleet.Entry) bool { return e.Who == "Bo" }},
		{"fescue", "Ann", func(e fleet.Entry) bool { return slices.Contains(e.Sleds, "fescue") && e.Who == "Ann" }},
		{"brome", "", func(fleet.Entry) bool { return false }},
		{"", "bo", func(fleet.Entry) bool { return false }},
	} {
		want := slices.DeleteFunc(slices.Clone(all), func(e fleet.Entry) bool { return !c.want(e) })
		for _, limit := range []int{1, 2, 3, 7, 100} {
			got := wholeHistory(t, s, c.sled, c.who, limit)
			assert.Equal(t, want, slices.Clip(append([]fleet.Entry{}, got...)), "sled %q, who %q, %d a page", c.sled,
				c.who, limit)
		}
	}
	read(t, s, func(r *Reads) error {
		found, err := r.AnyHistory("bluestem")
		assert.True(t, found)
		require.NoError(t, err)
		found, err = r.AnyHistory("brome")
		assert.False(t, found)
		return err
	})
}

func TestHistory_IsListedWholeDuringWrites(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	for n := range 4 {
		write(t, s, func(tx *Tx) error { return tx.Record(entryOf(n, "Ann")) })
	}
	var next string
	read(t, s, func(r *Reads) (err error) { _, next, err = r.History("", "", "", 2); return err })
	write(t, s, func(tx *Tx) error { return tx.Record(entryOf(9, "Ann")) })
	read(t, s, func(r *Reads) error {
		page, next, err := r.History("", "", next, 2)
		assert.Empty(t, next)
		assert.Equal(t, []fleet.Entry{entryOf(1, "Ann"), entryOf(0, "Ann")}, page)
		return err
	})
}

// More than one statement takes at once; each keeps its own sleds.
func TestHistory_RecordsManyEntriesInTheirOrder(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	all := make([]fleet.Entry, 2*chunk+7)
	for n := range all {
		all[n] = entryOf(n, "Ann", fmt.Sprintf("a%04d", n), fmt.Sprintf("b%04d", n))
	}
	all[3].Sleds = make([]string, 2*chunk+1)
	for i := range all[3].Sleds {
		all[3].Sleds[i] = fmt.Sprintf("c%04d", i)
	}
	write(t, s, func(tx *Tx) error { return tx.Record(all...) })
	slices.Reverse(all)
	assert.Equal(t, all, wholeHistory(t, s, "", "", 400))
	assert.Equal(t, []fleet.Entry{all[len(all)-1-40]}, wholeHistory(t, s, "b0040", "", 400))
}

func TestHistory_SortsTheSledsOfAnEntryAndNamesEachOnce(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	e := entryOf(1, "Ann", "fescue", "bluestem", "fescue")
	write(t, s, func(tx *Tx) error { return tx.Record(e) })
	assert.Equal(t, []string{"fescue", "bluestem", "fescue"}, e.Sleds, "the caller's own list")
	assert.Equal(t, []string{"bluestem", "fescue"}, wholeHistory(t, s, "", "", 1)[0].Sleds)
}

func TestHistory_ListOfLongEntriesEndsEarly(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	long := entryOf(0, "Ann")
	long.After = json.RawMessage(`"` + strings.Repeat("x", pageBytes/2) + `"`)
	write(t, s, func(tx *Tx) error { return tx.Record(long, long, long, entryOf(1, "Ann")) })
	read(t, s, func(r *Reads) error {
		page, next, err := r.History("", "", "", 100)
		assert.Len(t, page, 3)
		assert.NotEmpty(t, next)
		return err
	})
	assert.Len(t, wholeHistory(t, s, "", "", 100), 4)
}

func TestHistory_RefusesACursorOfAnotherList(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	for _, cursor := range []string{"x", "%%%", encodeCursor(sledCursor, "5"), encodeCursor(historyCursor, ""),
		encodeCursor(historyCursor, "0"), encodeCursor(historyCursor, "-3"), encodeCursor(historyCursor, "1x"),
		encodeCursor(historyCursor, "9223372036854775808")} {
		err := s.Read(context.Background(), func(r *Reads) error {
			_, _, err := r.History("", "", cursor, 3)
			return err
		})
		assertFaultAt(t, err, "after")
	}
}

func TestHistory_HoldsNothingOfAWriteThatFails(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	stop := errors.New("stop")
	assert.ErrorIs(t, s.Write(context.Background(), func(tx *Tx) error {
		require.NoError(t, tx.Record(entryOf(1, "Ann", "bluestem")))
		return stop
	}), stop)
	assert.Empty(t, wholeHistory(t, s, "", "", 10))
	assert.Empty(t, wholeHistory(t, s, "bluestem", "", 10))
}

// The database itself refuses, whatever statement comes.
func TestHistory_IsOnlyAddedTo(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	want := []fleet.Entry{entryOf(2, "Ann", "fescue"), entryOf(1, "Ann", "bluestem")}
	write(t, s, func(tx *Tx) error { return tx.Record(want[1], want[0]) })
	statements := []string{
		"UPDATE history SET who = 'Bo'",
		"UPDATE history SET after = NULL WHERE seq = 1",
		"DELETE FROM history",
		"DELETE FROM history WHERE seq = 2",
		"UPDATE history_sleds SET sled_id = 'brome'",
		"DELETE FROM history_sleds",
		"INSERT INTO history VALUES (1, 0, '', 'Bo', '', '', '', '', NULL, NULL)",
		"INSERT INTO history VALUES (1, 0, '', 'Bo', '', '', '', '', NULL, NULL) ON CONFLICT (seq) DO UPDATE " +
			"SET who = 'Bo'",
	}
	switch s.writer.Name() {
	case "sqlite":
		statements = append(statements,
			"INSERT OR REPLACE INTO history VALUES (1, 0, '', 'Bo', '', '', '', '', NULL, NULL)",
			"REPLACE INTO history (seq, at, key_id, who, role, act, kind, subject) VALUES ('2', 0, '', 'Bo', '', "+
				"'', '', '')",
			"UPDATE OR REPLACE history SET seq = 1 WHERE seq = 2",
			"INSERT INTO history VALUES (-1, 0, '', 'Bo', '', '', '', '', NULL, NULL)")
	default:
		statements = append(statements, "TRUNCATE history, history_sleds", "TRUNCATE history_sleds")
	}
	for _, statement := range statements {
		assert.Error(t, s.writer.Exec(statement).Error, statement)
		assert.Equal(t, want, wholeHistory(t, s, "", "", 10), statement)
	}
	write(t, s, func(tx *Tx) error { return tx.Record(entryOf(3, "Ann")) })
	assert.Len(t, wholeHistory(t, s, "", "", 10), 3, "and is added to")
}

func BenchmarkHistory(b *testing.B) {
	s := openNew(b)
	all := make([]fleet.Entry, 100_000)
	for n := range all {
		all[n] = entryOf(n, fmt.Sprint("person-", n%10), fmt.Sprint("sled-", n%400))
	}
	write(b, s, func(tx *Tx) error { return tx.Record(all...) })
	for name, filter := range map[string][2]string{"all": {}, "one sled": {"sled-7", ""},
		"one person": {"", "person-3"}, "both": {"sled-7", "person-7"}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				read(b, s, func(r *Reads) error { _, _, err := r.History(filter[0], filter[1], "", 100); return err })
			}
		})
	}
}
