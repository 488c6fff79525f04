package words

import (
	"strings"
	"time"
)

// date is an ISO 8601 date as people write it, and text that is none, such as the name of a test day, as it is.
func date(text string) string {
	on, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return text
	}
	return strings.ReplaceAll(on.Format("Jan 2, 2006"), " ", nbsp)
}
