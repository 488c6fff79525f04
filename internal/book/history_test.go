package book

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// historyOf lists the whole history, oldest first.
func historyOf(t require.TestingT, b *Book) (entries []fleet.Entry) {
	for after := ""; ; {
		page, next, err := b.History(context.Background(), "", "", after, 50)
		require.NoError(t, err)
		entries = append(entries, page...)
		if after = next; after == "" {
			slices.Reverse(entries)
			return entries
		}
	}
}

var randomID = regexp.MustCompile(`\b[a-z2-7]{16}\b`)

// told says entries in words, random ids as *.
func told(entries []fleet.Entry) []string {
	words := []string{}
	for _, e := range entries {
		words = append(words, randomID.ReplaceAllString(fmt.Sprintf("%s: %s %s %s %v", e.Who, e.Kind, e.Subject, e.Act,
			e.Sleds), "*"))
	}
	return words
}

// historian is who writes in the tests of the history, with a key of the database.
func historian(t testing.TB, b *Book) (who fleet.Actor) {
	t.Helper()
	write(t, b, func(w *Writer) error {
		key, _, err := w.AddKey("Ann", fleet.Manager)
		who = actorOf(key)
		return err
	})
	return who
}

func TestHistory_HasOneEntryForABulkWrite(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	old := addReading(t, b, "bluestem", readingOf("A", 0, 200))
	readings := manyReadings(2*batchSize + 11)
	readings[0].Replaces, readings[2].Replaces = old.ID, old.ID
	n := len(historyOf(t, b))
	write(t, b, func(w *Writer) error { _, err := w.AddReadings(rowsOf(readings), Request{}); return err })
	entries := historyOf(t, b)[n:]
	require.Len(t, entries, 1)
	assert.JSONEq(t, fmt.Sprintf(`{"rows": 4011, "sleds": {"bluestem": 2006, "fescue": 2005}, "set_aside": [%q]}`,
		old.ID), string(entries[0].After))
	about, _, err := b.History(context.Background(), "fescue", "", "", 1)
	require.NoError(t, err)
	assert.Equal(t, entries, about)
}

// A show that is over by its date is closed by the program, whoever's write comes then; it is his no more than the
// clock is.
func TestHistory_SaysThatTheProgramClosedAShow(t *testing.T) {
	t.Parallel()
	b, clock, of := openWritten(t)
	ann := historian(t, b)
	n := len(historyOf(t, b))
	clock.now = time.Date(2026, 7, 19, 12, 0, 0, 0, time.UTC)
	require.NoError(t, b.Write(context.Background(), ann, func(w *Writer) error {
		return setAside(func(of ids) string { return of.reading }, "slipped")(w, of)
	}))
	left := historyOf(t, b)[n:]
	require.Equal(t, []string{"the program itself: sheet harvest-pull-2026-07-18 closed [fescue]",
		"Ann: reading * set aside [fescue]"}, told(left))
	assert.Empty(t, left[0].KeyID)
	var sheet fleet.ClosedSheet
	require.NoError(t, json.Unmarshal(left[0].After, &sheet))
	assert.Equal(t, closedSheetFormat, sheet.Format)
	assert.Contains(t, string(sheet.Document), "super-stock")
}

func TestHistory_AWriteWithoutItsEntryIsRolledBack(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	err := b.Write(context.Background(), manager, func(w *Writer) error {
		_, err := w.AddSled(sledOf("Bluestem", nil, "A"))
		require.NoError(t, err)
		_ = w.record(fleet.ActAdded, fleet.OfSled, "x", nil, nil, math.NaN()) // no JSON says it
		return nil
	})
	assert.ErrorContains(t, err, "history")
	_, err = b.Sled(context.Background(), "bluestem")
	assert.True(t, isKind(err, fleet.NotFound))
	assert.Empty(t, historyOf(t, b))
}

func TestHistory_OfASledOutlivesIt(t *testing.T) {
	t.Parallel()
	b, _, of := openWritten(t)
	ctx := context.Background()
	write(t, b, func(w *Writer) error { return removeSled("sedge")(w, of) })
	entries, next, err := b.History(ctx, "sedge", "", "", 2)
	require.NoError(t, err)
	assert.Equal(t, []string{"the manager: sled sedge removed [sedge]", "the manager: change * removed [sedge]"},
		told(entries))
	assert.NotEmpty(t, next)
	_, _, err = b.History(ctx, "meadow", "", "", 10)
	assert.True(t, isKind(err, fleet.NotFound))
	_, _, err = b.History(ctx, "", "", "made-up", 10)
	assert.True(t, isKind(err, fleet.Invalid))
	entries, _, err = b.History(ctx, "", "nobody", "", 10)
	require.NoError(t, err)
	assert.Empty(t, entries)
	entries, _, err = b.History(ctx, "brome", " the manager ", "", 10)
	require.NoError(t, err)
	assert.Equal(t, []string{"the manager: reading * added [brome]", "the manager: sled brome added [brome]"},
		told(entries))
}
