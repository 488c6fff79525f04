package main

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// checkTimeZone refuses what TZ may be set to and Go does not know: it would take it for UTC without a word, and days
// would begin and shows be over at the wrong hour.
func checkTimeZone(tz string) error {
	name := strings.TrimPrefix(tz, ":")
	if filepath.IsAbs(name) { // a file, as time.Local reads it
		text, err := os.ReadFile(name)
		if err == nil {
			_, err = time.LoadLocationFromTZData(name, text)
		}
		if err != nil {
			return fmt.Errorf("TZ names the file %q, which is no time zone: %w", name, err)
		}
		return nil
	}
	if _, err := time.LoadLocation(name); err != nil {
		return fmt.Errorf("TZ is set to %q, which is no time zone that is known here; it must be a name like "+
			"America/Chicago", tz)
	}
	return nil
}

// serverZone is the time zone of this machine, which shows have that are given none, by its IANA name. Where it has
// none it is UTC, and the log says so. local is that of time.Local, link what /etc/localtime leads to.
func serverZone(local, link string, log *slog.Logger) *time.Location {
	if local == "Local" {
		local = link
	}
	if _, name, found := strings.Cut(local, "zoneinfo/"); found { // a file of the IANA time zone database
		local = name
	}
	zone, err := fleet.Zone(local)
	if err != nil {
		log.Warn("the time zone of this machine has no name, so that shows without one of their own are in UTC; "+
			"set TZ to a name like America/Chicago", "zone", local)
		return time.UTC
	}
	return zone
}
