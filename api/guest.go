package main

import (
	"slices"
	"strings"
	"time"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// encodeGuest says whose a sled is, nil of one's own.
func encodeGuest(name string, g *fleet.Guest) *openapi.Guest {
	if g == nil {
		return nil
	}
	return &openapi.Guest{Owner: g.Owner, AsOf: g.AsOf.Format(time.DateOnly), Detail: words.Guest(name, g)}
}

// encodeGuests are those of some sleds that are guests.
func encodeGuests(sleds []fleet.Sled) map[string]openapi.Guest {
	found := map[string]openapi.Guest{}
	for _, s := range sleds {
		if g := encodeGuest(s.Name, s.Guest); g != nil {
			found[s.ID] = *g
		}
	}
	return found
}

// guestsOf are the sentences of those of two sleds that are guests.
func guestsOf(found book.Equivalents, asked, on string) (said []string) {
	for i, id := range []string{asked, on} {
		if g := found.Guests[id]; g != nil && (i == 0 || id != asked) {
			said = append(said, words.Guest(found.Names[id], g))
		}
	}
	return said
}

// cautionCell is the last cell of every row of an answer as CSV: what it compares, and whose those of its sleds are
// that are guests.
func cautionCell(standing string, sleds ...fleet.Sled) string {
	said := []string{standing}
	for _, s := range sleds {
		if s.Guest != nil {
			said = append(said, spreadsheet.TextWithin(words.Guest(s.Name, s.Guest)))
		}
	}
	return strings.Join(slices.Compact(said), " ")
}

// guests says whether sleds of other crews count.
func guests[T ~string](asked *T) book.Guests { return book.Guests(valueOr(asked, "")) }

func encodeOwnReadings(own []book.OwnReading, units fleet.Units) []openapi.OwnReading {
	return mapSlice(own, func(r book.OwnReading) openapi.OwnReading {
		out := openapi.OwnReading{
			Reading: r.ID, Gear: r.Gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt, MeasuredOn: r.MeasuredOn,
			Fits:   r.Fits,
			Detail: "The owner's chart says nothing of this pull.",
		}
		if e := r.Expected; e != nil {
			out.ExpectedFt, out.LowFt, out.HighFt = &e.TonightFt, &e.TonightLowFt, &e.TonightHighFt
			out.Detail = words.OwnReading(r.DistanceFt, e.TonightFt, e.TonightLowFt, e.TonightHighFt, r.Fits, units)
		}
		return out
	})
}
