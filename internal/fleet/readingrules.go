package fleet

import (
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"
)

// Tidy drops space around what was typed and fills in defaults: topped-out, the day from the date, the
// usual plus-or-minus of a stated figure.
func (r *Reading) Tidy() {
	tidyFields(readingFields, r)
	r.StartFt += positiveZero
	if r.Ended == "" {
		r.Ended = ToppedOut
	}
	if r.Day == "" {
		r.Day = r.MeasuredOn
	}
	if r.Ended == Stated && r.PlusMinusFt == nil {
		r.PlusMinusFt = new(float64(DefaultPlusMinusFt))
	}
}

// Check reports what is wrong with a tidied reading whatever sled it is of, today being now's date. A reading may be
// dated a day ahead, for the sake of time zones.
func (r *Reading) Check(now time.Time) *Faults {
	return r.check(new(Faults), Sled{}, now) // of which nothing is noted that a reading could go against
}

// CheckOn reports everything wrong with a tidied reading of that sled: what Check does, and what the sled adds.
func (r *Reading) CheckOn(s Sled, now time.Time) *Faults {
	f := new(Faults)
	s.CheckGear(f, "gear", r.Gear)
	return r.check(f, s, now)
}

func (r *Reading) check(faults *Faults, s Sled, now time.Time) *Faults {
	r.checkDistances(faults, s)
	checkDate(faults, "measured_on", r.MeasuredOn, now)
	if r.ConfirmedAt != nil && (r.ConfirmedAt.Year() < 1970 || r.ConfirmedAt.After(now.AddDate(0, 0, 1))) {
		faults.Add("confirmed_at", "must be a time from 1970 until now, not %s", r.ConfirmedAt.Format(time.RFC3339))
	}
	checkFields(faults, readingFields, r)
	return faults
}

func (r *Reading) checkDistances(f *Faults, s Sled) {
	CheckDistance(f, "distance_ft", r.DistanceFt)
	if r.DistanceFt >= MinDistanceFt && r.DistanceFt <= s.TakeUpFt {
		f.Add("distance_ft", "the distance must be more than the sled's take-up of %s, not %s",
			FeetAndMeters(s.TakeUpFt), FeetAndMeters(r.DistanceFt))
	}
	CheckStart(f, "start_ft", r.StartFt, s.Name, s.TravelFt)
	switch r.Ended {
	case ToppedOut, PastTop, Stated:
		if r.EndFt != nil {
			f.Add("end_ft", "goes with readings that stopped short only")
		}
	case StoppedShort:
		r.checkEnd(f, s)
	default:
		f.Add("ended", "must be topped-out, stopped-short, past-top or stated, not %q", r.Ended)
	}
	if r.PlusMinusFt != nil && r.Ended != Stated {
		f.Add("plus_minus_ft", "goes with stated figures only")
	} else {
		checkAbove(f, "plus_minus_ft", "", r.PlusMinusFt, MaxDistanceFt, FeetAndMeters)
	}
}

func (r *Reading) checkEnd(f *Faults, s Sled) {
	switch {
	case r.EndFt == nil:
		f.Add("end_ft", "a reading that stopped short needs the box position where it stopped")
	case !within(*r.EndFt, 0, MaxTravelFt):
		f.Add("end_ft", "the end position must be %s, not %s", BetweenFeet(0, MaxTravelFt), FeetAndMeters(*r.EndFt))
	case s.TravelFt != nil && *r.EndFt >= *s.TravelFt:
		f.Add("end_ft", "at %s the box is at the top (%s of travel): that pull topped out",
			FeetAndMeters(*r.EndFt), FeetAndMeters(*s.TravelFt))
	case *r.EndFt-r.StartFt < MinBoxMoveFt:
		f.Add("end_ft", "the box must have moved at least %s from its start at %s to say anything",
			FeetAndMeters(MinBoxMoveFt), FeetAndMeters(r.StartFt))
	}
}

// checkDate checks a date that cannot lie ahead. A day ahead is let pass, for the sake of time zones.
func checkDate(f *Faults, at, date string, now time.Time) {
	on, err := time.Parse(time.DateOnly, date)
	switch {
	case err != nil:
		f.Add(at, "must be a date like 2026-05-09, not %q", date)
	case on.Year() < 1900:
		f.Add(at, "lies before 1900")
	case on.After(now.AddDate(0, 0, 1)):
		f.Add(at, "%s lies in the future", date)
	}
}

// TidyReason tidies why a reading is set aside, or says what is wrong with it.
func TidyReason(reason string) (string, error) {
	reason = strings.TrimSpace(norm.NFC.String(reason))
	f := new(Faults)
	if reason == "" {
		f.Add("set_aside.reason", "say in a few words why it should not count")
	}
	checkLine(f, "set_aside.reason", reason, 0, MaxReasonLength)
	return reason, f.Err()
}
