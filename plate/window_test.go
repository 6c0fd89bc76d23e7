package plate

import (
	"context"
	"strings"
	"testing"
)

// Of a hall that is much larger than what is lit, a plan shows that part: its axes begin and end
// there, who sits outside is left out, and it says so. A small room is drawn whole.
func TestPlanOfALargeHall(t *testing.T) {
	ctx := context.Background()
	small := aRoom().plan(false)
	if w, err := small.Lit(ctx); err != nil || w != (Window{}) {
		t.Errorf("of a room that is lit all over %+v is drawn, %v", w, err)
	}
	large := strings.NewReplacer("size: [6 m, 9 m, 3.5 m]", "size: [44 m, 70 m, 9 m]", "stage front: 5.5 m", "stage front: 52 m",
		"audience:", "audience:\n  - {name: far seat, at: [18 m, -48 m, 1.2 m]}").Replace(plateRoom)
	p := solved(large).plan(false)
	w, err := p.Lit(ctx)
	if err != nil {
		t.Fatal(err)
	}
	// Units hang up to 2 m to the sides, from 3 m before the stage's edge to 3 m behind it.
	if w.X0 > -3 || w.X1 < 3 || w.Y0 > -4 || w.Y1 < 4 || (w.X1-w.X0)*(w.Y1-w.Y0) > .6*44*70 {
		t.Errorf("%+v is drawn", w)
	}
	words := map[bool]string{}
	for _, whole := range []bool{true, false} {
		if p.Within = w; whole {
			p.Within = Window{}
		}
		svg, err := svgOf(p.Draw(ctx))
		if err != nil {
			t.Fatal(err)
		}
		words[whole] = wordsOf(t, svg)
	}
	if !strings.Contains(words[true], "far seat") || strings.Contains(words[true], "What the lamps light is drawn") {
		t.Error("the plan of all does not show all")
	}
	if strings.Contains(words[false], "far seat") || !strings.Contains(words[false], "middle seat") || !strings.Contains(words[false], "What the lamps light is drawn; the room is 44 m wide and 70 m deep.") {
		t.Errorf("the plan of what is lit says %q", words[false])
	}
}
