package export

import (
	"fmt"
	"math"
	"strings"

	"lampblack/rig"
	"lampblack/rig/described"
	"lampblack/room"
	"lampblack/show"
	"lampblack/wire/gdtf"
	"lampblack/wire/mvr"
)

// Scene writes the rig as a scene of DIN SPEC 15801, with the descriptions of its lamps in it.
func Scene(s *show.Show) ([]byte, error) {
	files, names, err := descriptions(s.Rig)
	if err != nil {
		return nil, err
	}
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
			GDTFSpec:  names[u.Type],
			GDTFMode:  modeName(u),
			Function:  strings.Join(u.Systems, ", "),
			ID:        name,
			IDNumeric: i + 1,
			Unit:      i + 1,
			Addresses: []mvr.Address{{Slot: mvr.Absolute(u.Universe, u.Address)}},
		})
	}
	scene := mvr.Scene{Provider: "Lampblack", ProviderVersion: "1", Layers: []mvr.Layer{layer}, Files: files}
	return scene.Append(nil)
}

// descriptions are the fixture types that units are of, by DIN SPEC 15800, and the name of each file.
func descriptions(r *rig.Rig) (files map[string][]byte, names map[*rig.Type]string, err error) {
	files, names = map[string][]byte{}, map[*rig.Type]string{}
	for i := range r.Units {
		t := r.Units[i].Type
		if t == nil || names[t] != "" {
			continue
		}
		name := described.FileName(gdtf.Name(t.ID))
		for n := 2; files[name+".gdtf"] != nil; n++ {
			name = fmt.Sprintf("%s %d", described.FileName(gdtf.Name(t.ID)), n)
		}
		names[t] = name + ".gdtf"
		if files[names[t]], err = Description(t); err != nil {
			return nil, nil, err
		}
	}
	return files, names, nil
}

// Description writes a fixture type as a description of DIN SPEC 15800.
func Description(t *rig.Type) ([]byte, error) {
	d, _ := described.Write(t)
	b, err := d.Append(nil)
	if err != nil {
		return nil, fmt.Errorf("type %s: %w", t.ID, err)
	}
	return b, nil
}

// modeName is what the description calls the unit's mode, also where the rig leaves it out.
func modeName(u *rig.Unit) string {
	if u.Type == nil {
		return ""
	}
	for i := range u.Type.Modes {
		if &u.Type.Modes[i].Value == u.Mode {
			return described.ModeName(u.Type, u.Type.Modes[i].Name)
		}
	}
	return ""
}

func millimetres[T ~float64](p [3]T) [3]float64 {
	return [3]float64{float64(p[0]) * 1000, float64(p[1]) * 1000, float64(p[2]) * 1000}
}

// aimed is the unit's place, turned so that its light leaves against the third
// axis (DIN SPEC 15800) toward its aim. Its row of cells lies along the first
// axis, as package room hangs it: cell 1 to the left of who looks into the unit.
// A unit that aims at where it hangs is not turned.
func aimed(u *rig.Unit) mvr.Matrix {
	m := mvr.Matrix{U: [3]float64{1, 0, 0}, W: [3]float64{0, 0, 1}, O: millimetres(u.At)}
	if axis, row := room.Hung(u); axis != (room.Point{}) {
		for i := range 3 {
			m.U[i], m.W[i] = float64(row[i]), -float64(axis[i])
		}
	}
	m.V = cross(m.W, m.U)
	for _, axis := range []*[3]float64{&m.U, &m.V, &m.W} {
		for i := range axis {
			axis[i] = math.Round(axis[i]*1e9)/1e9 + 0 // and no last bit that another machine has otherwise, nor -0
		}
	}
	return m
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
