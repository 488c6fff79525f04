package fleet

import "time"

// Guest is what a sled of another crew has beside one's own: whose it is, of which moment, and how repeatable its crew
// measures. Percents are 100 times the standard deviation of the logarithm.
type Guest struct {
	Owner             string    `json:"owner"`
	AsOf              time.Time `json:"as_of"` // when its crew wrote the document
	DayPct            float64   `json:"day_pct"`
	ReadingPct        float64   `json:"reading_pct"`
	DayDF             float64   `json:"day_df,omitempty"` // degrees of freedom; 0 where it is known exactly
	ReadingDF         float64   `json:"reading_df,omitempty"`
	AssumedReadingPct float64   `json:"assumed_reading_pct"` // what readings that stopped short are weighed against
	WeighingLb        float64   `json:"weighing_lb"`         // standard deviation of a weighing, pounds
	WeighingDF        float64   `json:"weighing_df"`
}

// Limits of what a crew can say of its measuring. Assumptions of our own.
const (
	leastPct      = 0.0009 // a crew's variances are never taken for less than those of 0.001 %
	mostPct       = 100
	mostDF        = 1e9
	mostWeighings = 1e6 // lb
)

// Tidy drops space around what was typed.
func (g *Guest) Tidy() {
	g.Owner, g.AsOf = tidy(g.Owner), g.AsOf.UTC().Truncate(time.Microsecond)
}

// Check reports everything wrong with a tidied guest mark, today being now's date. A document may be dated a day ahead,
// for the sake of time zones.
func (g Guest) Check(now time.Time) *Faults {
	f := new(Faults)
	checkLine(f, "owner", g.Owner, 1, MaxNameLength)
	if g.AsOf.Year() < 1970 || g.AsOf.After(now.AddDate(0, 0, 1)) {
		f.Add("as_of", "must be a time from 1970 until now, not %s", g.AsOf.Format(time.RFC3339))
	}
	between := func(at string, value, least, most float64) {
		if !within(value, least, most) {
			f.Add(at, "must be %g to %g, not %g", least, most, value)
		}
	}
	between("day_pct", g.DayPct, leastPct, mostPct)
	between("reading_pct", g.ReadingPct, leastPct, mostPct)
	between("assumed_reading_pct", g.AssumedReadingPct, leastPct, mostPct)
	between("weighing_lb", g.WeighingLb, 0.001, mostWeighings)
	between("weighing_df", g.WeighingDF, 1, mostDF)
	orExact := func(at string, df float64) {
		if df != 0 && !within(df, 1, mostDF) {
			f.Add(at, "must be 1 to %g, or absent where it is known exactly, not %g", mostDF, df)
		}
	}
	orExact("day_df", g.DayDF)
	orExact("reading_df", g.ReadingDF)
	return f
}

// SetAsideHere says whether a reading of a guest was set aside here, and not only by its owner.
func (r Reading) SetAsideHere() bool { return isAsideHere(r.SetAside, r.OwnerSetAside) }

// SetAsideHere says the same of a weighing.
func (w Weighing) SetAsideHere() bool { return isAsideHere(w.SetAside, w.OwnerSetAside) }

func isAsideHere(aside, owners *SetAside) bool {
	return aside != nil && (owners == nil || *aside != *owners)
}
