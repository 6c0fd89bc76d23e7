package room_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/room"
)

// coloured are materials of the random rooms beside the generic ones.
const coloured = `
materials:
  red wall: {reflectance: [{at: 560 nm, share: 6 %}, {at: 620 nm, share: 60 %}]}
  blue wall: {reflectance: [{at: 400 nm, share: 40 %}, {at: 480 nm, share: 45 %}, {at: 560 nm, share: 8 %}]}
  green wall: {reflectance: [{at: 450 nm, share: 8 %}, {at: 530 nm, share: 45 %}, {at: 600 nm, share: 10 %}]}
  pale wall: {reflectance: [{at: 390 nm, share: 20 %}, {at: 430 nm, share: 75 %}]}
`

// drawing makes the text of a room and of a rig: boxes, drapes (some of them from wall to wall),
// a cloth on the floor, painted objects, masked bars and spots, coloured walls.
type drawing struct {
	rng     *rand.Rand
	w, d, h float64
	front   float64
}

func (g *drawing) between(a, b float64) float64 { return a + (b-a)*g.rng.Float64() }

func (g *drawing) of(names ...string) string { return names[g.rng.IntN(len(names))] }

func (g *drawing) room() string {
	g.w, g.d, g.h = g.between(5, 10), g.between(7, 14), g.between(3, 4.5)
	g.front = g.d * g.between(.45, .65)
	var b strings.Builder
	b.WriteString(coloured)
	fmt.Fprintf(&b, "size: [%.3f m, %.3f m, %.3f m]\nstage front: %.3f m\n", g.w, g.d, g.h, g.front)
	walls := []string{"red wall", "blue wall", "green wall", "pale wall", "grey paint", "white paint", "cream plaster"}
	fmt.Fprintf(&b, "walls: %s\nfloor: %s\nceiling: %s\n", g.of(walls...), g.of("wood floor", "dark wood", "black dance floor", "grey paint"), g.of("white paint", "black paint", "pale wall"))
	g.surfaces(&b)
	g.boxes(&b)
	b.WriteString("objects:\n")
	for i := range 1 + g.rng.IntN(3) {
		fmt.Fprintf(&b, "  object %d: {paint: %s, centre: [%.3f m, %.3f m, %.3f m], width: %.3f m, height: %.3f m, faces: [%.3f m, -1 m, 0 m]}\n", i,
			g.of("fluorescent yellow-green", "fluorescent orange", "fluorescent pink"), 1.1*float64(i)-1.1+g.between(-.15, .15), g.between(.9, 1.3), g.between(1, 2), g.between(.2, .8), g.between(.2, .8), g.between(-.5, .5))
	}
	b.WriteString("audience:\n")
	for range 3 {
		fmt.Fprintf(&b, "  - {at: [%.3f m, %.3f m, 1.2 m]}\n", g.between(-.4, .4)*g.w, g.between(-.9, -.3)*g.front)
	}
	fmt.Fprintf(&b, "performers:\n  - {at: [%.3f m, 0.8 m, 1.6 m]}\n", g.between(-1, 1))
	return b.String()
}

func (g *drawing) surfaces(b *strings.Builder) {
	b.WriteString("surfaces:\n")
	cloths := []string{"black velvet", "black cloth", "grey cloth", "red velvet", "white cloth"}
	back := g.d - g.front - g.between(.2, 1)
	fmt.Fprintf(b, "  backdrop: {material: %s, centre: [0 m, %.3f m, %.3f m], width: %.3f m, height: %.3f m, faces: [0 m, -1 m, 0 m]}\n", g.of(cloths...), back, g.h/2, g.of2(g.w, .7*g.w), g.of2(g.h, .8*g.h))
	for i := range g.rng.IntN(4) {
		high := g.of2(g.h, g.h*g.between(.5, .9))
		fmt.Fprintf(b, "  leg %d: {material: %s, centre: [%.3f m, %.3f m, %.3f m], width: %.3f m, height: %.3f m, faces: [%.3f m, -1 m, 0 m]}\n", i, g.of(cloths...),
			g.between(.25, .35)*g.w*g.of2(1, -1), g.between(.3, back-.5), high/2, g.between(.6, 1.3), high, g.of2(0, g.between(-.8, .8)))
	}
	if g.rng.IntN(2) == 0 {
		fmt.Fprintf(b, "  floor cloth: {material: %s, centre: [0 m, %.3f m, 0.01 m], width: %.3f m, height: %.3f m, faces: [0 m, 0 m, 1 m]}\n", g.of(cloths...), back/2, .6*g.w, .6*back)
	}
}

func (g *drawing) of2(a, b float64) float64 { return []float64{a, b}[g.rng.IntN(2)] }

func (g *drawing) boxes(b *strings.Builder) {
	b.WriteString("boxes:\n")
	for i := range 1 + g.rng.IntN(3) {
		h := g.between(.3, 1.1)
		z := g.of2(h/2, h/2)
		if g.rng.IntN(4) == 0 {
			z = g.h - .3 - h/2
		}
		fmt.Fprintf(b, "  box %d: {centre: [%.3f m, %.3f m, %.3f m], size: [%.3f m, %.3f m, %.3f m], material: %s}\n", i,
			g.between(-.3, .3)*g.w, g.between(-.7, -.2)*g.front, z, g.between(.3, 1.8), g.between(.3, .9), h, g.of("dark wood", "grey paint", "white paint", "red wall"))
	}
}

// rig hangs two to five units, some with masks.
func (g *drawing) rig(t testing.TB) *rig.Rig {
	bar := kind(t, "bar", `
name: bar of six cells
size: [1 m, 0.09 m, 0.12 m]
cells: 6
beam: {half: 40°, tenth: 72°}
emitters:
  red: {peak: 625 nm, width: 18 nm, output: 2 W}
  white: {like: phosphor 6500 K, output: 520 lm}
  uv: {peak: 397 nm, width: 13 nm, output: 4.2 W}
modes:
  all: {1: {drives: red}, 2: {drives: white}, 3: {drives: uv}}
`)
	par := kind(t, "par", `
name: par
size: [0.18 m, 0.18 m, 0.2 m]
beam: {half: 25°, shape: gaussian}
emitters:
  green: {peak: 520 nm, width: 33 nm, output: 3 W}
  blue: {peak: 455 nm, width: 20 nm, output: 2.4 W}
  white: {like: phosphor 3000 K, output: 900 lm}
modes:
  all: {1: {drives: green}, 2: {drives: blue}, 3: {drives: white}}
`)
	var b strings.Builder
	b.WriteString("units:\n")
	for i := range 2 + g.rng.IntN(4) {
		kind, mask := g.of("bar", "par"), ""
		x, y, z := g.between(-.4, .4)*g.w, g.between(-.5, .7), g.h-g.between(.3, .6)
		if i%3 == 2 {
			z = g.between(.2, .3)
			mask = ", mask: 30°"
		}
		fmt.Fprintf(&b, "  - {unit: u%d, type: %s, universe: %d, address: 1, at: [%.3f m, %.3f m, %.3f m], aim: [%.3f m, %.3f m, %.3f m]%s}\n", i, kind, i+1,
			x, y, z, g.between(-1, 1), g.between(1, 3), g.between(.5, 2), mask)
	}
	return hang(t, b.String(), bar, par)
}

// comparison is a place by both.
type comparison struct {
	what          string
	got, want, by float64 // by: the tracer's standard error
}

// off is by how much of the true value the transport is wrong; next to nothing counts as
// a hundredth of a lux or of a candela per square metre.
func (c *comparison) off() float64 { return math.Abs(c.got-c.want) / max(c.want, .01) }

// against asks transport and tracer for n places of a room: eyes, objects and their glow, and for the rest
// places by chance, patches as often as they are large.
func against(t testing.TB, r *room.Room, rg *rig.Rig, rng *rand.Rand, n int, within float64, most int) []comparison {
	tr, levels := solve(t, r, rg, room.Usual), full(rg)
	tracer := newTracer(r, rg, levels)
	var out []comparison
	for _, place := range someOf(tr, rng, n) {
		out = append(out, compared(t, tr, tracer, rng, place, levels, within, most)...)
	}
	return out
}

// compared asks for lux, and for the glow of an object.
func compared(t testing.TB, tr *room.Transport, tracer *tracer, rng *rand.Rand, place int, levels []float32, within float64, most int) []comparison {
	p := &tr.Places[place]
	weights := []spectrum{luminous()}
	glow := p.Kind == room.KindObject && !tr.Panels[p.Panel].Back
	if glow {
		// What a paint makes of one W/m2 of each wavelength, cd/m2.
		c := tracer.coats[tracer.quads[objectQuad(tracer, tr, p.Name)].coat]
		var w spectrum
		for b := range w {
			for o, v := range weights[0] {
				w[b] += c.glows[b][o] * v / math.Pi
			}
		}
		weights = append(weights, w)
	}
	mean, err := tracer.mean(rng, spotAt(tr, place), weights, within, most)
	if mean == nil {
		t.Errorf("nothing of a patch of %s at %v is bare", p.Name, p.At)
		return nil
	}
	where := fmt.Sprintf("%s at %.2f", p.Name, p.At)
	out := []comparison{{"lux on " + where, tr.Reading(place, room.Photopic, levels), mean[0], err[0]}}
	if glow {
		out = append(out, comparison{"glow of " + where, tr.GlowOnly(place, levels).Y, mean[1], err[1]})
	}
	return out
}

// objectQuad finds an object's rectangle: they come last, in the room's order.
func objectQuad(tracer *tracer, tr *room.Transport, name string) int {
	var names []string
	for i := range tr.Panels {
		if tr.Panels[i].Kind == room.KindObject && !slices.Contains(names, tr.Panels[i].Name) {
			names = append(names, tr.Panels[i].Name)
		}
	}
	return len(tracer.quads) - len(names) + slices.Index(names, name)
}

// spotAt is a place as a spot: its patch, or its point.
func spotAt(tr *room.Transport, place int) *spotOf {
	p := &tr.Places[place]
	if p.Panel < 0 {
		return &spotOf{corner: tvOf(p.At), n: tvOf(p.Normal).norm()}
	}
	panel := &tr.Panels[p.Panel]
	u := tvOf(panel.U).scaled(panel.Width / float64(panel.Cols))
	v := tvOf(panel.V).scaled(panel.Height / float64(panel.Rows))
	return &spotOf{tvOf(p.At).add(u, -.5).add(v, -.5), u, v, tvOf(p.Normal)}
}

// someOf draws places: the eyes, up to eight patches of objects, the rest by area.
func someOf(tr *room.Transport, rng *rand.Rand, n int) []int {
	out := append([]int(nil), tr.Eyes...)
	var objects []int
	total := 0.0
	for i := range tr.Places {
		p := &tr.Places[i]
		if p.Kind == room.KindObject && !tr.Panels[p.Panel].Back && p.Area > 0 {
			objects = append(objects, i)
		}
		total += p.Area
	}
	rng.Shuffle(len(objects), func(i, j int) { objects[i], objects[j] = objects[j], objects[i] })
	out = append(out, objects[:min(8, len(objects), n/4)]...)
	for len(out) < n {
		left := total * rng.Float64()
		for i := range tr.Places {
			if left -= tr.Places[i].Area; left < 0 {
				out = append(out, i)
				break
			}
		}
	}
	return out[:n]
}

// The transport against the tracer in rooms drawn by chance: the median within 1 %, 95 of 100
// within 5 %, beside the tracer's own error. The long form is 30 rooms
// with 40 places each, the short one two with twelve.
func TestAgainstTracer(t *testing.T) {
	rooms, places, within, most := 2, 12, .01, 40000
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rooms, places, within, most = 30, 40, .006, 150000
	}
	var all []comparison
	for i := range rooms {
		g := drawing{rng: rand.New(rand.NewPCG(16, uint64(i)))}
		text := g.room()
		more := against(t, read(t, text), g.rig(t), g.rng, places, within, most)
		for j := range more {
			more[j].what = fmt.Sprintf("room %d: %s", i, more[j].what)
		}
		all = append(all, more...)
		if rooms > 2 {
			t.Logf("after room %d:", i) // a long run that is cut short still tells something
			reportOn(t, slices.Clone(all))
		}
	}
	median, most95, by, by95 := reportOn(t, all)
	// Chance and error add up as squares.
	if limit := math.Hypot(.01, by); median > limit {
		t.Errorf("the median is %.2f %% off, may be %.2f %%", 100*median, 100*limit)
	}
	if limit := math.Hypot(.05, by95); most95 > limit {
		t.Errorf("95 of 100 are within %.2f %%, may be %.2f %%", 100*most95, 100*limit)
	}
}

// reportOn tells how far off the two are, and how far the tracer may be by chance.
func reportOn(t testing.TB, all []comparison) (median, most, by, by95 float64) {
	slices.SortFunc(all, func(a, b comparison) int { return int(math.Copysign(1, a.off()-b.off())) })
	chance := make([]float64, len(all))
	for i := range all {
		chance[i] = all[i].by / max(all[i].want, .01)
	}
	slices.Sort(chance)
	median, most = all[len(all)/2].off(), all[len(all)*95/100].off()
	t.Logf("%d values: median %.2f %%, 95 of 100 within %.2f %%, largest %.1f %%; the tracer's own error %.2f %% on the median, 95 of 100 within %.2f %%",
		len(all), 100*median, 100*most, 100*all[len(all)-1].off(), 100*chance[len(all)/2], 100*chance[len(all)*95/100])
	for _, c := range all[len(all)*90/100:] {
		t.Logf("%s: %.4g, traced %.4g ± %.2g (%+.1f %%)", c.what, c.got, c.want, c.by, 100*(c.got/c.want-1))
	}
	return median, most, chance[len(all)/2], chance[len(all)*95/100]
}
