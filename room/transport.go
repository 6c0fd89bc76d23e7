package room

import (
	"context"

	"lampblack/rig"
	"lampblack/source"
)

// Transport is the room solved: for every drive of the rig and every place,
// the irradiance in W/m2 when the drive is full.
type Transport struct {
	Places []Place
	// Direct and Total are indexed [place][drive].
	Direct, Total [][]float32
}

// Place is one receiver: a patch of a surface or object, an eye, a path point.
type Place struct {
	Name   string // surface, object, seat or performer
	Kind   Kind
	At     Point
	Normal Point
	Area   float64 // m2, 0 for points
}

// Kind tells what a place is.
type Kind string

// What a place is.
const (
	KindSurface Kind = "surface"
	KindObject  Kind = "object"
	KindSeat    Kind = "seat"
	KindPerson  Kind = "performer"
	KindPath    Kind = "path"
)

// Read reads room.yaml.
func Read(file string, data []byte) (*Room, source.Faults) { panic("room: not yet") }

// Solve computes the transport of light from every drive of the rig.
func (r *Room) Solve(ctx context.Context, rg *rig.Rig) (*Transport, source.Faults) {
	panic("room: not yet")
}
