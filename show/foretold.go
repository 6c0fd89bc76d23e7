package show

import (
	"lampblack/room"
	"lampblack/source"
)

// Foretold is what is wrong with files that can be told before the light in the room is worked out, which takes
// seconds: lamps that hang outside of the room or inside something, looks that ask for lamps that are not there. It tells what New
// would; New may tell more.
func (f *Files) Foretold() source.Faults {
	var faults source.Faults
	if f.Rig == nil || f.Room == nil {
		return nil
	}
	faults = append(faults, f.Room.Hangs(f.Rig)...)
	for _, sc := range f.scores() {
		s := &Show{Rig: f.Rig, Room: f.Room, Score: sc}
		s.solve(&faults)
	}
	faults.Sort()
	return faults
}

// Glimpse is the room of files with what falls straight from the lamps alone, as pictures have it while a hand changes the
// room: what comes and goes is where the room's text has it, and all that opens is open. It is nil where the files do not read.
func (f *Files) Glimpse() *room.Transport {
	if f.Rig == nil || f.Room == nil {
		return nil
	}
	f.Room.Loosen(f.coming())
	f.Room.Divide(f.divided())
	return f.Room.In(f.allOpen()).Glimpse(f.Rig)
}
