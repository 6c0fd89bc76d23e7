package room

import (
	"context"
	"encoding/binary"
	"errors"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/source"
)

// keptHead begins the numbers of a transport that are kept: the form, which changes whenever
// they do.
const keptHead = "lampblack transport 4\n"

// numbers are what is dear of a transport; all the rest is quickly made of room and rig.
// Matrices lie row after row, as 32-bit numbers, little-endian.
type numbers struct {
	Direct, Total, Facing, Solid, Glow []byte
	Views, Images                      []View
}

// ErrNotKept is that numbers are not those of a room and a rig.
var ErrNotKept = errors.New("not the numbers of this room and rig")

// Keep returns the numbers of the transport, which [Room.Restore] makes the same of in a
// hundredth of the time. They hold for this rig in this room alone.
func (t *Transport) Keep() ([]byte, error) {
	n := numbers{Direct: flat(t.direct), Total: flat(t.total), Facing: flat(t.facing), Solid: flat(t.Solid), Glow: flat(t.glow.to), Views: t.Views, Images: t.Images}
	return folder.EncodeKept(keptHead, &n)
}

// Restore is Solve with numbers that were kept. It trusts them to be of this rig in this
// room: whoever keeps them sees to that. Numbers that are damaged, or of another size, give
// ErrNotKept.
func (r *Room) Restore(ctx context.Context, rg *rig.Rig, kept []byte) (*Transport, source.Faults, error) {
	var n numbers
	if folder.DecodeKept(keptHead, kept, &n) != nil {
		return nil, nil, ErrNotKept
	}
	s, faults := r.prepare(rg, Usual)
	t := s.t
	t.direct, t.total = rows(len(t.Places), len(t.bundles)), rows(len(t.Places), len(t.columns))
	t.facing, t.Solid = rows(len(t.Eyes), len(t.columns)), rows(len(t.Eyes), s.shell.patches)
	if !fill(t.direct, n.Direct) || !fill(t.total, n.Total) || !fill(t.facing, n.Facing) || !fill(t.Solid, n.Solid) {
		return nil, nil, ErrNotKept
	}
	for _, views := range [][]View{n.Views, n.Images} {
		for i := range views {
			if !s.sees(&views[i]) {
				return nil, nil, ErrNotKept
			}
		}
	}
	t.Views, t.Images = n.Views, n.Images
	t.glowingElements(s.shell)
	t.glowPower()
	if !fill(t.glow.to, n.Glow) {
		return nil, nil, ErrNotKept
	}
	s.veils()
	t.index()
	faults.Sort()
	return t, faults, ctx.Err()
}

// sees tells whether a view is of an eye, a unit and cells that there are.
func (s *solving) sees(v *View) bool {
	if v.Eye < 0 || v.Eye >= len(s.t.Eyes) || v.Unit < 0 || v.Unit >= len(s.sources.lamps) {
		return false
	}
	for _, c := range v.Cells {
		if c < 0 || c >= len(s.sources.lamps[v.Unit].cells) {
			return false
		}
	}
	return true
}

// flat is a matrix, row after row.
func flat(m [][]float32) []byte {
	var out []byte
	if len(m) > 0 {
		out = make([]byte, 0, 4*len(m)*len(m[0]))
	}
	for _, row := range m {
		out, _ = binary.Append(out, binary.LittleEndian, row) // numbers of a fixed size are always written
	}
	return out
}

// fill puts numbers into a matrix, and tells whether they are as many as it has.
func fill(m [][]float32, data []byte) bool {
	for _, row := range m {
		n, err := binary.Decode(data, binary.LittleEndian, row)
		if err != nil {
			return false
		}
		data = data[n:]
	}
	return len(data) == 0
}
