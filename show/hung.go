package show

import (
	"context"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Carry carries the light of another rig through the room of these files, with everything in it that opens
// open, as finely as the caller wants: what it takes to try many ways to hang units.
func (f *Files) Carry(ctx context.Context, rg *rig.Rig, fine room.Fineness) (*room.Transport, source.Faults) {
	f.Room.Loosen(f.coming())
	f.Room.Divide(f.divided())
	return f.Room.In(f.allOpen()).SolveAt(ctx, rg, fine)
}

// Hung is the show of these files with another rig, in light that [Files.Carry] carried for it. What was
// measured in the room is left out, as it was measured of units that hung elsewhere.
func (f Files) Hung(ctx context.Context, rg *rig.Rig, t *room.Transport, track *soundtrack.Track) (*Show, source.Faults) {
	f.Rig, f.Kept, f.Readings = rg, "", nil
	return f.lit(ctx, t, track)
}
