package begin

import (
	"slices"

	"lampblack/light"
	"lampblack/show"
	"lampblack/source"
)

func (w *writer) glow(a Glow) {
	for i := range a.Things {
		a.Things[i].Name = named(a.Things[i].Name)
	}
	w.names("a thing that glows", each(a.Things, func(t *Thing) string { return t.Name })...)
	for i := range a.Things {
		w.fits(&a.Things[i])
	}
	if w.err != nil {
		return
	}
	w.bare()
	for _, id := range gone(each(w.was.Glow.Things, func(t *Thing) string { return t.Name }), each(a.Things, func(t *Thing) string { return t.ID })) {
		w.cut(show.RoomFile, "objects", id)
	}
	for i := range a.Things {
		w.thing(&a.Things[i])
	}
	w.looks()
}

// fits refuses a thing that is of no size, of no paint that glows, or not in the room.
func (w *writer) fits(t *Thing) {
	const most = 20 // m
	r := w.was.Room
	_, own := w.at(show.RoomFile, "paints", t.Paint)
	was := indexOf(w.was.Glow.Things, func(b *Thing) bool { return b.ID == t.ID && b.Paint == t.Paint }) >= 0
	switch {
	case !own && !was && !slices.Contains(Paints(), t.Paint):
		w.refuse("%q is no paint that glows", source.Visible(t.Paint))
	case !fits(.01, most, t.Width, t.Height):
		w.refuse("%s is from 1 cm to %d m wide and high", t.Name, most)
	case !fits(-r.Width/2, r.Width/2, t.X) || !fits(-r.Front, r.Depth-r.Front, t.Y) || !fits(t.Height/2, r.Height-t.Height/2, t.Z):
		w.refuse("%s does not lie in the room, which is %.4g m high: its middle is %.4g m up, and it is %.4g m high", t.Name, r.Height, t.Z, t.Height)
	}
}

// thing writes one, turned to the audience, before the cloth behind the stage or the wall.
func (w *writer) thing(t *Thing) {
	was := indexOf(w.was.Glow.Things, func(b *Thing) bool { return t.ID != "" && b.Name == t.ID })
	if was >= 0 {
		b := w.was.Glow.Things[was]
		if t.ID != t.Name {
			w.rename(show.RoomFile, "objects", t.ID, t.Name)
		}
		if b.ID = t.ID; b == *t {
			return
		}
	}
	pairs := []source.Pair{pair("paint", word(t.Paint)), pair("centre", point(t.X, t.Y, t.Z)), pair("width", metres(t.Width)), pair("height", metres(t.Height))}
	if was < 0 {
		behind := backdrop
		if _, there := w.at(show.RoomFile, "surfaces", backdrop); !there {
			behind = usualBackground
		}
		pairs = append(pairs, pair("faces", point(0, -1, 0)), pair("background", word(behind)))
	}
	w.keys(show.RoomFile, "", []any{"objects", t.Name}, pairs...)
}

// Paints lists those that glow.
func Paints() []string {
	var out []string
	for _, p := range light.Paints() {
		if p.Fluoresces() {
			out = append(out, p.Name)
		}
	}
	return out
}
