package room

import (
	"slices"

	"lampblack/rig"
)

// glimpsed is how finely a room is cut that is seen by direct light alone, which needs no patches where things stand still.
var glimpsed = Fineness{Patches: 300, Elements: 60}

// Glimpse is the room with nothing but what falls straight from the lamps, known as [Transport.Rehung] knows it. It takes a
// tenth of a second, and is for pictures while a hand changes the room.
func (r *Room) Glimpse(rg *rig.Rig) *Transport {
	s, _ := r.prepare(rg, glimpsed)
	t := s.t
	t.direct, t.total = rows(len(t.Places), len(t.bundles)), rows(len(t.Places), len(t.columns))
	t.glow.to, t.glow.power = rows(len(t.Places), len(t.glow.columns)), rows(len(t.glow.elements), len(rg.Drives))
	t.facing, t.Solid = rows(len(t.Eyes), len(t.columns)), rows(len(t.Eyes), s.shell.patches)
	t.straightAlone(slices.Repeat([]bool{true}, len(rg.Units)))
	t.index()
	return t
}
