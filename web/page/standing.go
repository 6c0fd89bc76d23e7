package page

import (
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Standing is something of the room that a hand can move: where room.yaml has it, and what it says, in metres.
type Standing struct {
	List   string       `json:"list"` // surfaces, objects, boxes, pillars, audience, performers, paths, marks
	Name   string       `json:"name"`
	Index  int          `json:"index"` // of an item of a list; -1 for one that has a name
	At     [3]float64   `json:"at"`    // its middle; of a pillar its foot
	Size   [3]float64   `json:"size"`  // width and height of what is flat; x, y, z of a box; across and height of a pillar; of a path its width
	Faces  [3]float64   `json:"faces"`
	Across [3]float64   `json:"across"` // of what is flat, from its left to its right as seen from its front
	Points [][3]float64 `json:"points"` // of a path
	Whole  bool         `json:"whole"`  // it is moved as a whole alone: it has an outline, which stays as it is
}

// Stood is what stands in the room, and the room.
type Stood struct {
	Size     [3]float64 `json:"size"`
	Front    float64    `json:"front"`
	Guessed  bool       `json:"guessed"` // nobody said how large it is
	Standing []Standing `json:"standing"`
}

// Stood lists what stands in the room as its text has it.
func (b *Book) Stood() Stood { return stoodOf(b.show) }

func stoodOf(s *show.Show) Stood {
	r := s.Room
	out := Stood{Standing: []Standing{}}
	if r == nil {
		return out
	}
	out.Size, out.Front, out.Guessed = metres(r.Size), float64(r.Front), r.Guessed(room.GuessedSize|room.GuessedFront)
	add := func(o Standing) {
		if o.Points == nil {
			o.Points = [][3]float64{}
		}
		out.Standing = append(out.Standing, o)
	}
	for _, e := range r.Surfaces {
		v := &e.Value
		add(flat("surfaces", e.Name, v.Centre, v.Width, v.Height, v.Faces, v.Outline != nil))
	}
	for _, e := range r.Objects {
		v := &e.Value
		add(flat("objects", e.Name, v.Centre, v.Width, v.Height, v.Faces, v.Outline != nil))
	}
	for _, e := range r.Boxes {
		add(Standing{List: "boxes", Name: e.Name, Index: -1, At: metres(e.Value.Centre), Size: metres(e.Value.Size)})
	}
	for _, e := range r.Pillars {
		add(Standing{List: "pillars", Name: e.Name, Index: -1, At: metres(e.Value.Foot), Size: metres([3]si.Length{e.Value.Across, e.Value.Height})})
	}
	for i := range r.Seats {
		add(Standing{List: "audience", Name: r.Seats[i].Name, Index: i, At: metres(r.Seats[i].At)})
	}
	for i := range r.People {
		add(Standing{List: "performers", Name: r.People[i].Name, Index: i, At: metres(r.People[i].At)})
	}
	for _, e := range r.Paths {
		o := Standing{List: "paths", Name: e.Name, Index: -1, Size: metres([3]si.Length{e.Value.Width})}
		for _, p := range e.Value.Points {
			o.Points = append(o.Points, metres(p))
		}
		add(o)
	}
	for _, e := range r.Marks {
		add(Standing{List: "marks", Name: e.Name, Index: -1, At: metres(e.Value)})
	}
	return out
}

func flat(list, name string, centre room.Point, w, h si.Length, faces room.Point, whole bool) Standing {
	across := room.Across(faces)
	return Standing{List: list, Name: name, Index: -1, At: metres(centre), Size: metres([3]si.Length{w, h}), Faces: direction(faces), Across: direction(across), Whole: whole}
}
