package score

import (
	"reflect"
	"testing"

	"lampblack/rig"
)

// A look of one part may be written as the part: it comes to the same as the list, and its
// text is found where it stands. A part that names no units is for all.
func TestLookOfOnePart(t *testing.T) {
	s, faults := Read("s", []byte("looks:\n"+
		"  short: {purpose: dusk, colour: red, level: 80 %}\n"+
		"  long: {purpose: dusk, parts: [{system: all, colour: red, level: 80 %}]}\n"+
		"  both: {like: short, units: [a], flash: 2 Hz, level: 10 %, parts: [{system: b, level: 5 %}]}\n"+
		"  none: {purpose: black}\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	short, long, both, none := s.Looks.Get("short"), s.Looks.Get("long"), s.Looks.Get("both"), s.Looks.Get("none")
	p, q := short.Parts[0], long.Parts[0]
	if len(short.Parts) != 1 || p.System.Name != rig.All || p.Colour.Text != q.Colour.Text || *p.Level != *q.Level || short.Purpose != "dusk" || p.Pos.Line != 2 {
		t.Errorf("the short look has %+v", short.Parts)
	}
	if len(both.Parts) != 2 || both.Parts[0].Units[0].Name != "a" || both.Parts[1].System.Name != "b" || len(s.Parts("both")) != 3 {
		t.Errorf("a look of a part and a list has %+v", both.Parts)
	}
	if len(none.Parts) != 0 {
		t.Errorf("a look of none has %+v", none.Parts)
	}
	for _, c := range []struct {
		l    *Look
		part int
		want []any
	}{{short, 0, nil}, {long, 0, []any{"parts", 0}}, {both, 0, nil}, {both, 1, []any{"parts", 0}}} {
		if got := c.l.Path(c.part); !reflect.DeepEqual(got, c.want) {
			t.Errorf("part %d stands at %v, want %v", c.part, got, c.want)
		}
	}
}
