package fleet

import "time"

// Weighing is one reading of the scale under a sled's pan, in feet and pounds. It is never deleted, only set aside.
type Weighing struct {
	ID          string    `json:"id"`
	Sled        string    `json:"sled,omitempty"` // the sled's id
	WeighedOn   string    `json:"weighed_on"`     // ISO 8601 date
	BoxAtFt     float64   `json:"box_at_ft"`      // box mark from full back
	InBoxLb     float64   `json:"in_box_lb"`      // blocks in the box
	OnPanLb     float64   `json:"on_pan_lb"`      // blocks laid on the pan
	PanLb       float64   `json:"pan_lb"`         // read under the pan
	TandemLb    *float64  `json:"tandem_lb,omitempty"`
	TotalLb     *float64  `json:"total_lb,omitempty"`
	Scale       string    `json:"scale,omitempty"` // which one: sleds weighed on one scale share what it is off by
	ScaleStepLb *float64  `json:"scale_step_lb,omitempty"`
	Place       string    `json:"place,omitempty"`
	By          string    `json:"by,omitempty"`
	Note        string    `json:"note,omitempty"`
	SetAside    *SetAside `json:"set_aside,omitempty"`
	CreatedAt   time.Time `json:"created_at"`

	OwnerSetAside *SetAside `json:"owner_set_aside,omitempty"` // of a guest: why its owner set it aside
}

// weighingFields is the one list of a weighing's fields: tidying, rules and a spreadsheet's columns go through it.
var weighingFields = []Field[Weighing]{
	{"sled", "Sled", SledField, needed, 1, 120, func(w *Weighing) any { return &w.Sled },
		"sled name,sled id,name of sled,machine,rig"},
	{"weighed_on", "Date", DateField, needed, 10, 10, func(w *Weighing) any { return &w.WeighedOn },
		"weighed,date weighed,when"},
	{"box_at_ft", "Box at", LengthField, needed, 0, MaxTravelFt, func(w *Weighing) any { return &w.BoxAtFt },
		"box mark,mark,box position,position of the box,box"},
	{"in_box_lb", "In the box", WeightField, optional, 0, MaxLoadLb, func(w *Weighing) any { return &w.InBoxLb },
		"in box,blocks in the box,blocks,weight in the box,box weight"},
	{"on_pan_lb", "Laid on the pan", WeightField, optional, 0, MaxLoadLb, func(w *Weighing) any { return &w.OnPanLb },
		"on pan,blocks on the pan"},
	{"pan_lb", "Pan load", WeightField, needed, 0, MaxLoadLb, func(w *Weighing) any { return &w.PanLb },
		"pan,scale reads,pan weight,read,under the pan"},
	{"tandem_lb", "Tandem load", WeightField, optional, 0, MaxLoadLb, func(w *Weighing) any { return &w.TandemLb },
		"tandem,tires,under the tires,axles"},
	{"total_lb", "Total", WeightField, optional, 0, MaxLoadLb, func(w *Weighing) any { return &w.TotalLb },
		"total weight,whole sled,gross"},
	{"scale", "Scale", TextField, optional, 0, 100, func(w *Weighing) any { return &w.Scale },
		"weighed with,weighed on scale"},
	{"scale_step_lb", "Step of the scale", WeightField, optional, 0, 1000,
		func(w *Weighing) any { return &w.ScaleStepLb },
		"scale step,step"},
	{"place", "Place", TextField, optional, 0, 200, func(w *Weighing) any { return &w.Place }, "location,where,yard"},
	{"by", "Weighed by", TextField, optional, 0, 100, func(w *Weighing) any { return &w.By }, "noted by,who"},
	{"note", "Note", NoteField, optional, 0, MaxNotesLength, func(w *Weighing) any { return &w.Note },
		"notes,remark,remarks,comment,comments"},
}

// WeighingFields lists the fields of a weighing in the order of a spreadsheet's columns. Nobody changes the list.
func WeighingFields() []Field[Weighing] { return weighingFields }

// Tidy drops space around what was typed and the sign of zeros.
func (w *Weighing) Tidy() {
	tidyFields(weighingFields, w)
	w.BoxAtFt, w.InBoxLb, w.OnPanLb = w.BoxAtFt+positiveZero, w.InBoxLb+positiveZero, w.OnPanLb+positiveZero
	w.PanLb += positiveZero
}

// Check reports what is wrong with a tidied weighing whatever sled it is of, today being now's date.
func (w *Weighing) Check(now time.Time) *Faults { return w.CheckOn(Sled{}, now) }

// CheckOn reports everything wrong with a tidied weighing of that sled.
func (w *Weighing) CheckOn(s Sled, now time.Time) *Faults {
	f := new(Faults)
	checkDate(f, "weighed_on", w.WeighedOn, now)
	if checkBetween(f, "box_at_ft", "the box mark", w.BoxAtFt, 0, MaxTravelFt) && s.TravelFt != nil &&
		w.BoxAtFt > *s.TravelFt+BeyondTopFt {
		f.Add("box_at_ft", "the box of %s is at the top at %s; it cannot stand at %s", s.Name,
			FeetAndMeters(*s.TravelFt),
			FeetAndMeters(w.BoxAtFt))
	}
	CheckLoad(f, "in_box_lb", &w.InBoxLb)
	CheckLoad(f, "on_pan_lb", &w.OnPanLb)
	CheckLoad(f, "tandem_lb", w.TandemLb)
	checkAbove(f, "pan_lb", "", &w.PanLb, MaxLoadLb, poundsAndKilograms)
	checkAbove(f, "total_lb", "", w.TotalLb, MaxLoadLb, poundsAndKilograms)
	checkAbove(f, "scale_step_lb", "", w.ScaleStepLb, 1000, poundsAndKilograms)
	if w.OnPanLb > w.PanLb && w.PanLb > 0 {
		f.Add("on_pan_lb", "the pan cannot carry less (%s) than the blocks that were laid on it",
			poundsAndKilograms(w.PanLb))
	}
	if w.TotalLb != nil && *w.TotalLb > 0 && *w.TotalLb < w.PanLb {
		f.Add("total_lb", "the whole sled cannot weigh less than its pan carries (%s)", poundsAndKilograms(w.PanLb))
	}
	checkFields(f, weighingFields, w)
	return f
}

// BeyondTopFt is how far past the taped travel a box may have stood: it can be pushed past the cut-off by hand. An
// assumption of our own.
const BeyondTopFt = 1
