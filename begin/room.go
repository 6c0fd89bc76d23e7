package begin

import (
	"math"
	"slices"

	"lampblack/room"
	"lampblack/show"
	"lampblack/source"
)

// Bounds of a room, m.
const (
	leastRoom = 2
	mostRoom  = 100
)

func (w *writer) room(a RoomSize) {
	switch {
	case !fits(leastRoom, mostRoom, a.Width, a.Depth, a.Height):
		w.refuse("a room is from %d m to %d m wide, deep and high", leastRoom, mostRoom)
	case !fits(.5, a.Depth-.5, a.Front):
		w.refuse("the stage begins inside the room: from 0.5 m to %.1f m from the wall behind the audience", a.Depth-.5)
	}
	w.set(show.RoomFile, point(a.Width, a.Depth, a.Height), "", "size")
	w.set(show.RoomFile, metres(a.Front), "", "stage front")
	for _, one := range []struct{ key, is, was string }{{"walls", a.Walls, w.was.Room.Walls}, {"floor", a.Floor, w.was.Room.Floor}, {"ceiling", a.Ceiling, w.was.Room.Ceiling}} {
		w.material(one.is)
		if _, there := w.at(show.RoomFile, one.key); one.is != one.was || !there {
			guess := ""
			if one.is == one.was {
				guess = "nobody said what it is made of"
			}
			w.set(show.RoomFile, source.TextOf(one.is), guess, one.key)
		}
	}
	w.backdrop(a)
	if w.was.People.Playing != nil && a.Floor != w.was.Room.Floor {
		w.keys(show.RoomFile, "", []any{"surfaces", playingFloor}, pair("material", word(a.Floor)))
	}
}

// material refuses one that there is not.
func (w *writer) material(name string) {
	if _, own := w.at(show.RoomFile, "materials", name); !own && !slices.Contains(room.MaterialNames(), name) {
		w.refuse("there is no material %q", source.Visible(name))
	}
}

// backdrop hangs a cloth before the wall behind the stage.
func (w *writer) backdrop(a RoomSize) {
	at := []any{"surfaces", backdrop}
	if a.Backdrop == "" {
		w.cut(show.RoomFile, at...)
		return
	}
	w.material(a.Backdrop)
	_, there := w.at(show.RoomFile, at...)
	was := w.was.Room
	if there && a.Width == was.Width && a.Depth == was.Depth && a.Height == was.Height && a.Front == was.Front {
		if a.Backdrop != was.Backdrop {
			w.keys(show.RoomFile, "its size", at, pair("material", word(a.Backdrop)))
		}
		return
	}
	width, height := math.Max(1, a.Width-1), math.Max(1, a.Height-.3)
	w.keys(show.RoomFile, "its size", at, pair("material", word(a.Backdrop)), pair("centre", point(0, a.Depth-a.Front-.3, height/2)),
		pair("width", metres(width)), pair("height", metres(height)), pair("faces", point(0, -1, 0)))
}

// Eyes over the floor, m: of who sits, of a child who sits, of who stands (common practice, from
// memory: sitting eye height of about 0.8 m over a seat of 0.43 m).
const (
	sitting      = 1.2
	childSitting = .95
	standing     = 1.6
)

func (w *writer) people(a People) {
	a.clean()
	w.inRoom(a)
	w.seats(a.Seats)
	w.playing(a.Playing)
	w.players(a.Players)
	w.ways(a.Ways)
}

func (a *People) clean() {
	for i := range a.Seats {
		a.Seats[i].Name = named(a.Seats[i].Name)
	}
	for i := range a.Players {
		a.Players[i].Name = named(a.Players[i].Name)
	}
	for i := range a.Ways {
		a.Ways[i].Name = named(a.Ways[i].Name)
	}
}

// inRoom refuses what lies outside the room, or is no number.
func (w *writer) inRoom(a People) {
	r := w.was.Room
	in := func(x, y float64) bool {
		return fits(-r.Width/2, r.Width/2, x) && fits(-r.Front, r.Depth-r.Front, y)
	}
	area := func(of string, b Area) {
		if !in(b.Left, b.Near) || !in(b.Right, b.Far) {
			w.refuse("%s does not lie in the room", of)
		}
	}
	for _, s := range a.Seats {
		area(s.Name, s.Area)
	}
	if a.Playing != nil {
		area("where it is played", *a.Playing)
		if a.Playing.Right-a.Playing.Left < .3 || a.Playing.Far-a.Playing.Near < .3 {
			w.refuse("where it is played is at least 0.3 m wide and deep")
		}
	}
	for _, p := range a.Players {
		if !in(p.X, p.Y) {
			w.refuse("%s does not stand in the room", p.Name)
		}
	}
	for _, way := range a.Ways {
		if n := len(way.Points); n < 2 || n > 50 {
			w.refuse("the way %s has from 2 to 50 points", way.Name)
		}
		for _, at := range way.Points {
			if !in(at[0], at[1]) {
				w.refuse("the way %s leaves the room", way.Name)
			}
		}
		if !fits(.3, 10, way.Width) {
			w.refuse("the way %s is from 0.3 m to 10 m wide", way.Name)
		}
	}
	const most = 100
	if len(a.Seats) > most || len(a.Players) > most || len(a.Ways) > most {
		w.refuse("more than %d of one kind are for a text editor", most)
	}
}

// eye is where somebody looks from.
type eye struct {
	name string
	x, y float64
}

// eyes are those of a block; of one that is a point, one.
func (s *Seats) eyes() []eye {
	if s.Left == s.Right && s.Near == s.Far {
		return []eye{{s.Name, s.Left, s.Near}}
	}
	at := [][2]float64{{s.Left, s.Near}, {s.Right, s.Near}, {(s.Left + s.Right) / 2, (s.Near + s.Far) / 2}, {s.Left, s.Far}, {s.Right, s.Far}}
	var out []eye
	for i, name := range seatNames {
		out = append(out, eye{s.Name + ", " + name, at[i][0], at[i][1]})
	}
	return out
}

func (w *writer) seats(all []Seats) {
	w.names("a block of seats", each(all, func(s *Seats) string { return s.Name })...)
	for _, id := range gone(each(w.was.People.Seats, func(s *Seats) string { return s.Name }), each(all, func(s *Seats) string { return s.ID })) {
		w.cutBlock(id)
	}
	for i := range all {
		s := &all[i]
		j := indexOf(w.was.People.Seats, func(b *Seats) bool { return b.Name == s.ID })
		if j >= 0 {
			if was := w.was.People.Seats[j]; was.Name == s.Name && was.Area == s.Area && was.Children == s.Children {
				continue
			}
			w.cutBlock(s.ID)
		}
		height := sitting
		if s.Children {
			height = childSitting
		}
		for _, e := range s.eyes() {
			item := plainOf(pair("name", word(e.name)), pair("at", point(e.x, e.y, height)))
			if s.Children {
				item = item.With("child", source.TextOf("yes"))
			}
			w.add(show.RoomFile, "audience", item, "how high eyes are")
		}
	}
}

// cutBlock takes away the eyes of a block.
func (w *writer) cutBlock(name string) {
	list, _ := w.at(show.RoomFile, "audience")
	for i := len(list.List) - 1; i >= 0; i-- {
		if is := list.List[i].Get("name").Text; is == name || blockOf(is) == name {
			w.cut(show.RoomFile, "audience", i)
		}
	}
}

// playing puts the floor that is played on into the room: looks ask light for it.
func (w *writer) playing(a *Area) {
	at := []any{"surfaces", playingFloor}
	if a == nil {
		w.cut(show.RoomFile, at...)
	} else if was := w.was.People.Playing; was == nil || *was != *a {
		w.keys(show.RoomFile, "", at, pair("material", word(w.was.Room.Floor)), pair("centre", point((a.Left+a.Right)/2, (a.Near+a.Far)/2, .01)),
			pair("width", metres(a.Right-a.Left)), pair("height", metres(a.Far-a.Near)), pair("faces", point(0, 0, 1)))
	}
	if (a == nil) != (w.was.People.Playing == nil) {
		w.looks()
	}
}

func (w *writer) players(all []Player) {
	w.names("a player", each(all, func(p *Player) string { return p.Name })...)
	ids := each(all, func(p *Player) string { return p.ID })
	for i := len(w.was.People.Players) - 1; i >= 0; i-- {
		if len(gone([]string{w.was.People.Players[i].Name}, ids)) > 0 {
			w.cut(show.RoomFile, "performers", i)
		}
	}
	for _, p := range all {
		list, _ := w.at(show.RoomFile, "performers")
		i := indexOf(list.List, func(e *source.Plain) bool { return p.ID != "" && e.Get("name").Text == p.ID })
		if i < 0 {
			w.add(show.RoomFile, "performers", plainOf(pair("name", word(p.Name)), pair("at", point(p.X, p.Y, standing))), "how high eyes are")
			continue
		}
		j := indexOf(w.was.People.Players, func(b *Player) bool { return b.Name == p.ID })
		if was := w.was.People.Players[j]; was.X != p.X || was.Y != p.Y || was.Name != p.Name {
			height := list.List[i].Get("at").List
			at := point(p.X, p.Y, standing)
			if len(height) == 3 {
				at.List[2] = height[2]
			}
			w.keys(show.RoomFile, "how high eyes are", []any{"performers", i}, pair("name", word(p.Name)), pair("at", at))
		}
	}
}

func (w *writer) ways(all []Way) {
	w.names("a way", each(all, func(s *Way) string { return s.Name })...)
	for _, id := range gone(each(w.was.People.Ways, func(s *Way) string { return s.Name }), each(all, func(s *Way) string { return s.ID })) {
		w.cut(show.RoomFile, "paths", id)
	}
	for _, one := range all {
		points := source.Plain{Kind: source.PlainList}
		for _, at := range one.Points {
			points.List = append(points.List, point(at[0], at[1], 0))
		}
		if one.ID != "" && one.ID != one.Name {
			w.cut(show.RoomFile, "paths", one.ID)
		}
		w.keys(show.RoomFile, "", []any{"paths", one.Name}, pair("points", points), pair("width", metres(one.Width)))
	}
}

// indexOf is the place of the first that is so, -1 for none.
func indexOf[T any](list []T, is func(*T) bool) int {
	for i := range list {
		if is(&list[i]) {
			return i
		}
	}
	return -1
}
