package hang

import (
	"lampblack/rig"
	"lampblack/room"
)

// mostQuestions bounds the list: who is asked more reads none.
const mostQuestions = 10

// Questions are what figures cannot say of a rig in a room, for the check lists: only those that this rig
// gives cause for, the gravest first.
func Questions(r *rig.Rig, place *room.Room) (out []string) {
	hung, standing, outside, floor, bare, hot := false, false, false, false, false, false
	for i := range r.Units {
		u := &r.Units[i]
		hung = hung || u.Hung != nil && u.At[2] > Headroom
		floor = floor || u.Hung != nil && u.At[2] < Headroom/2
		outside = outside || u.Outside
		bare = bare || u.Bond == nil && u.Hung != nil && u.At[2] > Headroom
		hot = hot || u.Type != nil && u.Type.Hot > hotToTouch
	}
	for i := range r.Supports {
		standing = standing || r.Supports[i].Value.Standing()
	}
	ask := func(is bool, text string) {
		if is && len(out) < mostQuestions {
			out = append(out, text)
		}
	}
	ask(hung, "Has a competent person said what each bar or point in the building carries, and is less than that on it?")
	ask(bare, "Has every unit overhead a second suspension of its own, rated, with little slack?")
	ask(hung, "Are all clamps and wing nuts tight, and is nothing loose up there: flags, filters, tools?")
	ask(standing, "Are the feet of all stands spread wide and weighted, and stands tied off where people pass?")
	ask(len(place.Paths) > 0, "Is every way out clear over its whole width, and does every door open fully?")
	ask(floor || standing, "Are cables on the floor laid flat along walls, taped or under ramps, and none through a fire door?")
	ask(outside, "Are plugs and sockets outdoors off the ground and under cover, all behind a 30 mA device that was tried?")
	ask(hot, "Can children reach a lamp that gets hot?")
	ask(len(r.Circuits) > 0, "Is every cable off its reel, and none warm after ten minutes at full?")
	ask(len(r.Lines) > 0 && len(r.Circuits) > 0, "Do data and sound cables cross mains cables at right angles, and lie a hand apart elsewhere?")
	return out
}
