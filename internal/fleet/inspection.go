package fleet

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Limits of inspections. Assumptions of our own.
const (
	MaxInspectionItems = 60
	MaxInspectionWords = 200
	MaxEveryShows      = 50
	MaxEveryDays       = 3650
)

// What of inspections the history tells, beside what history.go lists.
const (
	OfInspectionList = "inspection-list" // InspectionList; the subject is the sled
	OfInspection     = "inspection"      // Inspection
)

// InspectionItem is one thing that a crew looks at on a sled: every so many shows or every so many days, one of the
// two. Its names in JSON are stored, and stay.
type InspectionItem struct {
	ID          string `json:"id"`   // stable: survives new words
	What        string `json:"what"` // in the crew's words
	EveryShows  int    `json:"every_shows,omitempty"`
	EveryDays   int    `json:"every_days,omitempty"`
	Calibration bool   `json:"calibration,omitempty"` // the measured top-outs hold only while it is as it was then
}

// InspectionList is what a crew looks at on a sled, in its own order. One that nobody has written yet is of revision 0.
type InspectionList struct {
	Sled      string           `json:"sled"`
	Items     []InspectionItem `json:"items"`
	Revision  int64            `json:"revision"`
	CreatedAt time.Time        `json:"created_at"`
	UpdatedAt time.Time        `json:"updated_at"`
}

// Inspection is what one person found of one item at one time. It certifies nothing.
type Inspection struct {
	ID        string    `json:"id"`
	Sled      string    `json:"sled"`
	Item      string    `json:"item"` // the item's id; it may have left the list since
	What      string    `json:"what"` // its words as they were then
	Well      bool      `json:"well"`
	Note      string    `json:"note,omitempty"` // required where it is not well
	Done      string    `json:"done,omitempty"` // what was done about it, or about what was not well before
	On        string    `json:"on"`             // ISO 8601, where the sled stood
	Show      string    `json:"show,omitempty"` // that it was looked at for
	By        string    `json:"by"`             // who looked
	SignedBy  string    `json:"signed_by"`      // the name of the key that it was written with
	CreatedAt time.Time `json:"created_at"`
}

// OfferedInspectionItems are a start for an empty list, to be replaced by what the sled's maker prescribes. What is
// looked at is common practice, no source; how often is an assumption of our own.
func OfferedInspectionItems() []InspectionItem {
	return []InspectionItem{
		{What: "The drive lets go at the trip, and how quickly", EveryShows: 1, Calibration: true},
		{What: "The box brake holds", EveryShows: 1},
		{What: "Chains and their attachment", EveryShows: 1, Calibration: true},
		{What: "Sprockets: wear", EveryDays: 30, Calibration: true},
		{What: "Clutch: engagement and air", EveryShows: 1, Calibration: true},
		{What: "Belts", EveryDays: 30},
		{What: "Oil", EveryDays: 7},
		{What: "Tires: as when the sled was measured", EveryShows: 1, Calibration: true},
		{What: "Stops and rails", EveryShows: 1, Calibration: true},
		{What: "Blocks secured", EveryShows: 1},
		{What: "Guards and covers", EveryShows: 1},
		{What: "The operator's kill and emergency brake", EveryShows: 1},
	}
}

// Tidy drops space around the words and folds Unicode to one form.
func (l *InspectionList) Tidy() {
	for i := range l.Items {
		l.Items[i].What = tidy(l.Items[i].What)
	}
}

// Check reports everything wrong with a tidied list by itself.
func (l InspectionList) Check() *Faults {
	f := new(Faults)
	if len(l.Items) > MaxInspectionItems {
		f.Add("items", "a list can have up to %d items, not %d", MaxInspectionItems, len(l.Items))
	}
	first := map[string]int{}
	for i, item := range l.Items {
		at := fmt.Sprintf("items[%d].", i)
		checkLine(f, at+"what", item.What, 1, MaxInspectionWords)
		folded := strings.ToLower(item.What)
		if j, taken := first[folded]; taken && item.What != "" {
			f.Add(at+"what", "%s is item %d already", Quoted(item.What), j+1)
		} else {
			first[folded] = i
		}
		switch {
		case (item.EveryShows == 0) == (item.EveryDays == 0):
			f.Add(at+"every_days", "say how often: every_shows or every_days, one of the two")
		case item.EveryShows < 0 || item.EveryShows > MaxEveryShows:
			f.Add(at+"every_shows", "must be 1 to %d shows, not %d", MaxEveryShows, item.EveryShows)
		case item.EveryDays < 0 || item.EveryDays > MaxEveryDays:
			f.Add(at+"every_days", "must be 1 to %d days, not %d", MaxEveryDays, item.EveryDays)
		}
	}
	return f
}

// Item returns the item with that id, or false.
func (l InspectionList) Item(id string) (InspectionItem, bool) {
	i := slices.IndexFunc(l.Items, func(item InspectionItem) bool { return item.ID == id })
	if i < 0 {
		return InspectionItem{}, false
	}
	return l.Items[i], true
}

// Tidy drops space around what was typed and folds Unicode to one form.
func (i *Inspection) Tidy() {
	for _, text := range []*string{&i.What, &i.Note, &i.Done, &i.On, &i.By, &i.SignedBy} {
		*text = tidy(*text)
	}
}

// Check reports everything wrong with a tidied inspection by itself, today being now's date. It may be dated a day
// ahead, for the sake of time zones.
func (i Inspection) Check(now time.Time) *Faults {
	f := new(Faults)
	checkDate(f, "on", i.On, now)
	checkLine(f, "by", i.By, 1, MaxNameLength)
	checkText(f, "note", i.Note, MaxReasonLength)
	checkText(f, "done", i.Done, MaxReasonLength)
	if !i.Well && utf8.RuneCountInString(i.Note) == 0 {
		f.Add("note", "say in a few words what is not well")
	}
	return f
}

// DueItem is an item of a list with what is known of it on a day.
type DueItem struct {
	InspectionItem
	Due     bool
	DueOn   string       // the date from which it is due again, of one looked at every so many days; "" if it never was
	Last    *Inspection  // the newest, by its date and then in the order of writing
	NotWell []Inspection // about which nobody has written since what was done, in the order of writing
}

// Due works out what of a list is due on a day, ISO 8601, from what was written of the sled in the order of writing.
// next is the show that the sled is to pull at, nil where it is none that was booked: then the day stands for one.
// booked are the shows that the sled is booked for.
//
// An item of every n shows is due unless it was looked at for next or one of the n-1 shows before it: for that show by
// name or, without a name, on its date where the sled has one show on it. An item of every n days is due from n days
// after the last look on. Whether it was well says nothing of whether it was looked at.
func Due(items []InspectionItem, written []Inspection, booked []Show, next *Show, day string) []DueItem {
	window := windowOf(booked, next, day)
	due := make([]DueItem, len(items))
	for i, item := range items {
		due[i] = DueItem{InspectionItem: item, Due: true}
		seen := window[:min(len(window), max(item.EveryShows, 1))]
		for _, one := range written {
			if one.Item == item.ID {
				due[i].add(one, seen)
			}
		}
		if item.EveryDays > 0 && due[i].Last != nil {
			due[i].DueOn = addDays(due[i].Last.On, item.EveryDays)
			due[i].Due = due[i].DueOn <= day
		}
	}
	return due
}

// add takes in an inspection of the item; shows are those for which one is enough.
func (d *DueItem) add(one Inspection, shows []lookedFor) {
	if d.Last == nil || one.On >= d.Last.On {
		d.Last = &one
	}
	if one.Done != "" {
		d.NotWell = nil
	} else if !one.Well {
		d.NotWell = append(d.NotWell, one)
	}
	if d.EveryShows > 0 && slices.ContainsFunc(shows, func(s lookedFor) bool { return s.is(one) }) {
		d.Due = false
	}
}

// lookedFor is a show, and the date on which an inspection that names none is for it, "" where that says nothing.
type lookedFor struct{ show, on string }

func (l lookedFor) is(one Inspection) bool {
	if one.Show != "" {
		return one.Show == l.show
	}
	return one.On == l.on
}

// windowOf is the show that comes next, and those before it that the sled was booked for, latest first.
func windowOf(booked []Show, next *Show, day string) []lookedFor {
	last := Show{Date: day}
	if next != nil {
		last = *next
	}
	shows, onDate := []Show{last}, map[string]int{last.Date: 1}
	for _, s := range booked {
		if s.ID == last.ID {
			continue
		}
		onDate[s.Date]++
		if s.Date < last.Date || s.Date == last.Date && s.ID < last.ID {
			shows = append(shows, s)
		}
	}
	slices.SortFunc(shows[1:], func(a, b Show) int { return -strings.Compare(a.Date+" "+a.ID, b.Date+" "+b.ID) })
	window := make([]lookedFor, len(shows))
	for i, s := range shows {
		window[i].show = s.ID
		if onDate[s.Date] == 1 {
			window[i].on = s.Date
		}
	}
	return window
}

// addDays counts on the calendar, so that neither clocks nor time zones come into it. A date that is none stays.
func addDays(date string, days int) string {
	on, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return on.AddDate(0, 0, days).Format(time.DateOnly)
}
