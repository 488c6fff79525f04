package book

import (
	"context"
	"math"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// Cutoffs is the room that each gear's box needs above the point where its drive is cut off, at one revision of the
// fleet. It certifies nothing.
type Cutoffs struct {
	Revision int64
	Sled     fleet.Sled
	Gears    []CutoffGear // in the order of the lever
}

// CutoffGear is one gear. What is not known is nil.
type CutoffGear struct {
	Label        string
	BoxSpeedFtS  *float64
	RunOnFt      *float64
	CoastFt      *float64
	RoomNeededFt *float64
	Basis        fleet.Basis // of the box speed
}

// Cutoff computes the room for a ground speed in mph, the measured time in seconds that the drive needs to let go, and
// the measured deceleration of the box by its brake in ft/s², 0 where it was never measured. Box feet per foot of
// ground are the chart's where it knows the gear and the travel, otherwise those of the parts. A sled that is not there
// is NotFound, an impossible number Invalid.
func (b *Book) Cutoff(ctx context.Context, sled string, groundMPH, releaseS, brakeFtS2 float64) (Cutoffs, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return Cutoffs{}, err
	}
	var faults fleet.Faults
	check := func(at, what string, v, most float64) {
		if !(v > 0 && v <= most) {
			faults.Add(at, "%s must be above 0 and at most %g, not %g", what, most, v)
		}
	}
	check("ground_speed_mph", "the ground speed", groundMPH, 100)
	check("release_s", "the time that the drive needs to let go", releaseS, 10)
	if brakeFtS2 != 0 {
		check("brake_ft_s2", "the deceleration by the brake", brakeFtS2, 1000)
	}
	if err := faults.Err(); err != nil {
		return Cutoffs{}, err
	}
	c := Cutoffs{Revision: snap.revision, Sled: state.Sled}
	for i, g := range c.Sled.Gears {
		of := CutoffGear{Label: g.Label, Basis: fleet.Unknown}
		if r, basis, ok := state.boxPerGround(i); ok {
			room := driveline.CutOffAt(r, groundMPH, releaseS, brakeFtS2)
			if room.CoastFt != nil && math.IsInf(*room.CoastFt, 0) {
				return Cutoffs{}, fleet.InvalidField("brake_ft_s2",
					"at %g ft/s² no brake would ever stop the box", brakeFtS2)
			}
			of.BoxSpeedFtS, of.RunOnFt, of.Basis = &room.BoxSpeedFtS, &room.RunOnFt, basis
			of.CoastFt, of.RoomNeededFt = room.CoastFt, room.RoomNeededFt
		}
		c.Gears = append(c.Gears, of)
	}
	return c, nil
}

// boxPerGround is how far a gear's box moves in a foot of ground, and what that rests on.
func (s sledState) boxPerGround(gear int) (r float64, basis fleet.Basis, ok bool) {
	if speed := s.chart().BoxSpeed(gear).BoxSpeed; speed != nil {
		return *speed / 100, s.chart().At(gear, 0).Basis, true
	}
	r, ok = s.boxPerGroundByParts(gear)
	return r, fleet.Geared, ok
}
