package fleet

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"
)

// Entry is one write in the history: who did what to what, and what it was before and after. Each thing that a write
// changed has one entry, except many readings at once and the demo as a whole. So the state before equals the state
// after in the previous entry on the same kind and subject. The labels of gears in it are those of its day: a new label
// is an entry of the sled alone.
type Entry struct {
	At      time.Time       `json:"at"`            // the same for all that one write did
	KeyID   string          `json:"key,omitempty"` // "" where it was no key of the database
	Who     string          `json:"who"`           // the key's name as it was then
	Role    Role            `json:"role"`
	Act     string          `json:"act"`              // one of those below
	Kind    string          `json:"kind"`             // one of those below
	Subject string          `json:"subject"`          // the id of what was written, "" of many readings at once
	Sleds   []string        `json:"sleds,omitempty"`  // that it is about, ascending
	Before  json.RawMessage `json:"before,omitempty"` // nil where there was nothing
	After   json.RawMessage `json:"after,omitempty"`  // nil where there is nothing
}

// What can be done to something.
const (
	ActAdded       = "added"
	ActChanged     = "changed"
	ActRemoved     = "removed"
	ActSetAside    = "set aside"    // a reading or a weighing, or all that came with one request
	ActBroughtBack = "brought back" // what was set aside, a sled that was retired
	ActConfirmed   = "confirmed"    // a reading: it counts though it stands out
	ActUnconfirmed = "no longer confirmed"
	ActRetired     = "retired"      // a sled
	ActRenewed     = "renewed"      // a class: it now stands for what the charts say today
	ActClosed      = "closed"       // a show's sheet: stored as it stands
	ActOpenedAgain = "opened again" // a show's sheet: the stored one is deleted
	ActEnded       = "ended"        // a key
	ActImported    = "imported"     // a fleet that came from elsewhere
)

// What something can be done to, and what before and after hold.
const (
	OfSled    = "sled"    // Sled, as it is with every change of parts put in
	OfReading = "reading" // Reading
	// many at once, under the id of their batch: how many, how many of each sled, and which others they touched
	OfReadings = "readings"
	OfWeighing = "weighing" // Weighing
	// many at once: how many, and how many of each sled
	OfWeighings = "weighings"
	OfChange    = "change"  // Change
	OfClass     = "class"   // Class
	OfShow      = "show"    // Show
	OfSheet     = "sheet"   // the closed sheet of the show that is the subject: its format and its document
	OfAsRun     = "as-run"  // AsRun
	OfOutcome   = "outcome" // Outcome; the subject is SHOW/CLASS
	OfKey       = "key"     // Key
	OfFleet     = "fleet"   // how much came in
	OfDemo      = "demo"    // the invented fleet as a whole
)

// kindsOfHistory says what can be done to each kind, and what a document of it is read into: nil where it counts
// something, in a form of its own.
var kindsOfHistory = map[string]struct {
	acts     []string
	document func() any
}{
	OfSled: {[]string{ActAdded, ActChanged, ActRetired, ActBroughtBack, ActRemoved}, func() any { return new(Sled) }},
	// One that is changed is a guest's, by a newer document of its owner; so is a weighing.
	OfReading: {[]string{ActAdded, ActChanged, ActSetAside, ActBroughtBack, ActConfirmed, ActUnconfirmed},
		func() any { return new(Reading) }},
	OfReadings: {[]string{ActAdded, ActSetAside, ActBroughtBack}, nil},
	OfWeighing: {[]string{ActAdded, ActChanged, ActSetAside, ActBroughtBack},
		func() any { return new(Weighing) }},
	OfWeighings:      {[]string{ActAdded}, nil},
	OfChange:         {[]string{ActAdded, ActChanged, ActRemoved}, func() any { return new(Change) }},
	OfClass:          {[]string{ActAdded, ActChanged, ActRenewed, ActRemoved}, func() any { return new(Class) }},
	OfShow:           {[]string{ActAdded, ActChanged, ActRemoved}, func() any { return new(Show) }},
	OfSheet:          {[]string{ActClosed, ActOpenedAgain, ActRemoved}, func() any { return new(ClosedSheet) }},
	OfAsRun:          {[]string{ActAdded, ActRemoved}, func() any { return new(AsRun) }},
	OfOutcome:        {[]string{ActAdded, ActChanged, ActRemoved}, func() any { return new(Outcome) }},
	OfKey:            {[]string{ActAdded, ActEnded}, func() any { return new(Key) }},
	OfInspectionList: {[]string{ActAdded, ActChanged, ActRemoved}, func() any { return new(InspectionList) }},
	OfInspection:     {[]string{ActAdded, ActRemoved}, func() any { return new(Inspection) }},
	OfFleet:          {[]string{ActImported}, nil},
	OfDemo:           {[]string{ActAdded, ActRemoved}, nil},
}

// Document is what the states before and after of a kind are read into, nil where they count something in a form of
// their own.
func (e Entry) Document() any {
	if of := kindsOfHistory[e.Kind].document; of != nil {
		return of()
	}
	return nil
}

// Check reports everything that the program would not have written so: who, what was done to what, and whether there is
// a state before and one after.
func (e Entry) Check() *Faults {
	f := new(Faults)
	checkLine(f, "who", e.Who, 1, MaxNameLength)
	if !e.Role.known() {
		f.Add("role", "must be manager, operator or promoter, not %s", Quoted(string(e.Role)))
	}
	kind, known := kindsOfHistory[e.Kind]
	switch {
	case !known:
		f.Add("kind", "must be one of %s, not %s", strings.Join(slices.Sorted(maps.Keys(kindsOfHistory)), ", "),
			Quoted(e.Kind))
		return f
	case !slices.Contains(kind.acts, e.Act):
		f.Add("act", "what is done to a %s is one of %s, not %s", e.Kind, strings.Join(kind.acts, ", "), Quoted(e.Act))
		return f
	}
	if e.Subject == "" && !slices.Contains([]string{OfReadings, OfWeighings, OfFleet, OfDemo}, e.Kind) {
		f.Add("subject", "must be the id of the %s", e.Kind)
	}
	begins := e.Kind == OfDemo || e.Act == ActAdded || e.Act == ActImported || e.Act == ActClosed
	ends := e.Kind == OfDemo || e.Act == ActRemoved || e.Act == ActOpenedAgain
	checkState(f, "before", e.Before, !begins)
	checkState(f, "after", e.After, !ends)
	return f
}

// checkState checks whether there is a state exactly where one belongs.
func checkState(f *Faults, at string, state json.RawMessage, belongs bool) {
	there := len(state) > 0 && string(state) != "null"
	switch {
	case there && !belongs:
		f.Add(at, "must not be there: nothing is of that time")
	case !there && belongs:
		f.Add(at, "is missing")
	}
}
