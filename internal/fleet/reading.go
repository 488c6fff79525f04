package fleet

import "time"

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
	// Of a guest: whether it came in its owner's document, and why its owner set it aside. SetAside is that of this
	// crew, where there is one, else that of the owner.
	FromOwner     bool      `json:"from_owner,omitempty"`
	OwnerSetAside *SetAside `json:"owner_set_aside,omitempty"`
}

// Figure is what the arithmetic takes of a reading: little enough that those of a whole fleet stay in memory.
type Figure struct {
	ID         string
	GearID     string
	StartFt    float64
	DistanceFt float64
	Ended      Ended
	EndFt      *float64 // stopped-short only
	MeasuredOn string
	Day        string
	Word       *Word // stated only
	SetAside   bool
	WithBatch  bool // set aside together with all that it came with
	Confirmed  bool
	FromOwner  bool
}

// Word is whose a stated figure is, and how good.
type Word struct {
	By          string
	PlusMinusFt float64
	NotedAt     time.Time
}

// Figure is what the arithmetic takes of it.
func (r Reading) Figure() Figure {
	f := Figure{
		ID: r.ID, GearID: r.GearID, StartFt: r.StartFt, DistanceFt: r.DistanceFt, Ended: r.Ended, EndFt: r.EndFt,
		MeasuredOn: r.MeasuredOn, Day: r.Day, SetAside: r.SetAside != nil,
		WithBatch: r.SetAside != nil && r.SetAside.WithBatch, Confirmed: r.ConfirmedAt != nil, FromOwner: r.FromOwner,
	}
	if r.Ended == Stated && r.PlusMinusFt != nil {
		f.Word = &Word{r.By, *r.PlusMinusFt, r.CreatedAt}
	}
	return f
}

// SetAside is why a reading does not count.
type SetAside struct {
	Reason    string    `json:"reason,omitempty"`
	At        time.Time `json:"at"`
	WithBatch bool      `json:"with_batch,omitempty"` // together with all that it came with
}

// readingFields is the one list of a reading's fields: tidying, rules and a spreadsheet's columns go through it.
var readingFields = []Field[Reading]{
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
	{"day", "Test day or show", TextField, optional, 1, MaxDayLength, func(r *Reading) any { return &r.Day },
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
func ReadingFields() []Field[Reading] { return readingFields }
