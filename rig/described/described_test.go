package described_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/described"
	"lampblack/source"
	"lampblack/wire/gdtf"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
	Fatal(...any)
}

// through takes a type out into a description, as bytes, and back into a type.
func through(t failer, a *rig.Type) (*rig.Type, *described.Reading, []byte) {
	t.Helper()
	d, _ := described.Write(a)
	text, err := d.AppendXML(nil)
	if err != nil {
		t.Fatal(err)
	}
	parsed, err := gdtf.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if len(parsed.Notes) > 0 {
		t.Errorf("doubts about our own file: %v\n%s", parsed.Notes, text)
	}
	r, err := described.Read(parsed)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	b, faults := rig.ReadType(a.ID, "back.yaml", r.YAML())
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, r.YAML())
	}
	return b, r, text
}

// same holds two types against each other: what each slot value of each mode lets through, what ranges do, the light
// of emitters, size and beam.
func same(t failer, a, b *rig.Type, text []byte) {
	t.Helper()
	if a.CellCount() != b.CellCount() || len(a.Modes) != len(b.Modes) {
		t.Fatalf("%d cells and %d modes became %d and %d\n%s", a.CellCount(), len(a.Modes), b.CellCount(), len(b.Modes), text)
	}
	near := func(what string, x, y, part float64) {
		if math.Abs(x-y) > part*math.Max(math.Abs(x), 1e-3) {
			t.Errorf("%s: %g became %g", what, x, y)
		}
	}
	if slices.ContainsFunc(a.Emitters, func(e source.Entry[rig.Emitter]) bool { return e.Value.Beam == nil }) {
		near("half", float64(a.Beam.Half), float64(b.Beam.Half), 1e-4)
		near("tenth", float64(a.Beam.Tenth), float64(b.Beam.Tenth), 1e-4)
	}
	near("watts", float64(a.Supply.Max), float64(b.Supply.Max), 1e-4)
	near("kg", float64(a.Weight), float64(b.Weight), 1e-4)
	for i := range a.Size {
		if a.Size[0] > 0 && a.Size[1] > 0 && a.Size[2] > 0 {
			near("size", float64(a.Size[i]), float64(b.Size[i]), 1e-4)
		}
	}
	for i := range a.Emitters {
		name := gdtf.Name(a.Emitters[i].Name)
		k := b.Emitters.Index(name)
		if k < 0 {
			continue // no mode drives it
		}
		x, y := &a.Emitters[i].Value, &b.Emitters[k].Value
		near(name+" W", x.Light.Watts, y.Light.Watts, .02)
		near(name+" lm", x.Light.Colour.Y, y.Light.Colour.Y, .03)
		near(name+" at least", x.Light.Low, y.Light.Low, 1e-3)
		near(name+" at most", x.Light.High, y.Light.High, 1e-3)
		near(name+" cd", a.Peak(x), b.Peak(y), .001)
		if d := x.Light.Colour.UV().Distance(y.Light.Colour.UV()); d > .003 && !x.Light.BlackLight() {
			t.Errorf("%s: its colour is %.4f off in u'v'", name, d)
		}
	}
	for i := range a.Modes {
		sameMode(t, a, b, i, text)
	}
}

// hung is a rig of one unit of the type.
func hung(t failer, ty *rig.Type, mode string) (*rig.Rig, *rig.Decoder) {
	text := fmt.Sprintf("units:\n  - {unit: a, type: x, mode: %s, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 1 m, 0 m]}\n", source.Quote(mode))
	r, faults := rig.Read("rig.yaml", []byte(text), source.Named[*rig.Type]{{Name: "x", Value: ty}})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return r, rig.NewDecoder(r, []int{1})
}

func sameMode(t failer, a, b *rig.Type, i int, text []byte) {
	t.Helper()
	ma, mb := &a.Modes[i].Value, &b.Modes[i].Value
	where := a.Modes[i].Name
	if ma.Footprint != mb.Footprint || len(ma.Slots) != len(mb.Slots) {
		t.Fatalf("%s: %d slots, %d entries became %d and %d\n%s", where, ma.Footprint, len(ma.Slots), mb.Footprint, len(mb.Slots), text)
	}
	ra, da := hung(t, a, a.Modes[i].Name)
	rb, db := hung(t, b, b.Modes[i].Name)
	if len(ra.Drives) != len(rb.Drives) {
		t.Fatalf("%s: %d drives became %d\n%s", where, len(ra.Drives), len(rb.Drives), text)
	}
	for d := range ra.Drives {
		x, y := gdtf.Name(a.Emitters[ra.Drives[d].Emitter].Name), b.Emitters[rb.Drives[d].Emitter].Name
		if x != y || !slices.Equal(ra.Drives[d].Cells, rb.Drives[d].Cells) {
			t.Errorf("%s: drive %d, %s of cells %v, became %s of %v", where, d, x, ra.Drives[d].Cells, y, rb.Drives[d].Cells)
		}
	}
	// Every value of every slot, with the others at full.
	la, lb := make([]float32, len(ra.Drives)), make([]float32, len(rb.Drives))
	for j := range ma.Slots {
		sa, sb := &ma.Slots[j], &mb.Slots[j]
		if sa.Coarse != sb.Coarse || sa.Fine != sb.Fine {
			t.Errorf("%s: slot %d-%d became %d-%d", where, sa.Coarse, sa.Fine, sb.Coarse, sb.Fine)
			continue
		}
		for v := range 256 {
			u := []rig.Universe{{Number: 1}}
			for k := range u[0].Slots {
				u[0].Slots[k] = 255
			}
			u[0].Slots[sa.Coarse-1] = byte(v)
			da.Decode(la, u)
			db.Decode(lb, u)
			for d := range la {
				if math.Abs(float64(la[d]-lb[d])) > .004 { // one step of 8 bits
					t.Errorf("%s: slot %d at %d: drive %d has %.4f and had %.4f\n%v\n%v", where, sa.Coarse, v, d, lb[d], la[d], form(sa), form(sb))
					return
				}
			}
			if sa.Fine > 0 {
				continue
			}
			was, is := sa.At(v), sb.At(v)
			if says := meaning(was); says != "" && says != meaning(is) {
				t.Errorf("%s: slot %d at %d: %q became %q\n%s", where, sa.Coarse, v, says, meaning(is), text)
				return
			}
		}
		if len(sa.Dims) == 0 && sa.Drives == "" && sa.Rest() != sb.Rest() {
			t.Errorf("%s: slot %d rests at %d and rested at %d\n%s", where, sa.Coarse, sb.Rest(), sa.Rest(), text)
		}
	}
}

func meaning(r *rig.Range) string {
	if r == nil || r.Does == rig.Level { // what it lets through is compared by itself
		return ""
	}
	return r.Meaning()
}

// schema is the standard's, where it is at hand.
func schema(t *testing.T) string {
	t.Helper()
	path, err := filepath.Abs("../../../shared/reference/xsd/gdtf.xsd")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Skip("outside check left out: needs the schema of DIN SPEC 15800 (gdtf.xsd), which is not part of the project")
	}
	outside.Need(t, "libxml2-utils", "xmllint")
	return path
}

// The built-in types go out and come back.
func TestGeneric(t *testing.T) {
	for _, e := range rig.Generic() {
		t.Run(e.Name, func(t *testing.T) {
			b, _, text := through(t, e.Value)
			same(t, e.Value, b, text)
		})
	}
}

// The schema of DIN SPEC 15800 takes them.
func TestGenericSchema(t *testing.T) {
	xsd, dir := schema(t), t.TempDir()
	args := []string{"--noout", "--schema", xsd}
	for _, e := range rig.Generic() {
		d, notes := described.Write(e.Value)
		if len(notes) > 0 {
			t.Errorf("%s: %v", e.Name, notes)
		}
		text, err := d.AppendXML(nil)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, strings.ReplaceAll(e.Name, " ", "-")+".xml")
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		args = append(args, path)
	}
	outside.Run(t, "xmllint", args...)
}

// anyType draws a type with every construct of a lamp without moving parts, as the text of its file.
func anyType(t *rapid.T) string {
	var b strings.Builder
	pick := func(what string, list ...string) string { return rapid.SampledFrom(list).Draw(t, what) }
	yes := func(what string) bool { return rapid.Bool().Draw(t, what) }
	whole := func(what string, from, to int) int { return rapid.IntRange(from, to).Draw(t, what) }
	cells := whole("cells", 1, 5)
	b.WriteString("name: Any\n")
	if cells > 1 || yes("size") {
		fmt.Fprintf(&b, "size: [%d cm, 9 cm, 12 cm]\n", 10*cells+whole("length", 0, 90))
	}
	if cells > 1 {
		fmt.Fprintf(&b, "cells: %d\n", cells)
	}
	if yes("weight") {
		fmt.Fprintf(&b, "weight: %d kg\n", whole("kg", 1, 60))
	}
	if yes("lens") {
		b.WriteString("lens: [4 cm, 4 cm]\n")
	}
	fmt.Fprintf(&b, "beam: %s\n", pick("beam", "{half: 12.5°}", "{half: 40°, tenth: 72°}", "{half: 90°}"))
	if yes("supply") {
		fmt.Fprintf(&b, "supply: {max: %d W%s}\n", whole("watts", 5, 500), pick("factor", "", ", factor: 0.6"))
	}
	b.WriteString("on data loss: hold\nemitters:\n")
	lights := []string{"red: {peak: 625 nm, width: 18 nm, output: 2 W ± 20 %", "Grün: {peak: 522 nm, width: 33 nm, output: 300 lm", "uv: {peak: 395 nm, width: 13 nm, output: 4 W",
		"white: {like: phosphor 5600 K, output: 900 lm", "odd one: {spectrum: [{at: 440 nm, power: 0}, {at: 455 nm, power: 1}, {at: 600 nm, power: 0.4}, {at: 640 nm, power: 0}], output: 1 W",
		"lamp: {like: black body 2800 K, output: 500 lm"}
	var names []string
	for _, l := range lights {
		if len(names) > 0 && yes("leave out") {
			continue
		}
		names = append(names, l[:strings.Index(l, ":")])
		fmt.Fprintf(&b, "  %s%s}\n", l, pick("own beam", "", "", ", beam: {half: 60°}", ", beam: {half: 20°, tenth: 30°}"))
	}
	curve := func() string {
		if yes("no curve") {
			return ""
		}
		parts := []string{}
		if yes("dark") {
			parts = append(parts, fmt.Sprintf("dark to: %d", whole("dark to", 1, 40)))
		}
		if yes("full") {
			parts = append(parts, fmt.Sprintf("full from: %d", whole("full from", 200, 254)))
		}
		parts = append(parts, pick("law", "then: linear", "then: square", "then: s", "table: [0, 0.1, 0.4, 0.5, 1]"))
		return ", curve: {" + strings.Join(parts, ", ") + "}"
	}
	b.WriteString("modes:\n")
	for m := range whole("modes", 1, 3) {
		fmt.Fprintf(&b, "  mode %d:\n", m)
		slot := 0
		next := func() string {
			slot++
			if yes("gap") {
				slot++
			}
			return fmt.Sprintf("    %d: ", slot)
		}
		pair := func() string {
			slot += 2
			if yes("fine first") {
				return fmt.Sprintf("    %d-%d: ", slot, slot-1)
			}
			return fmt.Sprintf("    %d-%d: ", slot-1, slot)
		}
		switch whole("master", 0, 4) {
		case 1:
			b.WriteString(next() + "{dims: all" + curve() + "}\n")
		case 2:
			b.WriteString(pair() + "{dims: all" + curve() + "}\n")
		case 3:
			fmt.Fprintf(&b, "%s{dims: [%s]%s}\n", next(), names[0], curve())
		case 4:
			b.WriteString(next() + "{dims: all, 0-9: closed, 10-199: level, 200-249: flash 1 Hz to 20 Hz, 250-255: open}\n")
		}
		for c := range cells {
			each := yes("a cell each")
			for _, n := range names {
				cell := ""
				if cells > 1 && (each || c > 0) {
					cell = fmt.Sprintf(", cell: %d", c+1)
				}
				key, ranges := next, pick("ranges", "", "", ", 240-255: never", ", 0-4: nothing, 5-255: level")
				if yes("two octets") {
					key, ranges = pair, ""
				}
				fmt.Fprintf(&b, "%s{drives: %s%s%s%s}\n", key(), n, cell, curve(), ranges)
			}
			if !each {
				break
			}
		}
		for range whole("others", 0, 4) {
			b.WriteString(next() + pick("other", "{0-9: open, 10-255: flash 1 Hz to 20 Hz}", "{0-9: closed, 10-19: open, 20-99: flash slow to fast, 100-149: flash fast to slow, 150-199: flash unknown, 200-255: flash random 2 Hz to 9.5 Hz}",
				"{0-9: nothing, 10-255: never}", "{idle: speed}", "{idle: no function, set: 17}", "{0: fan off, 1-255: fan}", "{idle: mode, 0-9: nothing, 10-255: never}", "{0-9: open, 20-255: never}") + "\n")
		}
	}
	return b.String()
}

// Any type goes out, valid by the schema, and comes back with the same meaning; and out again in the same
// bytes as a second time.
func TestRoundTripAny(t *testing.T) {
	dir, n := t.TempDir(), 0
	args := []string{}
	rapid.Check(t, func(t *rapid.T) {
		text := anyType(t)
		a, faults := rig.ReadType("any", "any.yaml", []byte(text))
		if err := faults.Err(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		b, r, xml := through(t, a)
		same(t, a, b, []byte(text+string(xml)+string(r.YAML())))
		_, _, once := through(t, b)
		c, _, twice := through(t, b)
		same(t, b, c, once)
		if string(once) != string(twice) {
			t.Error("written twice, it differs")
		}
		path := filepath.Join(dir, fmt.Sprintf("%d.xml", n))
		n++
		if err := os.WriteFile(path, xml, 0o644); err != nil {
			t.Fatal(err)
		}
		args = append(args, path)
	})
	outside.Run(t, "xmllint", append([]string{"--noout", "--schema", schema(t)}, args...)...)
}

// Dimmers that are upside down go out and come back so, whatever their curve.
func TestUpsideDown(t *testing.T) {
	for _, slot := range []string{"0-255: level falling", "20-255: level falling, 0-19: open", "0-99: level falling, 100-255: never", "curve: {then: square}, 0-255: level falling", "curve: {dark to: 12, then: s}, 0-199: level falling, 200-255: closed"} {
		a, faults := rig.ReadType("x", "x.yaml", []byte("name: x\nbeam: {half: 30°}\nemitters:\n  red: {peak: 625 nm, width: 18 nm, output: 1 W}\nmodes:\n  one:\n    1: {dims: all, "+slot+"}\n    2: {drives: red}\n"))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		b, _, text := through(t, a)
		same(t, a, b, text)
	}
}

func form(s *rig.Slot) string {
	out := fmt.Sprint(s.Coarse, s.Fine, s.Drives, s.Dims, s.Cell, s.Curve.DarkTo, s.Curve.Then, s.Curve.FullFrom, s.Curve.Table, s.Idle, s.Rest())
	for i := range s.Ranges {
		out += fmt.Sprintf(" %d-%d %s", s.Ranges[i].From, s.Ranges[i].To, s.Ranges[i].Meaning())
	}
	return out
}
