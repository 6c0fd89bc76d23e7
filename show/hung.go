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

// Poses are where a thing is while cues have a look stand: where it rests, and along its ways. They are none
// for what stays where the room has it.
func (s *Show) Poses(look, name string) (out []room.Pose) {
	w := s.ways[name]
	if w == nil {
		return nil
	}
	var spans []Span
	for i := range s.Cues {
		if c := &s.Cues[i]; c.Look < len(s.Looks) && s.Looks[c.Look].Name == look {
			spans = append(spans, s.spanOf(i))
		}
	}
	for _, t := range s.moments(name, spans) {
		out = append(out, w.at(t))
	}
	return out
}
