package rig

import (
	"fmt"
	"math"
	"strings"

	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
	"lampblack/wire/lm63"
)

// Measured is where a lamp's light goes, as a table of ANSI/IES LM-63 has it: light leaves along its photometric
// axis, and its horizontal angle 0 lies along the row of cells, toward the last.
type Measured struct{ around [][]light.Ray }

// Measured returns the beam's table, nil for one that is given by its angles.
func (b *Beam) Measured() *Measured { return b.measured }

// checkIntensity wants a beam or a table, and the table's name to be that of a file beside the type's.
func (t *Type) checkIntensity(faults *source.Faults) {
	name := t.Table.Name
	switch {
	case name == "" && t.Beam.Pos.Line == 0 && len(*faults) > 0: // it may be one of them: a beam of another form
		return
	case name == "" && t.Beam.Pos.Line == 0:
		faults.Add(t.Pos, "as beam: {half: 25°}, the full angle at half of the peak; or intensity: NAME.ies, a file beside it", "the key beam is missing")
		return
	case name == "":
		return
	case t.Beam.Pos.Line > 0:
		faults.Add(t.Table.Pos, "", "a type has a beam or an intensity table, not both")
	}
	if strings.ContainsAny(name, `/\:`) || strings.HasPrefix(name, ".") || !strings.HasSuffix(strings.ToLower(name), ".ies") {
		faults.Add(t.Table.Pos, "the name of a file in fixtures/ that ends in .ies", "%q is no name of an intensity table", name)
		t.Table.Name = ""
	}
}

// ReadIntensity takes the table that the type names; file is where it is. Beam then has the angles that the table
// comes to, for plans and words, and all that asks where light goes asks the table. A table that is none is a fault,
// and the beam counts as 40° wide. Its lumens are not those of the type: outputs are.
func (t *Type) ReadIntensity(file string, data []byte) source.Faults {
	var faults source.Faults
	f, err := lm63.Parse(data)
	if err == nil {
		err = t.Beam.measure(f)
	}
	if err != nil {
		faults.Add(source.Pos{File: file}, "a table of ANSI/IES LM-63, of a lamp that shines along its axis", "the intensity table of %s cannot be used: %v", t.Name, err)
		t.Beam.Half = 0.7
	}
	return faults
}

// How far apart the half planes of a table that is not round are taken, and the angles in them where the
// file's own are not off its axis.
const (
	planes  = 72
	offStep = math.Pi / 180
)

// measure samples the table about its axis.
func (b *Beam) measure(f *lm63.File) error {
	n := planes
	if f.Round() {
		n = 1
	}
	offs := offAxis(f)
	m := &Measured{}
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		var rays []light.Ray
		for _, off := range offs {
			across, along := math.Sincos(off)
			rays = append(rays, light.Ray{Off: si.Angle(off), Candela: si.LuminousIntensity(f.Candela(across*cos, across*sin, along))})
		}
		m.around = append(m.around, rays)
	}
	d, err := light.Beam{Around: m.around}.Distribution()
	if err != nil {
		return err
	}
	half, tenth := d.Edge(.5), d.Edge(.1)
	if half <= 0 {
		return fmt.Errorf("it has no light ahead")
	}
	b.measured = m
	b.Half = min(half, 179*math.Pi/180)
	if b.Tenth = min(tenth, math.Pi*.9999); b.Tenth <= b.Half {
		b.Tenth = 0
	}
	return nil
}

// offAxis lists the angles off the axis at which a table is read: its own in type C, out to the side, with 0 and
// the angle behind its last, where it is dark.
func offAxis(f *lm63.File) []float64 {
	var out []float64
	if f.Type == lm63.C {
		for _, v := range f.Vertical {
			if a := v * math.Pi / 180; a <= math.Pi/2+1e-9 {
				out = append(out, a)
			}
		}
		if len(out) == 0 || out[0] > 0 {
			out = append([]float64{0}, out...)
		}
		last := out[len(out)-1]
		if last < math.Pi/2-1e-6 {
			out = append(out, last+1e-4)
		}
		return out
	}
	for a := 0.; a <= math.Pi/2+1e-9; a += offStep {
		out = append(out, a)
	}
	return out
}
