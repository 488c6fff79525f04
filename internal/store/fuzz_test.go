package store

import (
	"errors"
	"testing"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// FuzzCursor takes any text for the cursor of every list: it is refused by name, or it is one that was handed out for
// just that place.
func FuzzCursor(f *testing.F) {
	for _, seed := range []string{
		"", "x", "%%%", encodeCursor(sledCursor, "bluestem"), encodeCursor(classCursor, "тимофеевка"),
		encodeCursor(readingCursor, "2026-05-09:12"), encodeCursor(showCursor, "2026-07-18:harvest"),
		encodeCursor(readingCursor, "2026-05-09:+12"), encodeCursor(readingCursor, "2026-05-09:012"),
		encodeCursor(readingCursor, "2026-05-09:1:2"), encodeCursor(showCursor, "2026-07-18:a:b"),
		encodeCursor(sledCursor, "a\x00b"), encodeCursor(sledCursor, "\xff"),
		encodeCursor(readingCursor, "2026-02-30:1"),
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, cursor string) {
		taken := 0
		same := func(again string, err error) {
			var e *fleet.Error
			switch {
			case err == nil && again != cursor:
				t.Fatalf("%q is taken for the place of %q", cursor, again)
			case err == nil:
				taken++
			case !errors.As(err, &e) || e.Kind != fleet.Invalid || len(e.Faults) != 1 || e.Faults[0].At != "after":
				t.Fatalf("%q is refused as %#v", cursor, err)
			}
		}
		for _, kind := range []string{sledCursor, classCursor} {
			id, err := decodeCursor(kind, cursor)
			if same(encodeCursor(kind, id), err); err == nil && (id == "" || !utf8.ValidString(id)) {
				t.Fatalf("%q names %q", cursor, id)
			}
		}
		for _, kind := range []string{readingCursor, weighingCursor} {
			on, seq, err := decodeDatedCursor(kind, cursor)
			same(encodeCursor(kind, datedPosition(on, seq)), err)
		}
		date, id, err := decodeDated(showCursor, cursor)
		same(encodeCursor(showCursor, date+":"+id), err)
		if taken > 1 {
			t.Fatalf("%q is taken for %d lists", cursor, taken)
		}
	})
}
