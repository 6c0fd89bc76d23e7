package page

import (
	"fmt"
	"strings"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Guessed says what of a room, and of where its units hang, was not written but guessed,
// as a sentence; "" when nothing was.
func Guessed(r *room.Room, g *rig.Rig) string {
	var parts []string
	if r != nil && r.Guessed(room.GuessedSize|room.GuessedFront) {
		s := r.Size
		parts = append(parts, fmt.Sprintf("the room (%s by %s by %s)", si.Say(float64(s[0]), "m"), si.Say(float64(s[1]), "m"), si.Say(float64(s[2]), "m")))
	}
	var units []string
	for i := range g.Units {
		if u := &g.Units[i]; u.Guessed(rig.GuessedPlace | rig.GuessedAim) {
			units = append(units, u.Name.Name)
		}
	}
	switch {
	case len(units) == 1:
		parts = append(parts, "where unit "+units[0]+" hangs and aims")
	case units != nil:
		parts = append(parts, "where units "+source.First(units, 8)+" hang and aim")
	}
	if parts == nil {
		return ""
	}
	return "Guessed, as nobody said: " + strings.Join(parts, ", ") + "."
}
