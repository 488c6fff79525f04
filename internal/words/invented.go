package words

import (
	"strings"

	"evenpull/internal/fleet"
)

// Invented is a sentence that names the sleds of the demo among these, to go behind another; "" where there are none.
func Invented(sleds ...fleet.Sled) string {
	var names []string
	for _, s := range sleds {
		if s.Invented {
			names = append(names, s.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return " Invented for the demo, never measured: " + strings.Join(names, ", ") + "."
}
