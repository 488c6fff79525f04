// Package archive is the whole fleet, or one sled, as a document: how it is written, how it is read again, and the
// rules that a document has to keep to. It knows no database: a fleet that it writes and takes in comes through Source
// and Fleet.
package archive

import "evenpull/internal/fleet"

// format names how a whole fleet is written as one document. A change of it that an older program cannot read, or that
// leaves something out, needs a new number, and Import must go on reading this one.
const format = "evenpull-fleet-1"

// The sections of the document, in their order: what stands in one rests on those before it.
const (
	sectionSleds     = "sleds"     // fleet.Sled with the parts before its first change
	sectionChanges   = "changes"   // fleet.Change
	sectionReadings  = "readings"  // fleet.Reading
	sectionWeighings = "weighings" // fleet.Weighing
	sectionClasses   = "classes"   // fleet.Class
	sectionShows     = "shows"     // fleet.ShowRecord
	sectionHistory   = "history"   // fleet.Entry

	sectionInspectionLists = "inspection_lists" // fleet.InspectionList; before the history
	sectionInspections     = "inspections"      // fleet.Inspection; likewise
)

// layout is what a document of one kind begins with and consists of.
type layout struct {
	format   string // its name with the number of the version at its end
	what     string // what such a document is
	sections []string
}

func fleetLayout() layout {
	return layout{format, "a fleet that was exported", []string{sectionSleds, sectionChanges, sectionReadings,
		sectionWeighings, sectionClasses, sectionShows, sectionInspectionLists, sectionInspections, sectionHistory}}
}

// notExported are the kinds of history that belong to an installation and not to the fleet.
func notExported() []string { return []string{fleet.OfKey, fleet.OfFleet, fleet.OfDemo} }
