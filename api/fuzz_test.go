package main

import (
	"bytes"
	"errors"
	"io"
	"reflect"
	"slices"
	"testing"
	"time"
	"unicode/utf8"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/fleet"
)

// FuzzReadingsSheet reads a sheet; what the rules take of it is written out as a list of readings is, and read again.
func FuzzReadingsSheet(f *testing.F) {
	for _, seed := range []string{
		"sled,gear,distance_m,start_m,measured_on,ended,end_m,note\n" +
			"brome,A,80,0.5,2025-05-10,stopped-short,5,\"a\nb\"\n",
		"sled;gear;distance_ft;measured_on\nbrome;A;262;2025-05-10\n",
		"sled\tgear\tdistance_ft\tmeasured_on\nbrome\tA\t262\t2025-05-10\n",
		"\xef\xbb\xbfmeasured_on,distance_ft,gear,sled,day,by,ended,plus_minus_ft\r\n" +
			"2025-05-10,\"262\",'=A,brome,'-1,''x,stated,8\r\n",
		"\xff\xfes\x00l\x00", "sled,gear,distance_ft,distance_m,measured_on\n",
		"sled,gear,distance_ft,measured_on,\nbrome,A,262,2025-05-10,x\n",
		"sled,gear,distance_ft,measured_on,note\nbrome,A,\"2,5\",2025-05-10,\"\"\"\"\nbrome,A,1e2,2025-05-10,\"a\"b\n",
		"sled,gear,distance_ft,measured_on\n\n\n,,,\nbrome,A,262\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, sheet []byte) {
		var taken []fleet.Reading
		in, err := spreadsheet.Open(func() io.Reader { return bytes.NewReader(sheet) }, spreadsheet.Readings(),
			spreadsheet.Options[fleet.Reading]{})
		if err != nil {
			refusedAs(t, err, fleet.Invalid)
			return
		}
		for row := range in.Rows() {
			if row.Faults.Any() {
				refusedAs(t, row.Faults.Err(), fleet.Invalid)
				continue
			}
			if row.Record.Tidy(); !row.Record.Check(time.Now()).Any() {
				taken = append(taken, row.Record)
			}
		}
		sameReadingsAgain(t, taken)
	})
}

// FuzzReading writes out one reading with any text in it and reads it again.
func FuzzReading(f *testing.F) {
	f.Add("=A", "a\r\nb", "'=1", 262.25, 4.5)
	f.Add("A", "a\rb", "\"", 5e-324, 0.0)
	f.Add("3 low", "\ufeff,;\t", "''-x", 20_000.0, 199.999)
	f.Fuzz(func(t *testing.T, gear, note, place string, distance, start float64) {
		r := fleet.Reading{Sled: "brome", Gear: gear, Note: note, Place: place, By: place, DistanceFt: distance,
			StartFt: start, MeasuredOn: "2025-05-10"}
		// a gear is judged with its sled
		if r.Tidy(); !utf8.ValidString(gear) || r.Gear == "" || r.Check(time.Now()).Any() {
			return
		}
		sameReadingsAgain(t, []fleet.Reading{r})
	})
}

// sameReadingsAgain writes readings out and reads them again.
func sameReadingsAgain(t *testing.T, readings []fleet.Reading) {
	t.Helper()
	rows := [][]string{mapSlice(notebookFields(), func(f fleet.Field[fleet.Reading]) string { return f.Name })}
	for _, r := range slices.Backward(readings) {
		rows = append(rows, cells(notebookFields(), &r))
	}
	a := spreadsheet.Encode(rows)
	in, err := spreadsheet.Open(func() io.Reader { return bytes.NewReader(a.Body) }, spreadsheet.Readings(),
		spreadsheet.Options[fleet.Reading]{})
	if err != nil {
		t.Fatalf("%s\n%v", a.Body, err)
	}
	i := len(readings)
	for row := range in.Rows() {
		if i--; row.Faults.Any() || i < 0 {
			t.Fatalf("row %d of\n%q\n%v", row.Number, a.Body, row.Faults.Err())
		}
		row.Record.Tidy()
		readings[i].Replaces = "" // which does not travel
		if !reflect.DeepEqual(readings[i], row.Record) {
			t.Fatalf("%+v\nis read again as\n%+v", readings[i], row.Record)
		}
	}
	if i != 0 {
		t.Fatalf("%d readings are lost from\n%q", i, a.Body)
	}
}

// refusedAs fails unless an error is one of ours, of that kind, in words.
func refusedAs(t *testing.T, err error, kind fleet.Kind) {
	t.Helper()
	var e *fleet.Error
	if !errors.As(err, &e) || e.Kind != kind || e.Detail == "" {
		t.Fatalf("refused as %#v", err)
	}
	for _, fault := range e.Faults {
		if fault.Detail == "" || !utf8.ValidString(fault.Detail) { // the place may be a name as it was sent
			t.Fatalf("a fault that says nothing: %+v", fault)
		}
	}
}
