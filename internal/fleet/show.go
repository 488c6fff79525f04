package fleet

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"
)

// MaxClasses is how many classes a show can have.
const MaxClasses = 60

// Show is one evening of pulling.
type Show struct {
	ID         string    `json:"id"` // slug made from the name and the date
	Name       string    `json:"name"`
	Date       string    `json:"date"` // ISO 8601
	Place      string    `json:"place,omitempty"`
	Zone       string    `json:"zone,omitempty"` // the time zone of the place, see Zone
	Promoter   string    `json:"promoter,omitempty"`
	Sled       string    `json:"sled,omitempty"`     // id of the sled that is booked; "" while none is
	Replaces   string    `json:"replaces,omitempty"` // name of the sled that was booked before, "" where none was
	Classes    []string  `json:"classes"`            // ids in running order
	FullPullFt *float64  `json:"full_pull_ft,omitempty"`
	Notes      string    `json:"notes,omitempty"`
	Over       bool      `json:"-"` // closed, or past its date and not reopened
	Revision   int64     `json:"revision"`
	CreatedAt  time.Time `json:"created_at"`
	UpdatedAt  time.Time `json:"updated_at"`
}

// MaxDayLength of the name of a test day, in characters.
const MaxDayLength = 60

// Day is the name of the test day that the show's readings are of: its id, or the end of one that is too long, which
// has the date.
func (s Show) Day() string {
	id := []rune(s.ID)
	return strings.TrimLeft(string(id[max(0, len(id)-MaxDayLength):]), "-")
}

// AsRun is what was really set in a class, from one hook on.
type AsRun struct {
	ID        string    `json:"id"`
	Show      string    `json:"show,omitempty"`
	Class     string    `json:"class,omitempty"`
	Sled      string    `json:"sled,omitempty"` // the sled that pulled then
	GearID    string    `json:"gear_id,omitempty"`
	Gear      string    `json:"gear,omitempty"` // its label today
	StartFt   float64   `json:"start_ft"`
	FromHook  int       `json:"from_hook"`
	PullOff   bool      `json:"pull_off,omitempty"`
	Weights   string    `json:"weights,omitempty"`
	InBoxLb   *float64  `json:"in_box_lb,omitempty"`
	OnPanLb   *float64  `json:"on_pan_lb,omitempty"`
	Note      string    `json:"note,omitempty"`
	TopOutFt  *float64  `json:"top_out_ft,omitempty"` // what the chart said of it then
	Changed   bool      `json:"changed,omitempty"`    // the show was changed since the sheet that the operator saw
	CreatedAt time.Time `json:"created_at"`
}

// Felt is how a sled pulled for a class.
type Felt string

// How it felt.
const (
	Soft  Felt = "soft"
	Right Felt = "right"
	Hard  Felt = "hard"
)

// Outcome is how a class went at a show.
type Outcome struct {
	LongestFt *float64 `json:"longest_ft,omitempty"`
	Hooks     *int     `json:"hooks,omitempty"`
	FullPulls *int     `json:"full_pulls,omitempty"` // how many went the full distance
	Felt      Felt     `json:"felt,omitempty"`       // or empty
	Note      string   `json:"note,omitempty"`
}

// ClosedSheet is the sheet of a show that is over, as it stood when the show was closed: a document in a format of its
// own, which package book reads and writes.
type ClosedSheet struct {
	Format   int             `json:"format"`
	Document json.RawMessage `json:"document"`
}

// ShowRecord is a show with all that is noted of it.
type ShowRecord struct {
	Show
	Reopened    bool               `json:"reopened,omitempty"`     // somebody opened it again after it was over
	AsRun       []AsRun            `json:"as_run,omitempty"`       // by class in running order, then by hook
	Outcomes    map[string]Outcome `json:"outcomes,omitempty"`     // by class
	ClosedSheet *ClosedSheet       `json:"closed_sheet,omitempty"` // nil unless the show is over
}

// Tidy drops space around what was typed and folds Unicode to one form.
func (s *Show) Tidy() {
	for _, t := range []*string{&s.Name, &s.Date, &s.Place, &s.Zone, &s.Promoter, &s.Sled, &s.Replaces, &s.Notes} {
		*t = tidy(*t)
	}
}

// Check reports everything wrong with a tidied show by itself.
func (s Show) Check() *Faults {
	f := CheckName(s.Name)
	if on, err := time.Parse(time.DateOnly, s.Date); err != nil || on.Year() < 1900 {
		f.Add("date", "must be a date like 2026-07-18, not %q", s.Date)
	}
	checkLine(f, "place", s.Place, 0, 200)
	if _, err := Zone(s.Zone); err != nil {
		f.Add("zone", "%s", err)
	}
	checkLine(f, "promoter", s.Promoter, 0, MaxNameLength)
	checkText(f, "notes", s.Notes, MaxNotesLength)
	CheckGround(f, "full_pull_ft", s.FullPullFt)
	checkLine(f, "replaces", s.Replaces, 0, MaxNameLength)
	if len(s.Classes) > MaxClasses {
		f.Add("classes", "a show can have up to %d classes, not %d", MaxClasses, len(s.Classes))
	}
	first := map[string]int{}
	for i, c := range s.Classes {
		if j, twice := first[c]; twice {
			f.Add(fmt.Sprintf("classes[%d]", i), "%q is class %d already", c, j+1)
			continue
		}
		first[c] = i
	}
	return f
}

// Tidy drops space around what was typed, and the sign of a zero.
func (a *AsRun) Tidy() {
	a.Gear, a.Weights, a.Note, a.StartFt = tidy(a.Gear), tidy(a.Weights), tidy(a.Note), a.StartFt+positiveZero
}

// CheckOn reports everything wrong with a tidied line for the sled that pulls.
func (a AsRun) CheckOn(sled Sled) *Faults {
	f := new(Faults)
	if a.FromHook < 1 || a.FromHook > 500 {
		f.Add("from_hook", "hooks are counted from 1 to 500, not %d", a.FromHook)
	}
	sled.CheckGear(f, "gear", a.Gear)
	CheckStart(f, "start_ft", a.StartFt, sled.Name, sled.TravelFt)
	checkLine(f, "weights", a.Weights, 0, 200)
	CheckLoad(f, "in_box_lb", a.InBoxLb)
	CheckLoad(f, "on_pan_lb", a.OnPanLb)
	checkText(f, "note", a.Note, maxRunNote)
	return f
}

// Tidy drops space around what was typed.
func (o *Outcome) Tidy() { o.Note = tidy(o.Note) }

// Check reports everything wrong with a tidied outcome.
func (o Outcome) Check() *Faults {
	f := new(Faults)
	checkAbove(f, "longest_ft", "the distance ", o.LongestFt, MaxDistanceFt, FeetAndMeters)
	checkCount(f, "hooks", o.Hooks)
	checkCount(f, "full_pulls", o.FullPulls)
	if o.Hooks != nil && o.FullPulls != nil && *o.FullPulls > *o.Hooks {
		f.Add("full_pulls", "%d cannot have gone the full distance of %d that pulled", *o.FullPulls, *o.Hooks)
	}
	switch o.Felt {
	case "", Soft, Right, Hard:
	default:
		f.Add("felt", "must be soft, right or hard, not %q", o.Felt)
	}
	checkText(f, "note", o.Note, maxRunNote)
	return f
}

func checkCount(f *Faults, at string, n *int) {
	if n != nil && (*n < 0 || *n > 500) {
		f.Add(at, "must be 0 to 500, not %d", *n)
	}
}
