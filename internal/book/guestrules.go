package book

import (
	"reflect"
	"slices"

	"evenpull/internal/fleet"
)

// checkOwn is a Conflict where a sled is a guest, whose owner alone corrects it.
func checkOwn(s fleet.Sled) error {
	if s.Guest == nil {
		return nil
	}
	return fleet.Errorf(fleet.Conflict, "%s is a guest: its owner, %s, corrects it; take in a newer document of it",
		s.Name, s.Guest.Owner)
}

// checkGuestCorrection is checkOwn, but for what is this crew's own affair: the name here, and whether it is retired.
// labels are those that the gears had, as of Correction.Was.
func checkGuestCorrection(was, s fleet.Sled, labels []string) error {
	if was.Guest == nil {
		return nil
	}
	for i := range min(len(labels), len(s.Gears)) {
		if label := tidyLabel(labels[i]); label != "" && label != s.Gears[i].Label {
			return checkOwn(was)
		}
	}
	s.Name, s.Retired, s.Guest, s.Invented = was.Name, was.Retired, was.Guest, was.Invented
	s.ID, s.Readings, s.Weighings, s.Revision = was.ID, was.Readings, was.Weighings, was.Revision
	s.CreatedAt, s.UpdatedAt, s.Loading.Blocks = was.CreatedAt, was.UpdatedAt, valueOrNil(s.Loading.Blocks)
	s.Gears = slices.Clone(s.Gears)
	for i := range s.Gears {
		if g, _, ok := was.GearByLabel(s.Gears[i].Label); ok {
			s.Gears[i].ID = g.ID
		}
	}
	was.Loading.Blocks = valueOrNil(was.Loading.Blocks)
	if !reflect.DeepEqual(was, s) {
		return checkOwn(was)
	}
	return nil
}

func valueOrNil[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}

// checkOwnReading is a Conflict where a reading came in its owner's document.
func checkOwnReading(r fleet.Reading) error {
	if r.FromOwner {
		return fleet.Errorf(fleet.Conflict,
			"the sled's owner noted this reading: it can be set aside here, and nothing else")
	}
	return nil
}
