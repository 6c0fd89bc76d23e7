package main

import (
	"math"
	"strings"

	"lampblack/rig"
	"lampblack/show"
	"lampblack/wire/mvr"
)

// sceneFile writes the rig as a scene of DIN SPEC 15801.
func sceneFile(s *show.Show) ([]byte, error) {
	layer := mvr.Layer{UUID: mvr.NameUUID(s.Bill.Title + "/rig"), Name: "Rig"}
	for i := range s.Rig.Units {
		u := &s.Rig.Units[i]
		name := u.Name.Name
		focus := mvr.FocusPoint{UUID: mvr.NameUUID(s.Bill.Title + "/aim of " + name), Name: "aim of " + name, Matrix: mvr.Matrix{U: [3]float64{1, 0, 0}, V: [3]float64{0, 1, 0}, W: [3]float64{0, 0, 1}, O: millimetres(u.Aim)}}
		layer.FocusPoints = append(layer.FocusPoints, focus)
		layer.Fixtures = append(layer.Fixtures, mvr.Fixture{
			UUID:      mvr.NameUUID(s.Bill.Title + "/unit " + name),
			Name:      name,
			Matrix:    aimed(u),
			Focus:     focus.UUID,
			GDTFMode:  u.ModeName.Name,
			Function:  strings.Join(u.Systems, ", "),
			ID:        name,
			IDNumeric: i + 1,
			Unit:      i + 1,
			Addresses: []mvr.Address{{Slot: mvr.Absolute(u.Universe, u.Address)}},
		})
	}
	scene := mvr.Scene{Provider: "Lampblack", ProviderVersion: "1", Layers: []mvr.Layer{layer}}
	return scene.Append(nil)
}

func millimetres[T ~float64](p [3]T) [3]float64 {
	return [3]float64{float64(p[0]) * 1000, float64(p[1]) * 1000, float64(p[2]) * 1000}
}

// aimed is the unit's place, turned so that its light leaves against the
// third axis (DIN SPEC 15800) toward its aim. Its row of cells lies along the
// first axis, level unless the unit is turned, as package room has it: cell 1
// to the left of who looks into the unit, turned right-handed about the beam.
func aimed(u *rig.Unit) mvr.Matrix {
	var axis [3]float64
	for i := range axis {
		axis[i] = float64(u.Aim[i] - u.At[i])
	}
	axis = unitVector(axis)
	level := unitVector(cross([3]float64{0, 0, 1}, axis))
	side := cross(axis, level)
	sin, cos := math.Sincos(float64(u.Turn))
	m := mvr.Matrix{O: millimetres(u.At)}
	for i := range m.U {
		m.U[i] = cos*level[i] + sin*side[i]
		m.W[i] = -axis[i]
	}
	m.V = cross(m.W, m.U)
	return m
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// unitVector returns v at length one; straight up or down has no level across
// it, and takes that of the stage.
func unitVector(v [3]float64) [3]float64 {
	n := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
	if n < 1e-9 {
		return [3]float64{1, 0, 0}
	}
	return [3]float64{v[0] / n, v[1] / n, v[2] / n}
}
