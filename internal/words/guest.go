package words

import (
	"fmt"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// Guest says whose a sled of another crew is, and of which date its numbers are; "" of one's own.
func Guest(name string, g *fleet.Guest) string {
	if g == nil {
		return ""
	}
	return fmt.Sprintf("%s is a guest of %s; its numbers are theirs, of %s.", isolated(name),
		isolated(g.Owner), g.AsOf.Format(time.DateOnly))
}

// Taken is how much a document of a guest brings.
type Taken struct {
	Name                                                         string
	Guest                                                        fleet.Guest
	New, Corrected                                               bool
	Readings, ReadingsChanged, StillSetAside, Changes, Weighings int
}

// TakenIn says what taking a document in changes, or has changed.
func TakenIn(t Taken) string {
	var parts []string
	add := func(n int, what string) {
		if n > 0 {
			parts = append(parts, counted(n, what))
		}
	}
	if t.New {
		parts = append(parts, counted(t.Readings, "reading"))
	} else {
		add(t.Readings, "new reading")
		add(t.ReadingsChanged, "changed reading")
	}
	add(t.Changes, "change of parts")
	add(t.Weighings, "weighing")
	if t.New {
		said := fmt.Sprintf("New here: %s, with %s.", Guest(t.Name, &t.Guest), strings.Join(parts, ", "))
		return strings.Replace(said, "., with", ", with", 1)
	}
	if t.Corrected {
		parts = append(parts, "a correction of the sled itself")
	}
	said := "Nothing new but the date."
	if len(parts) > 0 {
		said = "It brings " + strings.Join(parts, ", ") + "."
	}
	if t.StillSetAside > 0 {
		said += fmt.Sprintf(" What was set aside here stays so: %s.", counted(t.StillSetAside, "reading"))
	}
	return Guest(t.Name, &t.Guest) + " " + said
}

// OwnReading says how a reading that this crew took of a guest fits its owner's chart.
func OwnReading(distanceFt, expectedFt, lowFt, highFt float64, fits bool, units fleet.Units) string {
	expected := withInterval(expectedFt, lowFt, highFt, units)
	if fits {
		return fmt.Sprintf("Fits: the owner's chart expects one pull at %s.", expected)
	}
	off := distanceFt - expectedFt
	return fmt.Sprintf("Does not fit: %s %s than the %s that the owner's chart expects of one pull.",
		nonzeroLength(off, units), later(off), expected)
}
