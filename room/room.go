package room

import (
	"fmt"
	"math"

	"lampblack/si"
	"lampblack/source"
)

// Room is the text of room.yaml.
type Room struct {
	source.Pos
	Sized     *[3]si.Length          `key:"size"`        // width, depth, height, as written; nil where nobody said
	Edge      *si.Length             `key:"stage front"` // of the stage's edge, from the wall behind the audience; the same
	Walls     source.Ref             `key:"walls"`       // material names
	Floor     source.Ref             `key:"floor"`
	Ceiling   source.Ref             `key:"ceiling"`
	Materials source.Named[Material] `key:"materials"`
	Paints    source.Named[OwnPaint] `key:"paints"`
	Surfaces  source.Named[Surface]  `key:"surfaces"`
	Objects   source.Named[Object]   `key:"objects"`
	Boxes     source.Named[Box]      `key:"boxes"`
	Pillars   source.Named[Pillar]   `key:"pillars"`
	Seats     []Eye                  `key:"audience"`
	People    []Eye                  `key:"performers"`
	Paths     source.Named[Path]     `key:"paths"`
	Stray     []Stray                `key:"stray light"`
	Haze      *Haze                  `key:"haze"`  // clear air without it
	Marks     source.Named[Point]    `key:"marks"` // places that things and people go to

	// Size and Front are Sized and Edge, or what is guessed in their place (Guessed).
	Size    [3]si.Length
	Front   si.Length
	guessed Guess
	loose   map[string]bool      // objects that only receive light; see Loosen
	divided map[string][]float64 // where what opens is known; see Divide
	setting Setting
}

// Surface is a flat thing that is lit: a backdrop, a drape, a stage floor: a rectangle
// whose width is level, or what its shape or outline fills of that. Both of its sides are of its material.
type Surface struct {
	source.Pos
	Material source.Ref `key:"material"`
	Centre   Point      `key:"centre,required"`
	Width    si.Length  `key:"width,required"`
	Height   si.Length  `key:"height,required"`
	Faces    Point      `key:"faces,required"` // direction of its normal
	Shape    Shape      `key:"shape"`          // a rectangle when neither shape nor outline is there
	Outline  []Spot2    `key:"outline"`        // corners in turn, the last joined to the first
	Opens    Opening    `key:"opens"`          // how, if it can
}

// Object is a painted flat thing that shall glow, in the shapes of surfaces. Its back is black cloth.
type Object struct {
	source.Pos
	Paint      source.Ref `key:"paint,required"`
	Centre     Point      `key:"centre,required"`
	Width      si.Length  `key:"width,required"`
	Height     si.Length  `key:"height,required"`
	Faces      Point      `key:"faces,required"`
	Background source.Ref `key:"background"` // a surface, or a material close behind it
	Carried    source.Ref `key:"carried by"` // a performer, with whom it goes as it is to them here
	Shape      Shape      `key:"shape"`
	Outline    []Spot2    `key:"outline"`
}

// Box is something that stands in the way of light.
type Box struct {
	source.Pos
	Centre   Point      `key:"centre,required"`
	Size     Point      `key:"size,required"` // along x, y and z
	Material source.Ref `key:"material"`
}

// Eye is a pair of eyes: where, and where they look. Without Looks, the
// audience looks at the middle of the stage and performers at the audience.
type Eye struct {
	source.Pos
	Name  string `key:"name"`
	At    Point  `key:"at,required"`
	Looks *Point `key:"looks at"`
	Child bool   `key:"child"`
	// In pictures: what they are dressed in, and that it is before their face too.
	Wears  source.Ref `key:"wears"`
	Hooded bool       `key:"hooded"`
}

// MiddleSeat is the seat nearest to the middle of all, from above: where the
// room is looked at from when nothing else is said. Of two as near it is the
// first; -1 without seats.
func (r *Room) MiddleSeat() int {
	var x, y float64
	for i := range r.Seats {
		x += float64(r.Seats[i].At[0]) / float64(len(r.Seats))
		y += float64(r.Seats[i].At[1]) / float64(len(r.Seats))
	}
	best, least := -1, math.Inf(1)
	for i := range r.Seats {
		if d := math.Hypot(float64(r.Seats[i].At[0])-x, float64(r.Seats[i].At[1])-y); d < least {
			best, least = i, d
		}
	}
	return best
}

// Path is a way that people walk in the dark: points on the floor.
type Path struct {
	source.Pos
	Points []Point   `key:"points,required"`
	Width  si.Length `key:"width"`
}

// NarrowestWay is the width that one person with a thing in the hands needs, in m (common practice, no source;
// codes want more of a way out, from 0.9 m on, from memory).
const NarrowestWay = .6

// From is the distance of a point on the floor from the middle of the path, in m.
func (p *Path) From(x, y float64) float64 {
	best := math.Inf(1)
	for i := range p.Points {
		a, b := p.Points[max(i-1, 0)], p.Points[i]
		ax, ay, dx, dy := float64(a[0]), float64(a[1]), float64(b[0]-a[0]), float64(b[1]-a[1])
		t := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			t = min(max(((x-ax)*dx+(y-ay)*dy)/l, 0), 1)
		}
		best = min(best, math.Hypot(ax+t*dx-x, ay+t*dy-y))
	}
	return best
}

// Material is a surface of the room's own: one reflectance, or a table, of what it scatters, and
// what it mirrors beside that.
// Values at wavelengths outside the table are those at its ends.
type Material struct {
	source.Pos
	Reflects    *si.Ratio        `key:"reflects"`
	Reflectance []ReflectanceRow `key:"reflectance"`
	Gloss       GlossWord        `key:"gloss"` // matt without it
}

// ReflectanceRow is one row of a measured reflectance.
type ReflectanceRow struct {
	At    si.Wavelength `key:"at,required"`
	Share si.Ratio      `key:"share,required"`
}

// The names of the room's own six faces.
const (
	FloorName     = "floor"
	CeilingName   = "ceiling"
	LeftWall      = "left wall"  // left as the audience sees it
	RightWall     = "right wall" // right as the audience sees it
	StageWall     = "stage wall" // behind the stage
	AudienceWall  = "audience wall"
	DefaultWall   = "grey paint" // material of what says none
	DefaultDrape  = "black cloth"
	DefaultDress  = "dark grey" // what people wear that say nothing; hooded ones wear DefaultDrape
	behindObjects = "black cloth"
)

// low and high are the room's corners.
func (r *Room) low() vec { return vec{-float64(r.Size[0]) / 2, -float64(r.Front), 0} }

func (r *Room) high() vec {
	return r.low().plus(vec{float64(r.Size[0]), float64(r.Size[1]), float64(r.Size[2])})
}

// slack is how far something may reach into a wall by rounding of the text.
const slack = .0015

// holds tells whether a point lies in the room, or by rounding just in its walls.
func (r *Room) holds(p vec) bool { return r.outside(p) <= slack }

// outside returns how far p lies outside the room.
func (r *Room) outside(p vec) float64 {
	low, high := r.low(), r.high()
	out := 0.0
	for i := range p {
		out = max(out, low[i]-p[i], p[i]-high[i])
		if math.IsNaN(p[i]) {
			return math.Inf(1)
		}
	}
	return out
}

// solid is a box or a pillar, by kind and name.
type solid struct{ kind, name string }

func (s solid) String() string { return fmt.Sprintf("the %s %q", s.kind, s.name) }

// inside lists the boxes and pillars that a point is in.
func (r *Room) inside(p vec) []solid {
	var out []solid
	for i := range r.Boxes {
		if r.Boxes[i].Value.holds(p) {
			out = append(out, solid{"box", r.Boxes[i].Name})
		}
	}
	for i := range r.Pillars {
		if r.Pillars[i].Value.holds(p) {
			out = append(out, solid{"pillar", r.Pillars[i].Name})
		}
	}
	return out
}
