package page

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/source"
)

// The plan of 0:16, when the white look stands: its head says when, its lines are
// in lux, and the units that are on are the two at the front; of ultraviolet at
// the height of the bump, in W/m2.
func TestPlan(t *testing.T) {
	b := benchBook(t)
	visible, err := b.Plan(t.Context(), 16*time.Second, false)
	if err != nil {
		t.Fatal(err)
	}
	dark, err := b.Plan(t.Context(), 20120*time.Millisecond, true)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, text      string
		wanted, unasked []string
	}{
		{"illuminance", string(visible), []string{"Bench, 0:16.000", "10 lx", "front left", "seat"}, []string{"UV-A"}},
		{"ultraviolet", string(dark), []string{"Bench, 0:20.120", "UV-A irradiance, W/m²", "bar", "seat"}, []string{" lx<"}},
	} {
		for _, w := range c.wanted {
			if !strings.Contains(c.text, w) {
				t.Errorf("the plan of %s lacks %q", c.name, w)
			}
		}
		for _, w := range c.unasked {
			if strings.Contains(c.text, w) {
				t.Errorf("the plan of %s has %q", c.name, w)
			}
		}
	}
}

// The gamut of a look is headed by both and lists what it asks for; without a look,
// or with one that is not there, by the show.
func TestGamutOfALook(t *testing.T) {
	b := benchBook(t)
	for look, want := range map[int]string{-1: "Bench", 0: "Bench, look red", 5: "Bench, look wall", 6: "Bench, look dark", 7: "Bench"} {
		svg, err := b.Gamut(look)
		if err != nil {
			t.Fatal(err)
		}
		title := regexp.MustCompile(`<title>(.*?)</title>`).FindStringSubmatch(string(svg))
		if len(title) != 2 || title[1] != want {
			t.Errorf("look %d is headed %q, want %s", look, title, want)
		}
		asked := strings.Contains(string(svg), "spot x 0.3333 y 0.3333")
		if asked != (look == 5) {
			t.Errorf("look %d: what is asked for is there: %v", look, asked)
		}
	}
}

// Types that give light to see by are drawn, and what all of them reach: of a
// wide triangle of lines and a narrow one inside it, the narrow one. The bar of
// ultraviolet is left out.
func TestGamutsInCommon(t *testing.T) {
	typeOf := func(id, emitters string) source.Entry[*rig.Type] {
		text := "name: " + id + "\nbeam: {half: 40°}\nemitters:\n" + emitters + "modes:\n  one: {1: {drives: a}, 2: {drives: b}, 3: {drives: c}}\n"
		got, faults := rig.ReadType(id, id, []byte(text))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		return source.Entry[*rig.Type]{Name: id, Value: got}
	}
	wide := typeOf("wide", "  a: {peak: 630 nm, width: 15 nm, output: 1 W}\n  b: {peak: 525 nm, width: 30 nm, output: 1 W}\n  c: {peak: 455 nm, width: 18 nm, output: 1 W}\n")
	narrow := typeOf("narrow", "  a: {like: phosphor 2700 K, output: 100 lm}\n  b: {like: phosphor 6500 K, output: 100 lm}\n  c: {peak: 540 nm, width: 100 nm, output: 1 W}\n")
	s, err := solvedBench()
	if err != nil {
		t.Fatal(err)
	}
	for _, types := range []source.Named[*rig.Type]{{s.Rig.Types[0], wide, narrow}, {narrow, wide}} {
		g := Gamuts(&show.Show{Rig: &rig.Rig{Types: types}}, -1)
		var names []string
		for _, t := range g.Types {
			names = append(names, t.Name)
		}
		slices.Sort(names)
		if !slices.Equal(names, []string{"narrow", "wide"}) {
			t.Errorf("drawn are %v", names)
		}
		corners := show.Gamut(narrow.Value)
		if len(corners) != 3 || len(g.Common) != 3 {
			t.Fatalf("in common %v, of %v", g.Common, corners)
		}
		for _, c := range corners {
			if !slices.ContainsFunc(g.Common, func(d light.UV) bool { return c.Distance(d) < 2e-5 }) {
				t.Errorf("the corner %v of the narrow type is not in common: %v", c, g.Common)
			}
		}
	}
}
