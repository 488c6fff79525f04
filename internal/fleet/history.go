package fleet

import (
	"encoding/json"
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
	ActSetAside    = "set aside"    // a reading, or all that came with one request
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
	OfChange   = "change"  // Change
	OfClass    = "class"   // Class
	OfShow     = "show"    // Show
	OfSheet    = "sheet"   // the closed sheet of the show that is the subject: its format and its document
	OfAsRun    = "as-run"  // AsRun
	OfOutcome  = "outcome" // Outcome; the subject is SHOW/CLASS
	OfKey      = "key"     // Key
	OfFleet    = "fleet"   // how much came in
	OfDemo     = "demo"    // the invented fleet as a whole
)
