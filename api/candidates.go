package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetCandidates ranks the sleds that could be booked and says what each class ran on last time.
func (s *server) GetCandidates(c echo.Context, show string, p openapi.GetCandidatesParams) error {
	found, err := s.book.Candidates(c.Request().Context(), show)
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, found.Revision, openapi.Candidates{
		Show: found.Show.ID, Items: mapSlice(found.Items, func(k book.Candidate) openapi.Candidate {
			return encodeCandidate(k, len(found.Show.Classes), unitsOf(p.Units))
		}), LastTime: mapSlice(found.LastTime,
			encodeLastTime), Caution: words.Standing(found.HasWeights(), found.Sleds...),
	})
}

func encodeCandidate(k book.Candidate, classes int, units fleet.Units) openapi.Candidate {
	return openapi.Candidate{
		Sled: k.Sled, Name: k.Name, Guest: encodeGuest(k.Name, k.Guest), Booked: k.Booked, Known: k.Known,
		Within5Ft: k.Near, MeanFt: k.MeanFt, WorstFt: k.WorstFt,
		WorstClass: nilIfZero(k.WorstClass), ChanceWithin5Ft: k.ChanceWithin5,
		InWords: words.Candidate(classes, k.Known, k.Near, book.NearFt, k.WorstFt, k.WorstName, units),
		Weights: encodeCandidateWeights(k, units),
	}
}

func encodeLastTime(t book.LastTime) openapi.LastTime {
	return openapi.LastTime{Class: t.Class, Name: t.Name, Last: mapPointer(t.Last, encodeLastRun)}
}

func encodeLastRun(l book.LastRun) openapi.LastRun {
	return openapi.LastRun{
		Show: l.Show, ShowName: l.ShowName, Date: l.Date, Place: nilIfZero(l.Place), Here: l.Here, Sled: l.Sled,
		Gear: l.Gear, StartFt: l.StartFt, TopOutFt: l.TopOutFt, Noted: l.Noted,
		Outcome: mapPointer(l.Outcome, encodeOutcome),
	}
}
