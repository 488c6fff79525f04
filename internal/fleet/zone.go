package fleet

import (
	"fmt"
	"regexp"
	"time"
)

// MaxZoneLength of the name of a time zone, in characters.
const MaxZoneLength = 60

// Zone is a time zone by its name in the IANA time zone database, UTC or an area with a place: America/Chicago. Other
// names are errors, those included that only some machines know: what is stored must mean the same to every program
// over a database, and to browsers.
func Zone(name string) (*time.Location, error) {
	form := regexp.MustCompile(`^(UTC|[A-Z][A-Za-z]*(/[A-Za-z0-9_+-]+){1,2})$`)
	if len(name) <= MaxZoneLength && form.MatchString(name) {
		if zone, err := time.LoadLocation(name); err == nil {
			return zone, nil
		}
	}
	return nil, fmt.Errorf("must be the name of a time zone like America/Chicago, not %s", Quoted(name))
}
