package plate_test

import (
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/plate"
)

// Under black light red is a screen's red and nothing else; a paint without light there is
// told as such, and does not stop the others.
func TestSwatches(t *testing.T) {
	red, err := light.PaintNamed("fluorescent red")
	if err != nil {
		t.Fatal(err)
	}
	d, err := (&plate.Swatches{Title: "Two", Paints: []light.Paint{red, {Name: "nothing <at all>"}}}).Draw()
	if err != nil {
		t.Fatal(err)
	}
	svg, err := d.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"fluorescent red", "nothing &lt;at all&gt;", "405 nm", "0 cd/m²", `fill="#ff0`, `fill="#000000"`} {
		if !strings.Contains(string(svg), want) {
			t.Errorf("no %s in %s", want, svg)
		}
	}
}
