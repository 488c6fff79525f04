package fleet

import (
	"strings"
	"time"
)

// Ended says how a pull ended, and so what its distance is worth.
type Ended string

// The four kinds of reading.
const (
	ToppedOut    Ended = "topped-out"    // the distance is where the drive let go
	StoppedShort Ended = "stopped-short" // the distance is where the pull stopped; EndFt was read off the rails
	PastTop      Ended = "past-top"      // the box had topped out unmarked: only an upper bound
	Stated       Ended = "stated"        // somebody's word, with a plus-or-minus
)

// Reading is one noted pull or one stated figure.
type Reading struct {
	ID          string     `json:"id"`
	Sled        string     `json:"sled,omitempty"` // the sled's id
	GearID      string     `json:"gear_id,omitempty"`
	Gear        string     `json:"gear,omitempty"` // the gear's label today
	StartFt     float64    `json:"start_ft"`
	DistanceFt  float64    `json:"distance_ft"`
	Ended       Ended      `json:"ended"`
	EndFt       *float64   `json:"end_ft,omitempty"`        // stopped-short only
	PlusMinusFt *float64   `json:"plus_minus_ft,omitempty"` // stated only
	MeasuredOn  string     `json:"measured_on"`             // ISO 8601 date
	Day         string     `json:"day,omitempty"`           // readings of one test day share what the day did to them
	Place       string     `json:"place,omitempty"`
	By          string     `json:"by,omitempty"`
	Note        string     `json:"note,omitempty"`
	MarkedBy    string     `json:"marked_by,omitempty"`
	TakenWith   string     `json:"taken_with,omitempty"`
	Surface     string     `json:"surface,omitempty"`
	Weights     string     `json:"weights,omitempty"`
	TirePSI     *float64   `json:"tire_psi,omitempty"`
	SpeedMPH    *float64   `json:"speed_mph,omitempty"`
	Replaces    string     `json:"replaces,omitempty"` // the reading that this one corrects
	SetAside    *SetAside  `json:"set_aside,omitempty"`
	ConfirmedAt *time.Time `json:"confirmed_at,omitempty"` // when somebody said that it counts though it stands out
	Batch       string     `json:"batch,omitempty"`        // the request it came with, where that brought many
	CreatedAt   time.Time  `json:"created_at"`
}

// SetAside is why a reading does not count.
type SetAside struct {
	Reason    string    `json:"reason,omitempty"`
	At        time.Time `json:"at"`
	WithBatch bool      `json:"with_batch,omitempty"` // together with all that it came with
}

// Field is one field of a reading: what the API, a spreadsheet and a form call it, and what may stand in it.
type Field struct {
	Name     string               // in the API; it ends in the unit of a number
	Label    string               // for people
	Kind     FieldKind            // how it is read and checked
	Needed   bool                 // there is no reading without it
	Least    int                  // characters of a text, where there is one
	Most     float64              // characters of a text, or the most of a number
	At       func(r *Reading) any // where it stands: *string, *Ended, *float64, or **float64 where it may be absent
	Headings string               // what else people write over its column: lower case, no punctuation, commas between
}

// FieldKind is how a field is read and checked.
type FieldKind string

// The kinds of field.
const (
	SledField   FieldKind = "sled"
	GearField   FieldKind = "gear"
	LengthField FieldKind = "length"
	NumberField FieldKind = "number"
	DateField   FieldKind = "date"
	EndedField  FieldKind = "ended"
	TextField   FieldKind = "text" // on one line
	NoteField   FieldKind = "note" // on several
)

const needed, optional = true, false

// readingFields is the one list of a reading's fields: tidying, rules and a spreadsheet's columns go through it.
var readingFields = []Field{
	{"sled", "Sled", SledField, needed, 1, 120, func(r *Reading) any { return &r.Sled },
		"sled name,sled id,name of sled,machine,rig"},
	{"gear", "Gear", GearField, needed, 1, MaxLabelLength, func(r *Reading) any { return &r.Gear },
		"gear label,gear used,lever"},
	{"start_ft", "Start", LengthField, optional, 0, MaxTravelFt, func(r *Reading) any { return &r.StartFt },
		"start position,box start,starting position,started at,box started at"},
	{"distance_ft", "Distance", LengthField, needed, 0, MaxDistanceFt, func(r *Reading) any { return &r.DistanceFt },
		"pulled,distance pulled,pull distance,top out,topout,top out distance,tops out at,feet,meters"},
	{"measured_on", "Date", DateField, needed, 10, 10, func(r *Reading) any { return &r.MeasuredOn },
		"measured,date measured,when"},
	{"ended", "How it ended", EndedField, optional, 0, 0, func(r *Reading) any { return &r.Ended },
		"how did it end,ending,result,kind,kind of reading,type"},
	{"end_ft", "Box stopped at", LengthField, optional, 0, MaxTravelFt, func(r *Reading) any { return &r.EndFt },
		"end position,box end,stopped at,stop position"},
	{"plus_minus_ft", "Give or take", LengthField, optional, 0, MaxDistanceFt,
		func(r *Reading) any { return &r.PlusMinusFt },
		"tolerance,±,+/-"},
	{"day", "Test day or show", TextField, optional, 1, 60, func(r *Reading) any { return &r.Day },
		"test day,show,event"},
	{"place", "Place", TextField, optional, 0, 200, func(r *Reading) any { return &r.Place },
		"location,track,where,venue"},
	{"by", "Noted or stated by", TextField, optional, 0, 100, func(r *Reading) any { return &r.By },
		"noted by,measured by,stated by,who"},
	{"note", "Note", NoteField, optional, 0, MaxNotesLength, func(r *Reading) any { return &r.Note },
		"notes,remark,remarks,comment,comments"},
	{"marked_by", "Marked by", TextField, optional, 0, 100, func(r *Reading) any { return &r.MarkedBy },
		"marked with,mark,spotter"},
	{"taken_with", "Taken with", TextField, optional, 0, 100, func(r *Reading) any { return &r.TakenWith },
		"measured with,instrument,tool"},
	{"surface", "Surface", TextField, optional, 0, 200, func(r *Reading) any { return &r.Surface },
		"track surface,ground,soil"},
	{"weights", "Weights in the box", TextField, optional, 0, 200, func(r *Reading) any { return &r.Weights },
		"weight,box weight"},
	{"tire_psi", "Tire pressure", NumberField, optional, 0, 300, func(r *Reading) any { return &r.TirePSI },
		"tires,pressure"},
	{"speed_mph", "Ground speed", NumberField, optional, 0, 100, func(r *Reading) any { return &r.SpeedMPH }, ""},
	{"replaces", "Corrects the reading", TextField, optional, 1, 40, func(r *Reading) any { return &r.Replaces },
		"corrects"},
}

// ReadingFields lists the fields of a reading in the order of a spreadsheet's columns. Nobody changes the list.
func ReadingFields() []Field { return readingFields }

// Unit is the unit of a field's number, as its name says it: ft, psi, mph.
func (f Field) Unit() string {
	if f.Kind != LengthField && f.Kind != NumberField {
		return ""
	}
	return f.Name[strings.LastIndexByte(f.Name, '_')+1:]
}

// In is the name of a length's field, or of its column, in those units: start_ft, start_m.
func (f Field) In(units Units) string {
	if f.Kind != LengthField {
		return f.Name
	}
	return strings.TrimSuffix(f.Name, string(InFeet)) + string(units)
}

// Text is what stands in a field of text, "" in one of a number.
func (f Field) Text(r *Reading) string {
	switch at := f.At(r).(type) {
	case *string:
		return *at
	case *Ended:
		return string(*at)
	}
	return ""
}

// Number is what stands in a field of a number, nil where there is none.
func (f Field) Number(r *Reading) *float64 {
	switch at := f.At(r).(type) {
	case *float64:
		return at
	case **float64:
		return *at
	}
	return nil
}
