package room

import (
	"lampblack/si"
	"lampblack/source"
)

// Point is a place or direction in metres: x right, y away from the audience,
// z up, from the middle of the stage's front edge.
type Point [3]si.Length

// Room is the text of room.yaml.
type Room struct {
	source.Pos
	Size     [3]si.Length          `key:"size,required"` // width, depth, height
	Front    si.Length             `key:"stage front"`   // distance of the stage's edge from the back wall of the audience
	Walls    string                `key:"walls"`         // material names
	Floor    string                `key:"floor"`
	Ceiling  string                `key:"ceiling"`
	Surfaces source.Named[Surface] `key:"surfaces"`
	Objects  source.Named[Object]  `key:"objects"`
	Boxes    source.Named[Box]     `key:"boxes"`
	Seats    []Eye                 `key:"audience"`
	People   []Eye                 `key:"performers"`
	Paths    source.Named[Path]    `key:"paths"`
}

// Surface is a flat rectangle that is lit: a backdrop, a drape, a stage floor.
type Surface struct {
	source.Pos
	Material string    `key:"material"`
	Centre   Point     `key:"centre,required"`
	Width    si.Length `key:"width,required"`
	Height   si.Length `key:"height,required"`
	Faces    Point     `key:"faces,required"` // direction of its normal
}

// Object is a painted rectangle that shall glow.
type Object struct {
	source.Pos
	Paint      string    `key:"paint,required"`
	Centre     Point     `key:"centre,required"`
	Width      si.Length `key:"width,required"`
	Height     si.Length `key:"height,required"`
	Faces      Point     `key:"faces,required"`
	Background string    `key:"background"` // a surface or material behind it
}

// Box is something that stands in the way of light.
type Box struct {
	source.Pos
	Centre   Point  `key:"centre,required"`
	Size     Point  `key:"size,required"`
	Material string `key:"material"`
}

// Eye is a pair of eyes: where, and where they look.
type Eye struct {
	source.Pos
	Name  string `key:"name"`
	At    Point  `key:"at,required"`
	Looks Point  `key:"looks at"`
	Child bool   `key:"child"`
}

// Path is a way that people walk in the dark.
type Path struct {
	source.Pos
	Points []Point   `key:"points,required"`
	Width  si.Length `key:"width"`
}
