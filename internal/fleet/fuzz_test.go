package fleet_test

import (
	"errors"
	"math"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// refusedAt lists the places of faults, each of which has to say something.
func refusedAt(t *testing.T, f *fleet.Faults) (places []string) {
	t.Helper()
	if !f.Any() {
		return nil
	}
	var e *fleet.Error
	if !errors.As(f.Err(), &e) || e.Kind != fleet.Invalid {
		t.Fatalf("refused as %#v", f.Err())
	}
	for _, fault := range e.Faults {
		if fault.At == "" || fault.Detail == "" {
			t.Fatalf("a fault that says nothing: %+v", fault)
		}
		places = append(places, fault.At)
	}
	return places
}

// FuzzSlug makes an id of any name: one that is the same when made again, and safe in an address.
func FuzzSlug(f *testing.F) {
	for _, seed := range []string{"Bluestem", "--", "", "é", "e\u0301", "\u0301a", "İ", "ǅ", "ﬁ", "ß", "\u0958", "한글",
		"が",
		"á'́", "a\u200db", "\xff", "../..", "٣", "ᾼ", "𝔅", "ſ", "a’b"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, name string) {
		slug := fleet.Slug(name)
		if !utf8.ValidString(name) {
			return // no name of anything: the rules refuse it
		}
		if again := fleet.Slug(slug); again != slug {
			t.Fatalf("%q makes %q, and that %q", name, slug, again)
		}
		if !utf8.ValidString(slug) || strings.HasPrefix(slug, "-") || strings.HasSuffix(slug, "-") ||
			strings.Contains(slug, "--") {
			t.Fatalf("%q makes %q", name, slug)
		}
		for _, r := range slug {
			if r != '-' && !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r) {
				t.Fatalf("%q makes %q, with %q in it", name, slug, r)
			}
		}
		if plain, err := url.PathUnescape(url.PathEscape(slug)); err != nil || plain != slug {
			t.Fatalf("%q does not travel: %v", slug, err)
		}
		s := fleet.Sled{Name: name, Gears: []fleet.Gear{{Label: "A"}}}
		if s.Tidy(); !s.Check().Any() {
			// The contract lets an id be 120 characters long.
			if id := fleet.Slug(s.Name); id == "" || utf8.RuneCountInString(id) > 120 {
				t.Fatalf("%q is taken for a name, and makes the id %q", s.Name, id)
			}
		}
	})
}

// FuzzDate takes any text for a date.
func FuzzDate(f *testing.F) {
	for _, seed := range []string{"2026-05-09", "2026-02-30", "1899-12-31", "1900-01-01", "2026-07-19", "2026-07-20",
		"2026-7-1", " 2026-07-01\t", "２０２６-07-01", "2026-07-01T00:00", "0000-00-00", "", "9999-12-31"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, date string) {
		r := fleet.Reading{Gear: "A", DistanceFt: 262, MeasuredOn: date, Day: "a day"}
		r.Tidy()
		places := refusedAt(t, r.Check(today))
		if len(places) > 0 {
			if places[0] != "measured_on" {
				t.Fatalf("%q is refused at %v", date, places)
			}
			return
		}
		on, err := time.Parse(time.DateOnly, r.MeasuredOn)
		if err != nil || on.Format(time.DateOnly) != r.MeasuredOn || on.Year() < 1900 ||
			on.After(today.AddDate(0, 0, 1)) {
			t.Fatalf("%q was taken for the date %s", date, on)
		}
	})
}

// FuzzReading takes any numbers and texts for a reading.
func FuzzReading(f *testing.F) {
	f.Add("topped-out", 262.0, 0.0, 0.0, 0.0, "A", "note")
	f.Add("stopped-short", 100.0, 4.0, 20.0, 0.0, "=A", "a\nb")
	f.Add("stated", 5e-324, 199.0, math.Inf(1), 8.0, "\u202e", "\x00")
	f.Add("past-top", math.NaN(), -1.0, 0.0, math.NaN(), strings.Repeat("é", 21), "\xff")
	f.Fuzz(func(t *testing.T, ended string, distance, start, end, off float64, text, note string) {
		travel := 34.5
		sled := fleet.Sled{Name: "Brome", TravelFt: &travel, TakeUpFt: 1, Gears: []fleet.Gear{{Label: "A"}}}
		r := fleet.Reading{Gear: "A", DistanceFt: distance, StartFt: start, MeasuredOn: "2026-05-09",
			Ended: fleet.Ended(ended), Place: text, By: text, Note: note}
		if end != 0 {
			r.EndFt = &end
		}
		if off != 0 {
			r.PlusMinusFt = &off
		}
		r.Tidy()
		tidied := r
		if tidied.Tidy(); tidied.Place != r.Place || tidied.Note != r.Note || tidied.Day != r.Day ||
			tidied.Ended != r.Ended {
			t.Fatalf("%+v tidied is %+v", r, tidied)
		}
		if len(refusedAt(t, r.CheckOn(sled, today))) > 0 {
			return
		}
		ends := []fleet.Ended{fleet.ToppedOut, fleet.StoppedShort, fleet.PastTop, fleet.Stated}
		switch {
		case !(r.DistanceFt > 1 && r.DistanceFt <= fleet.MaxDistanceFt), !(r.StartFt >= 0 && r.StartFt < travel),
			!slices.Contains(ends, r.Ended),
			(r.EndFt != nil) != (r.Ended == fleet.StoppedShort),
			r.EndFt != nil && !(*r.EndFt > r.StartFt && *r.EndFt < travel),
			(r.PlusMinusFt != nil) != (r.Ended == fleet.Stated), r.PlusMinusFt != nil &&
				!(*r.PlusMinusFt > 0 && *r.PlusMinusFt <= fleet.MaxDistanceFt),
			!utf8.ValidString(r.Place + r.Note + r.By), strings.ContainsRune(r.Note, 0),
			strings.ContainsFunc(r.Place+r.By, unicode.IsControl):
			t.Fatalf("%+v was taken", r)
		}
	})
}

// FuzzSled takes any texts and numbers for a sled.
func FuzzSled(f *testing.F) {
	f.Add("Bluestem", "A", "B", "low", 34.5, 0.0, 1.3)
	f.Add("\u0301", "a", "A", "", math.NaN(), 51.0, math.Inf(1))
	f.Add(" <b> ", "K", "K", "\x00", 3.0, 5e-324, 5e-324)
	f.Fuzz(func(t *testing.T, name, one, two, axle string, travel, takeUp, ratio float64) {
		s := fleet.Sled{Name: name, Owner: name, TravelFt: &travel, TakeUpFt: takeUp,
			Gears: []fleet.Gear{{Label: one, Ratio: &ratio, Range: axle}, {Label: two}}}
		s.Driveline.AxleRatios = map[string]float64{"low": ratio}
		s.Tidy()
		if len(refusedAt(t, s.Check())) > 0 {
			return
		}
		first, second := s.Gears[0].Label, s.Gears[1].Label
		folded := [2]string{strings.ToLower(first), strings.ToLower(second)}
		switch {
		case fleet.Slug(s.Name) == "", first == "", second == "", folded[0] == folded[1],
			utf8.RuneCountInString(first) > fleet.MaxLabelLength,
			!(travel >= fleet.MinTravelFt && travel <= fleet.MaxTravelFt),
			!(takeUp >= 0 && takeUp <= fleet.MaxTakeUpFt),
			!(ratio > 0 && ratio <= 1000),
			strings.ContainsFunc(s.Name+s.Owner+first+second, unicode.IsControl),
			axle != "" && s.Gears[0].Range != "" && s.Gears[0].Range != "low":
			t.Fatalf("%+v was taken", s)
		}
		if _, _, ok := s.GearByLabel(s.Gears[1].Label); !ok {
			t.Fatalf("gear %q is not found by its own label", s.Gears[1].Label)
		}
	})
}
