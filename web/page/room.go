package page

import (
	"encoding/binary"
	"maps"
	"math"
	"slices"
	"time"

	"lampblack/light"
	"lampblack/room"
	"lampblack/show"
)

// Room is the room's shape: panels cut into patches, and points where eyes
// are. Places are numbered through: a panel's from First, along U first.
type Room struct {
	Size   [3]float64 `json:"size"`
	Front  float64    `json:"front"` // of the stage's edge, from the wall behind the audience
	Panels []Panel    `json:"panels"`
	Points []Point    `json:"points"`
	Seat   int        `json:"seat"` // the middle one, counted among the seats of Points; -1 when there is none

	Guessed string `json:"guessed"` // what of it, and of where units hang, is a guess, as a sentence
}

// Panel is one side of a rectangle, cut into a grid.
type Panel struct {
	Name   string     `json:"name"`
	Kind   string     `json:"kind"`
	Back   bool       `json:"back"`
	Corner [3]float64 `json:"corner"`
	U      [3]float64 `json:"u"`
	V      [3]float64 `json:"v"`
	Normal [3]float64 `json:"normal"`
	Width  float64    `json:"width"`
	Height float64    `json:"height"`
	Cols   int        `json:"cols"`
	Rows   int        `json:"rows"`
	First  int        `json:"first"`
}

// Point is a place without area: a pair of eyes, a step of a path.
type Point struct {
	Name  string     `json:"name"`
	Kind  string     `json:"kind"`
	At    [3]float64 `json:"at"`
	Looks [3]float64 `json:"looks"` // a point on its line of sight
	Place int        `json:"place"`
}

// roomOf gives the shape alone; light comes by Room. Without a solved room there are no
// panels, and the page says so.
func roomOf(s *show.Show) Room {
	out := Room{Panels: []Panel{}, Points: []Point{}, Seat: -1}
	if s.Room == nil {
		return out
	}
	out.Size, out.Front, out.Seat = metres(s.Room.Size), float64(s.Room.Front), s.Room.MiddleSeat()
	out.Guessed = Guessed(s.Room, s.Rig)
	if s.Transport == nil {
		return out
	}
	for i := range s.Transport.Panels {
		p := &s.Transport.Panels[i]
		out.Panels = append(out.Panels, Panel{
			p.Name, string(p.Kind), p.Back, metres(p.Corner), direction(p.U), direction(p.V), direction(p.Normal),
			float64(p.Width), float64(p.Height), p.Cols, p.Rows, p.First,
		})
	}
	for i := range s.Transport.Places {
		p := &s.Transport.Places[i]
		if p.Panel >= 0 {
			continue
		}
		at, n := metres(p.At), direction(p.Normal)
		out.Points = append(out.Points, Point{p.Name, string(p.Kind), at, [3]float64{at[0] + n[0], at[1] + n[1], at[2] + n[2]}, i})
	}
	return out
}

// Hall is the room in short: how large it is, and from where it can be looked at.
type Hall struct {
	Size    [3]float64 `json:"size"`
	Solved  bool       `json:"solved"`  // there are pictures of it
	Eyes    []Eye      `json:"eyes"`    // seats, then performers
	Seat    int        `json:"seat"`    // the middle one; -1 when there is none
	Guessed string     `json:"guessed"` // as Room.Guessed
}

// Eye is somebody who can see.
type Eye struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
}

func hallOf(r *Room) Hall {
	out := Hall{Size: r.Size, Solved: len(r.Panels) > 0, Eyes: []Eye{}, Seat: r.Seat, Guessed: r.Guessed}
	for _, p := range r.Points {
		if k := room.Kind(p.Kind); k == room.KindSeat || k == room.KindPerson {
			out.Eyes = append(out.Eyes, Eye{p.Name, p.Kind})
		}
	}
	return out
}

// direction rounds to 1e-5, which is a millimetre at 100 m.
func direction(p room.Point) [3]float64 {
	var out [3]float64
	for i, v := range p {
		out[i] = math.Round(float64(v)*1e5) / 1e5
	}
	return out
}

// Room returns the light on every place at t, eight float32 each: luminance
// by reflection, then by the place's own glow, both as linear red, green and
// blue of a screen whose white is 1 cd/m² (IEC 61966-2-1 primaries; below 0
// where the screen cannot follow), illuminance in lx, UV-A in W/m². Of what is not on stage,
// and of patches of objects that an outline does not fill, all eight are no numbers. Behind the places come the panels that are elsewhere than in the
// room's shape, ten float32 each: the panel's index, its corner, U and V.
func (b *Book) Room(t time.Duration) []byte {
	return b.lit(levelsAt(b.show, t), b.show.Seen(t), b.show.Absent(t))
}

// RoomUnder is Room for a look that stands alone; nil when there is no such.
func (b *Book) RoomUnder(look int) []byte {
	if look < 0 || look >= len(b.show.Looks) {
		return nil
	}
	tr, absent := b.show.Transport, []bool(nil)
	for i := range b.show.Cues { // as the first of its cues has it
		if c := &b.show.Cues[i]; c.Look == look {
			tr, absent = b.show.Seen(c.Complete), b.show.Absent(c.Complete)
			break
		}
	}
	return b.lit(b.show.Looks[look].Levels, tr, absent)
}

// RoomAt is Room for lamps at levels, by drive.
func (b *Book) RoomAt(levels []float32) []byte {
	if len(levels) != len(b.show.Rig.Drives) {
		levels = make([]float32, len(b.show.Rig.Drives)) // of a run that has not begun
	}
	return b.lit(levels, b.show.Transport, nil)
}

func (b *Book) lit(levels []float32, tr *room.Transport, absent []bool) []byte {
	if tr == nil {
		return []byte{}
	}
	out := make([]byte, 0, 32*len(tr.Places))
	for i := range tr.Places {
		if p := tr.Places[i].Panel; p >= 0 && (absent != nil && absent[p] || tr.Places[i].Kind == room.KindObject && tr.Places[i].Area == 0) {
			for range 8 {
				out = appendFloat(out, math.NaN())
			}
			continue
		}
		whole, glow := tr.Luminance(i, levels), tr.GlowOnly(i, levels)
		out = appendScreen(out, whole.Plus(glow, -1))
		out = appendScreen(out, glow)
		out = appendFloat(out, tr.Reading(i, room.Photopic, levels))
		out = appendFloat(out, tr.Reading(i, room.UVA, levels))
	}
	for i := range tr.Panels {
		p := &tr.Panels[i]
		if home := &b.show.Transport.Panels[i]; p.Corner == home.Corner && p.U == home.U && p.V == home.V {
			continue
		}
		out = appendFloat(out, float64(i))
		for _, v := range []room.Point{p.Corner, p.U, p.V} {
			for _, x := range v {
				out = appendFloat(out, float64(x))
			}
		}
	}
	return out
}

func appendScreen(out []byte, c light.XYZ) []byte {
	r, g, b := c.LinearSRGB()
	return appendFloat(appendFloat(appendFloat(out, r), g), b)
}

func appendFloat(out []byte, v float64) []byte {
	return binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
}

// glowsOf returns, for each drive alone at full, the colour that each painted object glows in
// (cd, area times luminance). The unit is cd: what a distant eye gets
// of it. Only black light is asked, as other light is seen by itself.
func glowsOf(s *show.Show) map[string][]light.XYZ {
	out := map[string][]light.XYZ{}
	if s.Transport == nil || s.Room == nil {
		return out
	}
	levels := make([]float32, len(s.Rig.Drives))
	for _, o := range s.Room.Objects {
		out[o.Name] = make([]light.XYZ, len(levels))
	}
	for d := range levels {
		if !s.Rig.Emitter(d).Light.BlackLight() {
			continue
		}
		levels[d] = 1
		for _, o := range s.Room.Objects {
			for _, place := range s.Transport.Find(o.Name) {
				out[o.Name][d] = out[o.Name][d].Plus(s.Transport.GlowOnly(place, levels), s.Transport.Places[place].Area)
			}
		}
		levels[d] = 0
	}
	return out
}

// glowOf is the colour, by drive, that all objects but the absent, by panel, glow in together.
func (b *Book) glowOf(absent []bool) []light.XYZ {
	out := make([]light.XYZ, len(b.show.Rig.Drives))
	gone := map[string]bool{}
	for p, away := range absent {
		if away {
			gone[b.show.Transport.Panels[p].Name] = true
		}
	}
	for _, name := range slices.Sorted(maps.Keys(b.glows)) {
		for d, c := range b.glows[name] {
			if !gone[name] {
				out[d] = out[d].Plus(c, 1)
			}
		}
	}
	return out
}
