package driveline

import "evenpull/internal/fleet"

// CutOff is the room that a box needs above the point where its drive is cut off. It certifies nothing.
type CutOff struct {
	BoxSpeedFtS float64 // ft/s
	RunOnFt     float64 // how far the drive carries it on while it lets go
	// how far it then coasts until its brake holds it; nil when the deceleration was never measured
	CoastFt      *float64
	RoomNeededFt *float64 // both together; nil likewise
}

// CutOffAt calculates the room: v = r × ground speed, run-on v·t in the time t that the drive needs to let go, coast
// v²/2a at the measured deceleration a, in ft/s², 0 when never measured.
func CutOffAt(boxPerGround, groundSpeedMPH, releaseS, brakeFtS2 float64) CutOff {
	v := boxPerGround * (groundSpeedMPH * fleet.FeetPerMile / 3600)
	c := CutOff{BoxSpeedFtS: v, RunOnFt: v * releaseS}
	if brakeFtS2 > 0 {
		coast := v * v / (2 * brakeFtS2)
		room := c.RunOnFt + coast
		c.CoastFt, c.RoomNeededFt = &coast, &room
	}
	return c
}
