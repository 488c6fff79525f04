package calibrate

import (
	"time"

	"evenpull/internal/fleet"
)

// Checks lists what somebody should look at in the notebook. None changes anything by itself.
func (c *Chart) Checks(now time.Time) []fleet.Check { return nil }
