package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
)

// randomShow is a whole folder, drawn: trees of its text files, which faults
// may still change, and the bytes of its other files.
type randomShow struct {
	r     *rand.Rand
	texts map[string]*node  // by path in the folder
	bytes map[string][]byte // written as they are, in place of a text of that name
	track sound
	take  sound
	desk  *node
	at    string   // the instant to draw
	heard []string // moments, as "hit 0:31.200"

	// what the texts may name
	used     map[string]bool
	types    []*fixtureType
	units    []*unit
	systems  []string
	surfaces []string
	objects  []string // that fluoresce
	seats    []string
	looks    []string
	size     [3]float64
	front    float64
	boxes    [][6]float64 // centre and size
	sheets   [][3]float64 // centres of surfaces and objects
}

type fixtureType struct {
	name     string
	emitters []string
	modes    []fixtureMode
	cells    int
}

type fixtureMode struct {
	name   string
	slots  int
	flash  [2]float64 // nothing: no strobe
	driven map[string]bool
}

type unit struct {
	name    string
	of      *fixtureType
	mode    fixtureMode
	systems []string
}

// oddNames are names that people do give, and that programs trip over.
var oddNames = []string{"no", "12", "null", "x, y", "it's", `6" par`, "50 %", "a: b", "#3", "=1+1", "-", "~", "Ünit ä", "灯 3", "naïve (old)", "[left]", "@home",
	strings.Repeat("long ", 30) + "name", "true", "1e3", "0:31.2", "a/b", "all", "* star", "& and", "back\\slash", "🐟", "{brace}", "%s", "<b>bold</b>", "|", ">"}

// name draws a name that was not used before.
func (s *randomShow) name(what string) string {
	n := fmt.Sprintf("%s %d", what, 1+s.r.IntN(99))
	if one(s.r, 12) {
		n = pick(s.r, oddNames...)
	}
	for s.used[strings.ToLower(n)] {
		n += pick(s.r, "a", "e", "i", "o")
	}
	s.used[strings.ToLower(n)] = true
	return n
}

// num prints a number with few figures.
func num(x float64) string { return fmt.Sprint(math.Round(x*100) / 100) }

func (s *randomShow) between(a, b float64) float64 { return a + (b-a)*s.r.Float64() }

// clock prints a time of the show in one of the ways that it may be written.
func (s *randomShow) clock(t float64) string {
	switch s.r.IntN(6) {
	case 0:
		return fmt.Sprintf("%.2f s", t)
	case 1:
		return fmt.Sprintf("%d ms", int(t*1000))
	}
	return fmt.Sprintf("%d:%06.3f", int(t)/60, math.Mod(t, 60))
}

func (s *randomShow) point(x, y, z float64) *node {
	p := seq()
	for _, c := range []float64{x, y, z} {
		switch s.r.IntN(8) {
		case 0:
			p.kids = append(p.kids, vf("%d cm", int(math.Round(c*100))))
		default:
			p.kids = append(p.kids, v(num(c)+" m"))
		}
	}
	return p
}

// inside draws a place in the room, at least 5 cm from its walls.
func (s *randomShow) inside() (x, y, z float64) { return s.within(0.05) }

// within draws a place that is so far from all walls, or in the middle between them.
func (s *randomShow) within(far float64) (x, y, z float64) {
	w, d, h := s.size[0], s.size[1], s.size[2]
	a, b, c := min(far, w/2), min(far, d/2), min(far, h/2)
	return s.between(a-w/2, w/2-a), s.between(b-s.front, d-s.front-b), s.between(c, h-c)
}

// newRandomShow draws a folder that should be read without a fault.
func newRandomShow(r *rand.Rand, listen func([]byte) []string) *randomShow {
	s := &randomShow{r: r, texts: map[string]*node{}, bytes: map[string][]byte{}, used: map[string]bool{}}
	s.track = randomSound(r)
	s.take = s.track.take(r)
	s.heard = listen(s.track.wave())
	s.at = fmt.Sprintf("%.3f s", s.between(0, s.track.seconds()))
	s.room()
	s.fixtures()
	s.rig()
	s.score()
	s.show()
	if one(r, 3) {
		s.wishes()
	}
	if one(r, 3) {
		s.decisions()
	}
	s.randomDesk()
	return s
}

var someMaterials = []string{"black velvet", "black cloth", "grey paint", "white paint", "cream plaster", "concrete", "brick", "wood floor", "carpet", "red velvet", "light skin", "optical white cloth"}

var glowing = []string{"fluorescent blue", "fluorescent cyan", "fluorescent green", "fluorescent yellow-green", "fluorescent yellow", "fluorescent pink", "fluorescent orange", "fluorescent red", "optical white cloth", "optical white paper"}

func (s *randomShow) room() {
	r := s.r
	s.size = [3]float64{s.between(3, 12), s.between(4, 18), s.between(2.2, 6)}
	if one(r, 10) { // odd but possible: a corridor, a tower, a hall
		s.size = pick(r, [3]float64{1.2, 25, 2.2}, [3]float64{3, 3, 14}, [3]float64{40, 60, 12}, [3]float64{30, 2, 3})
	}
	s.front = s.size[1] * s.between(0.3, 0.8)
	mat := append([]string{}, someMaterials...)
	own := m()
	for range r.IntN(3) {
		n := s.name("stuff")
		mat = append(mat, n)
		if one(r, 2) {
			own.set(n, m("reflects", fmt.Sprintf("%d %%", r.IntN(99))))
		} else {
			table := seq()
			for nm := 380; nm <= 760; nm += 40 + r.IntN(60) {
				table.kids = append(table.kids, m("at", fmt.Sprintf("%d nm", nm), "share", num(0.98*r.Float64())))
			}
			own.set(n, m("reflectance", table))
		}
	}
	t := m("size", seq(v(num(s.size[0])+" m"), v(num(s.size[1])+" m"), v(num(s.size[2])+" m")), "stage front", num(s.front)+" m")
	for _, k := range []string{"walls", "floor", "ceiling"} {
		if !one(r, 4) {
			t.set(k, v(pick(r, mat...)))
		}
	}
	if len(own.kids) > 0 {
		t.set("materials", own)
	}
	surfaces, objects, boxes, paths := m(), m(), m(), m()
	for range r.IntN(5) {
		n := s.name("cloth")
		s.surfaces = append(s.surfaces, n)
		surfaces.set(n, s.rectangle("material", pick(r, mat...)))
	}
	for range r.IntN(4) {
		n := s.name("thing")
		o := s.rectangle("paint", pick(r, glowing...))
		if len(s.surfaces) > 0 && one(r, 2) {
			o.set("background", v(pick(r, s.surfaces...)))
		} else if one(r, 2) {
			o.set("background", v(pick(r, someMaterials[:4]...)))
		}
		s.objects = append(s.objects, n)
		objects.set(n, o)
	}
	for range r.IntN(3) {
		x, y, z := s.within(0.55)
		w, d, h := s.between(0.02, 1), s.between(0.02, 1), s.between(0.02, 1)
		s.boxes = append(s.boxes, [6]float64{x, y, z, w, d, h})
		if slices.ContainsFunc(s.sheets, func(c [3]float64) bool { return s.boxed(c[0], c[1], c[2]) }) {
			s.boxes = s.boxes[:len(s.boxes)-1]
			continue
		}
		boxes.set(s.name("box"), m("centre", s.point(x, y, z), "size", s.point(w, d, h), "material", pick(r, mat...)))
	}
	for range r.IntN(3) {
		points := seq()
		for range 2 + r.IntN(4) {
			x, y, _ := s.inside()
			points.kids = append(points.kids, s.point(x, y, 0))
		}
		p := m("points", points)
		if one(r, 2) {
			p.set("width", v(num(s.between(0.4, 1.5))+" m"))
		}
		paths.set(s.name("way"), p)
	}
	for _, x := range []struct {
		key string
		n   *node
	}{{"surfaces", surfaces}, {"objects", objects}, {"boxes", boxes}, {"audience", s.eyes("seat", 6)}, {"performers", s.eyes("player", 3)}, {"paths", paths}} {
		if len(x.n.kids) > 0 {
			t.set(x.key, x.n)
		}
	}
	s.texts["room.yaml"] = t
}

// boxed says whether a place is in or next to a box.
func (s *randomShow) boxed(x, y, z float64) bool {
	for _, b := range s.boxes {
		if math.Abs(x-b[0]) < b[3]/2+0.02 && math.Abs(y-b[1]) < b[4]/2+0.02 && math.Abs(z-b[2]) < b[5]/2+0.02 {
			return true
		}
	}
	return false
}

func (s *randomShow) rectangle(key, of string) *node {
	most := min(1.2, 0.6*min(s.size[0], s.size[1], s.size[2])) // so that it fits however it is turned
	width, height := s.between(0.05, most), s.between(0.05, most)
	half := math.Hypot(width, height)/2 + 0.02
	x, y, z := s.within(half)
	s.sheets = append(s.sheets, [3]float64{x, y, z})
	faces := s.point(0, -1, 0)
	switch s.r.IntN(4) {
	case 0:
		faces = s.point(0, 0, 1)
	case 1:
		faces = s.point(s.between(-1, 1), -1, s.between(-1, 1))
	case 2:
		faces = s.point(pick(s.r, -1.0, 1), 0, 0)
	}
	return m(key, of, "centre", s.point(x, y, z), "width", num(width)+" m", "height", num(height)+" m", "faces", faces)
}

func (s *randomShow) eyes(what string, most int) *node {
	all := seq()
	for range s.r.IntN(most + 1) {
		x, y, z := s.inside()
		for s.boxed(x, y, z) {
			x, y, z = s.inside()
		}
		n := s.name(what)
		e := m("name", n, "at", s.point(x, y, z))
		if one(s.r, 3) {
			x, y, z := s.inside()
			e.set("looks at", s.point(x, y, z))
		}
		if one(s.r, 3) {
			e.set("child", v(pick(s.r, "yes", "no")))
		}
		s.seats = append(s.seats, n)
		all.kids = append(all.kids, e)
	}
	return all
}

// lights are emitters of random fixtures, by name.
var lights = map[string][]string{
	"red":   {"peak: 625 nm, width: 18 nm", "peak: 603 nm, width: 14 nm", "peak: 660 nm, width: 20 nm"},
	"green": {"peak: 522 nm, width: 33 nm", "peak: 535 nm, width: 30 nm"},
	"blue":  {"peak: 458 nm, width: 22 nm", "peak: 470 nm, width: 24 nm", "peak: 445 nm, width: 20 nm"},
	"amber": {"peak: 592 nm, width: 15 nm", "like: phosphor 2000 K"},
	"white": {"like: phosphor 6500 K", "like: phosphor 3000 K", "like: phosphor 4000 K"},
	"warm":  {"like: phosphor 2700 K"},
	"uv":    {"peak: 397 nm, width: 13 nm", "peak: 385 nm, width: 10 nm", "peak: 365 nm, width: 11 nm"},
	"lime":  {"peak: 560 nm, width: 90 nm"},
}

var manyLamps = [][]string{{"red", "green", "blue"}, {"red", "green", "blue", "white"}, {"red", "green", "blue", "white", "uv"}, {"uv"}, {"white"}, {"white", "warm"},
	{"red", "green", "blue", "amber", "lime", "white"}, {"red"}, {"blue", "uv"}, {"red", "green", "blue", "uv"}}

func (s *randomShow) fixtures() {
	for i := range 1 + s.r.IntN(5) {
		f := &fixtureType{name: fmt.Sprintf("%s-%d", pick(s.r, "par", "bar", "flood", "Lampe", "old spot", "灯"), i+1), cells: 1}
		f.emitters = pick(s.r, manyLamps...)
		if one(s.r, 3) {
			f.cells = 2 + s.r.IntN(8)
		}
		s.texts["fixtures/"+f.name+".yaml"] = s.fixture(f)
		s.types = append(s.types, f)
	}
}

func (s *randomShow) fixture(f *fixtureType) *node {
	r := s.r
	t := m("name", s.name("Kind"))
	if one(r, 2) || f.cells > 1 {
		t.set("size", s.point(s.between(0.1, 1.2), s.between(0.05, 0.3), s.between(0.05, 0.3)))
	}
	if f.cells > 1 || one(r, 8) {
		t.set("cells", vf("%d", f.cells))
	}
	t.set("beam", s.beam())
	if !one(r, 4) {
		supply := m("max", fmt.Sprintf("%d W", 5+r.IntN(300)))
		for _, kx := range [][2]string{{"factor", num(s.between(0.5, 1))}, {"inrush", fmt.Sprintf("%d A for %d us", 1+r.IntN(40), 50+r.IntN(500))},
			{"leakage", num(s.between(0.1, 3)) + " mA"}, {"link", fmt.Sprintf("%d units", 1+r.IntN(12))}, {"through", "10 A"}} {
			if !one(r, 3) {
				supply.set(kx[0], v(kx[1]))
			}
		}
		t.set("supply", supply)
	}
	if one(r, 2) {
		t.set("on data loss", v(pick(r, "hold", "dark", "runs a program")))
	}
	if one(r, 6) {
		t.set("unit loads", v(pick(r, "0.125", "0.25", "1")))
	}
	emitters := m()
	for _, e := range f.emitters {
		form := m()
		if one(r, 8) {
			table, power := seq(), 0.0
			for nm := 380; nm <= 720; nm += 20 + r.IntN(40) {
				p := math.Round(100*r.Float64()) / 100
				if e == "uv" && nm > 420 {
					p = 0
				}
				power += p
				table.kids = append(table.kids, m("at", fmt.Sprintf("%d nm", nm), "power", num(p)))
			}
			if power == 0 {
				table.kids[0].kids[1].text = "1"
			}
			form.set("spectrum", table)
		} else {
			for part := range strings.SplitSeq(pick(r, lights[e]...), ", ") {
				k, x, _ := strings.Cut(part, ": ")
				form.set(k, v(x))
			}
		}
		output := pick(r, "%d lm", "%d lm ± 40 %%")
		if e == "uv" {
			output = pick(r, "%d W", "%d W ± 30 %%")
		}
		n := 1 + r.IntN(8)
		if e != "uv" {
			n *= 60
		}
		form.set("output", vf(output, n))
		if e == "uv" && one(r, 4) {
			form.get("output").text = "2 W to 4 W"
		}
		if one(r, 12) {
			form.set("beam", s.beam())
		}
		emitters.set(e, form)
	}
	t.set("emitters", emitters)
	modes := m()
	for range 1 + r.IntN(3) {
		s.mode(f, modes)
	}
	t.set("modes", modes)
	if one(r, 5) {
		t.set("notes", v("found in the cellar; \"works\": mostly"))
	}
	return t
}

func (s *randomShow) beam() *node {
	half := 8 + s.r.IntN(90)
	b := m("half", fmt.Sprintf("%d°", half))
	if one(s.r, 2) {
		b.set("tenth", vf("%d°", half+2+s.r.IntN(70)))
	}
	if one(s.r, 3) {
		b.set("shape", v(pick(s.r, "cosine power", "gaussian", "flat")))
		if b.get("shape").text != "gaussian" && len(b.kids) == 3 { // a shape of one figure takes no second
			b.keys, b.kids = append(b.keys[:1], b.keys[2]), append(b.kids[:1], b.kids[2])
		}
	}
	return b
}

// mode draws a slot table in which every emitter can be driven.
func (s *randomShow) mode(f *fixtureType, into *node) {
	r := s.r
	md := fixtureMode{name: s.name("mode"), driven: map[string]bool{}}
	t, slot := m(), 0
	add := func(n *node) {
		slot++
		if one(r, 8) && (n.get("drives") != nil) {
			t.set(fmt.Sprintf("%d-%d", slot, slot+1), n)
			slot++
			return
		}
		t.set(fmt.Sprint(slot), n)
	}
	curve := func(n *node) *node {
		switch r.IntN(8) {
		case 0:
			n.set("curve", m("then", pick(r, "linear", "square", "s")))
		case 1:
			n.set("curve", m("dark to", fmt.Sprint(r.IntN(40)), "then", pick(r, "linear", "square", "s"), "full from", fmt.Sprint(200+r.IntN(56))))
		}
		return n
	}
	if one(r, 2) {
		add(curve(m("dims", "all")))
	} else if one(r, 4) {
		add(curve(m("dims", names(f.emitters))))
	}
	for _, e := range f.emitters {
		md.driven[e] = true
		if f.cells > 1 && one(r, 2) {
			for c := range f.cells {
				add(curve(m("drives", e, "cell", fmt.Sprint(c+1))))
			}
			continue
		}
		add(curve(m("drives", e)))
	}
	if one(r, 2) {
		low, high := 1+r.IntN(3), 8+r.IntN(17)
		flash := fmt.Sprintf("flash %s%d Hz to %d Hz", pick(r, "", "", "random "), low, high)
		x := m("0-9", pick(r, "open", "closed"), "10-200", flash, "201-255", pick(r, "open", "nothing", "never"))
		if x.kids[0].text == "closed" {
			x.kids[2].text = "open"
		}
		if !strings.Contains(flash, "random") {
			md.flash = [2]float64{float64(low), float64(high)}
		}
		add(x)
	}
	if one(r, 3) {
		add(m("0-9", "off", "10-255", "never"))
	}
	if one(r, 4) {
		add(m("idle", "speed", "set", fmt.Sprint(r.IntN(256))))
	}
	md.slots = slot
	f.modes = append(f.modes, md)
	into.set(md.name, t)
}

func (s *randomShow) rig() {
	r := s.r
	systems := []string{"front", "side", "uv", "top", "foot"}[:1+r.IntN(5)]
	if one(r, 4) {
		systems = append([]string{s.name("system")}, systems...)
	}
	circuits, lines, all := m(), m(), seq()
	var circuitNames, lineNames []string
	for range r.IntN(4) {
		n := s.name("circuit")
		circuitNames = append(circuitNames, n)
		circuits.set(n, s.circuit())
	}
	for range r.IntN(3) {
		lineNames = append(lineNames, s.name("line"))
	}
	orders, universes := map[string]*node{}, map[string]int{}
	for i, n := range lineNames {
		orders[n], universes[n] = seq(), 1+i*r.IntN(2)
	}
	free := map[int]int{} // next free address, by universe
	fed := map[string]string{}
	for range 1 + r.IntN(pick(r, 4, 10, 20)) {
		f := pick(r, s.types...)
		u := &unit{name: s.name("unit"), of: f, mode: pick(r, f.modes...)}
		x, y, z := s.inside()
		for s.boxed(x, y, z) {
			x, y, z = s.inside()
		}
		ax, ay, az := s.inside()
		t := m("unit", u.name, "type", f.name)
		if len(f.modes) > 1 || one(r, 2) {
			t.set("mode", v(u.mode.name))
		}
		universe := 1 + 2*r.IntN(2)*r.IntN(2)
		line := ""
		if len(lineNames) > 0 && !one(r, 4) {
			line = pick(r, lineNames...)
			universe = universes[line]
		}
		if universe != 1 || one(r, 4) {
			t.set("universe", vf("%d", universe))
		}
		at := free[universe] + 1 + r.IntN(3)*r.IntN(10)
		if at+u.mode.slots-1 > 512 {
			break
		}
		free[universe] = at + u.mode.slots - 1
		t.set("address", vf("%d", at))
		t.set("at", s.point(x, y, z))
		t.set("aim", s.point(ax, ay, az))
		for _, sys := range systems {
			if one(r, 2) {
				u.systems = append(u.systems, sys)
			}
		}
		if len(u.systems) > 0 {
			t.set("systems", names(u.systems))
		}
		if len(circuitNames) > 0 && !one(r, 4) {
			if len(s.units) > 0 && one(r, 3) && fed[s.units[len(s.units)-1].name] != "" {
				t.set("fed by", v(s.units[len(s.units)-1].name))
			} else {
				t.set("circuit", v(pick(r, circuitNames...)))
			}
			fed[u.name] = "something"
			if one(r, 2) {
				t.set("lead", m("length", num(s.between(1, 25))+" m", "section", pick(r, "1.5 mm2", "1 mm2", "14 AWG"), "connector", "10 A"))
			}
		}
		if line != "" {
			t.set("line", v(line))
			orders[line].kids = append(orders[line].kids, v(u.name))
		}
		if one(r, 6) {
			t.set("turn", vf("%d°", r.IntN(360)))
		}
		if one(r, 8) {
			t.set("mask", vf("%d°", 10+r.IntN(70)))
		}
		if one(r, 8) {
			t.set("on data loss", v(pick(r, "hold", "dark", "runs a program")))
		}
		if one(r, 8) {
			t.set("note", v("its fan is loud"))
		}
		s.units = append(s.units, u)
		all.kids = append(all.kids, t)
	}
	for _, n := range lineNames {
		if len(orders[n].kids) == 0 {
			continue
		}
		l := m("universe", fmt.Sprint(universes[n]), "order", orders[n], "length", fmt.Sprintf("%d m", 5+r.IntN(200)))
		l.set("terminated", v(pick(r, "yes", "no")))
		if one(r, 3) {
			l.set("cable", v(pick(r, "data", "microphone", "network")))
		}
		if one(r, 6) {
			l.set("adaptors", vf("%d", r.IntN(4)))
		}
		if one(r, 6) {
			l.set("wireless", v("yes"))
			l.set("spare wire", v(pick(r, "yes", "no")))
		}
		if one(r, 4) {
			l.set("isolated", v(pick(r, "yes", "no")))
		}
		lines.set(n, l)
	}
	t := m("units", all)
	if len(circuits.kids) > 0 {
		t.set("circuits", circuits)
	}
	if len(lines.kids) > 0 {
		t.set("lines", lines)
	}
	s.texts["rig.yaml"] = t
	seen := map[string]bool{}
	for _, u := range s.units {
		for _, sys := range u.systems {
			if !seen[sys] {
				seen[sys] = true
				s.systems = append(s.systems, sys)
			}
		}
	}
}

func (s *randomShow) circuit() *node {
	r := s.r
	c := m()
	if !one(r, 6) {
		c.set("breaker", v(pick(r, "C16", "B16", "C10", "20 A", "B6", "D16")))
	}
	if !one(r, 6) {
		c.set("voltage", v(pick(r, "230 V", "120 V", "240 V")))
	}
	if one(r, 2) {
		c.set("residual current device", v(pick(r, "30 mA", "300 mA")))
	}
	if one(r, 3) {
		c.set("phase", v(pick(r, "L1", "L2", "L3")))
	}
	if one(r, 2) {
		cable := m("length", fmt.Sprintf("%d m", 1+r.IntN(80)), "section", pick(r, "1.5 mm2", "2.5 mm2", "12 AWG"), "connector", "16 A")
		if one(r, 3) {
			cable.set("temperature", v("45 °C"))
		}
		c.set("cable", cable)
	}
	if one(r, 4) {
		c.set("outlet", v("16 A"))
	}
	if one(r, 6) {
		c.set("carries", names([]string{"sound"}))
	}
	if one(r, 6) {
		c.set("other load", vf("%d VA", r.IntN(2000)))
	}
	if one(r, 8) {
		c.set("dimmed", v("no"))
	}
	return c
}

// colour draws a colour in one of the ways in which it may be written.
func (s *randomShow) colour() *node {
	switch s.r.IntN(6) {
	case 0:
		return vf("%d K", 1800+s.r.IntN(7000))
	case 1:
		return vf("x %.3f y %.3f", s.between(0.25, 0.45), s.between(0.25, 0.45))
	case 2:
		return vf("%d nm", 440+s.r.IntN(200))
	}
	return vf("#%02x%02x%02x", s.r.IntN(256), s.r.IntN(256), 1+s.r.IntN(255))
}

// group is what a part speaks to, and the units behind it.
func (s *randomShow) group() (key string, value *node, of []*unit) {
	if len(s.systems) > 0 && !one(s.r, 3) {
		sys := pick(s.r, s.systems...)
		for _, u := range s.units {
			for _, x := range u.systems {
				if x == sys {
					of = append(of, u)
				}
			}
		}
		return "system", v(sys), of
	}
	some := seq()
	seen := map[*unit]bool{}
	for range 1 + s.r.IntN(3) {
		if u := pick(s.r, s.units...); !seen[u] {
			seen[u] = true
			of = append(of, u)
			some.kids = append(some.kids, v(u.name))
		}
	}
	return "units", some, of
}

// part draws one part of a look; nothing if its units can do none of what was drawn.
func (s *randomShow) part() *node {
	r := s.r
	key, value, of := s.group()
	p := m(key, value)
	has := func(e string) bool {
		for _, u := range of {
			if !u.mode.driven[e] {
				return false
			}
		}
		return true
	}
	visible := false
	for _, u := range of {
		for _, e := range u.of.emitters {
			visible = visible || e != "uv"
		}
	}
	places := append(append([]string{}, s.surfaces...), s.objects...)
	switch k := r.IntN(8); {
	case k < 3 && visible:
		p.set("colour", s.colour())
		p.set("level", vf("%d %%", r.IntN(101)))
	case k == 3 && visible && len(places) > 0:
		p.set("colour", s.colour())
		p.set("lux", v(num(s.between(0.5, 60))))
		p.set("on", v(pick(r, places...)))
	case k < 6 && has("uv") && len(s.objects) > 0:
		g := m("object", pick(r, s.objects...))
		if one(r, 3) {
			g.set("luminance", v(num(s.between(0.1, 10))+" cd/m2"))
		} else {
			g.set("over background", v(num(s.between(2, 40))))
		}
		p.set("glow", g)
	default:
		amounts := m()
		for _, e := range of[0].of.emitters {
			if has(e) && (len(amounts.kids) == 0 || one(r, 2)) {
				amounts.set(e, vf("%d %%", r.IntN(101)))
			}
		}
		if len(amounts.kids) == 0 {
			return nil
		}
		p.set("emitters", amounts)
	}
	if one(r, 8) {
		cells := 99
		for _, u := range of {
			cells = min(cells, u.of.cells)
		}
		if cells > 1 {
			some := seq()
			for c := range cells {
				if one(r, 2) {
					some.kids = append(some.kids, vf("%d", c+1))
				}
			}
			if len(some.kids) > 0 {
				p.set("cells", some)
			}
		}
	}
	if one(r, 8) {
		low, high := 0.0, 99.0
		for _, u := range of {
			low, high = max(low, u.mode.flash[0]), min(high, u.mode.flash[1])
		}
		if low > 0 && high > low {
			p.set("flash", v(num(s.between(low, high))+" Hz"))
		}
	}
	return p
}

func (s *randomShow) score() {
	r := s.r
	looks := m()
	for range 1 + r.IntN(9) {
		n := s.name("look")
		l := m()
		if len(s.looks) > 0 && one(r, 3) {
			l.set("like", v(pick(r, s.looks...)))
		}
		if one(r, 2) {
			l.set("purpose", v(pick(r, "people come in", "the storm", "lights up", "night: nothing but the star")))
		}
		if one(r, 4) {
			l.set("fades", v(pick(r, "straight in light", "even to the eye")))
		}
		if one(r, 6) {
			l.set("people move", v(pick(r, "yes", "no")))
		}
		parts := seq()
		for range r.IntN(5) {
			if p := s.part(); p != nil {
				parts.kids = append(parts.kids, p)
			}
		}
		if len(parts.kids) > 0 {
			l.set("parts", parts)
		}
		if one(r, 6) && len(s.surfaces) > 0 {
			l.set("dark", seq(m("on", pick(r, s.surfaces...), "at most", num(s.between(0.05, 5))+" lx")))
		}
		if one(r, 8) {
			l.set("ultraviolet at eyes", m("at most", pick(r, "0.1 W/m2", "50 mW/m2", "5 uW/cm2")))
		}
		if len(l.kids) == 0 {
			l.set("purpose", v("nothing at all"))
		}
		looks.set(n, l)
		s.looks = append(s.looks, n)
	}
	t := m("looks", looks, "cues", s.cues())
	if one(r, 2) {
		t.set("brief", m("cues per minute", fmt.Sprint(1+r.IntN(40)), "shortest blackout warned of", fmt.Sprintf("%d s", 1+r.IntN(8))))
	}
	if one(r, 3) {
		calm, at := seq(), 0.0
		for range 1 + r.IntN(3) {
			from := at + s.between(0, 2)
			to := from + s.between(0.2, 3)
			if to > s.track.seconds() {
				break
			}
			calm.kids = append(calm.kids, m("from", s.clock(from), "to", s.clock(to+0.01), "why", "somebody speaks"))
			at = to + 0.1
		}
		if len(calm.kids) > 0 {
			t.set("calm", calm)
		}
	}
	s.texts["score.yaml"] = t
}

func (s *randomShow) cues() *node {
	r := s.r
	n := r.IntN(pick(r, 3, 12, 30))
	if one(r, 25) {
		n = r.IntN(301)
	}
	all := seq()
	long := s.track.seconds()
	at := 0.0
	for i := range n {
		c := m("cue", num(float64(5*(i+1))+float64(r.IntN(2))*0.5))
		when := at
		if len(s.heard) > 0 && one(r, 3) {
			c.set("on", v(pick(r, s.heard...)))
		} else {
			c.set("at", v(s.clock(when)))
		}
		c.set("look", v(pick(r, s.looks...)))
		if !one(r, 4) {
			c.set("up", v(s.length()))
		}
		if one(r, 3) {
			c.set("down", v(s.length()))
		}
		if one(r, 10) {
			c.set("delay", v(s.length()))
		}
		if one(r, 4) {
			c.set("returns", v(s.length()))
			if one(r, 2) {
				c.set("hold", v(s.length()))
			}
		}
		if one(r, 2) {
			c.set("lands", v(pick(r, "starts", "peaks", "completes")))
		}
		if one(r, 2) {
			c.set("why", v("because; it \"says\" so: there"))
		}
		if one(r, 8) {
			c.set("by", v(pick(r, "hand", "draft", "accepted")))
		}
		all.kids = append(all.kids, c)
		at = min(long-0.01, at+s.between(0, 2*long/float64(n)))
	}
	return all
}

func (s *randomShow) length() string {
	return pick(s.r, "0 s", "0.1 s", "250 ms", "1 s", "2.5 s", "6 s", "40 ms", "1.2 s")
}

func (s *randomShow) show() {
	r := s.r
	track := pick(r, "track.wav", "the sound.wav", "Ton ä.wav", "sound/track.wav")
	t := m("title", s.name("A show"), "soundtrack", track)
	s.bytes[track] = s.track.wave()
	if one(r, 2) {
		t.set("place", v("cellar"))
	}
	if !one(r, 3) {
		t.set("outputs", seq(m("to", "e131 127.0.0.1")))
	}
	if !one(r, 3) {
		t.set("wiring rules", v(pick(r, "IEC 60364", "BS 7671", "NEC")))
	}
	if one(r, 3) {
		t.set("alarm input", v(pick(r, "yes", "no")))
	}
	if !one(r, 3) {
		days := seq()
		for i := range 1 + r.IntN(4) {
			d := m("day", fmt.Sprintf("day %d", i+1), "shows", fmt.Sprint(1+r.IntN(6)))
			if one(r, 2) {
				d.set("rehearsal", v(pick(r, "20 min", "1 h 30 min", "3 h")))
			}
			if one(r, 3) {
				d.set("children", v("yes"))
			}
			if one(r, 3) {
				d.set("each visitor sees", v("1"))
			}
			days.kids = append(days.kids, d)
		}
		t.set("days", days)
	}
	if one(r, 2) {
		t.set("timing", m("speaker to centre seat", num(s.between(1, 10))+" m", "speaker to back seat", num(s.between(10, 20))+" m", "sound delay", "12 ms to 22 ms", "light delay", "18 ms to 32 ms"))
	}
	if one(r, 5) {
		t.set("signed", seq(m("finding", pick(r, "flash-rate", "uv-dose", "blackout", "path-dark"), "person", "Ada", "date", "2026-03-01", "reason", "measured on site")))
	}
	s.texts["show.yaml"] = t
}

// wishes draws draft.yaml.
func (s *randomShow) wishes() {
	r := s.r
	t := m()
	if one(r, 2) {
		t.set("cues per minute", vf("%d", 1+r.IntN(30)))
	}
	if one(r, 4) {
		t.set("cues", vf("%d", r.IntN(12)))
	}
	if one(r, 3) {
		t.set("least apart", v(s.length()))
	}
	if one(r, 4) {
		t.set("voice", v(pick(r, s.looks...)))
	}
	if one(r, 4) {
		t.set("hush", v(pick(r, s.looks...)))
	}
	if one(r, 4) {
		t.set("seed", vf("%d", r.IntN(1000)))
	}
	sections, at := seq(), 0.0
	for range r.IntN(4) {
		at += s.between(0.1, 4)
		if at > s.track.seconds() {
			break
		}
		x := m("from", s.clock(at), "mood", pick(r, "still", "calm", "lively", "fierce"))
		if one(r, 2) {
			x.set("look", v(pick(r, s.looks...)))
		}
		if one(r, 3) {
			x.set("accent", v(pick(r, s.looks...)))
		}
		if one(r, 3) {
			x.set("colours", seq(s.colour(), s.colour()))
		}
		sections.kids = append(sections.kids, x)
	}
	if len(sections.kids) > 0 {
		t.set("sections", sections)
	}
	if len(t.kids) == 0 {
		t.set("cues per minute", v("12.5"))
	}
	s.texts["draft.yaml"] = t
}

// decisions draws spotting.yaml.
func (s *randomShow) decisions() {
	all, at := seq(), 0.0
	for range 1 + s.r.IntN(5) {
		at += s.between(0.2, 3)
		if at > s.track.seconds() {
			break
		}
		moment := fmt.Sprintf("%s 0:%06.3f", pick(s.r, "hit", "turn", "swell"), at)
		if len(s.heard) > 0 && !one(s.r, 4) {
			moment = pick(s.r, s.heard...)
		}
		d := m("moment", moment, "verdict", pick(s.r, "accept", "reject"))
		if d.get("verdict").text == "accept" && one(s.r, 3) {
			d.set("move to", v(s.clock(max(0, at-0.05))))
		}
		if one(s.r, 3) {
			d.set("note", v("too early"))
		}
		all.kids = append(all.kids, d)
	}
	s.texts["spotting.yaml"] = m("decisions", all)
}

func (s *randomShow) readings() {
	r := s.r
	places := append(append(append([]string{}, s.surfaces...), s.objects...), s.seats...)
	if len(places) == 0 {
		return
	}
	all := seq()
	for range 1 + r.IntN(6) {
		u := pick(r, s.units...)
		e := pick(r, u.of.emitters...)
		x := m("unit", u.name, "emitter", e, "at", pick(r, places...))
		if e == "uv" {
			x.set("uv-a", v(num(s.between(0, 3))+" W/m2"))
		} else {
			x.set("lux", v(num(s.between(0, 100))+" lx"))
		}
		all.kids = append(all.kids, x)
	}
	t := m("readings", all)
	if one(r, 2) {
		t.set("meters", m("lux", m("error", "5 %", "calibration", "15 %", "smallest", "0.1 lx"), "uv-a", m("error", "5 %", "calibration", "25 %", "smallest", "1 uW/cm2")))
	}
	s.texts["readings.yaml"] = t
}

func (s *randomShow) randomDesk() {
	r := s.r
	scenes := pick(r, 2, 3, 8, 48, 192)
	t := m("name", s.name("desk"), "slots", fmt.Sprint(pick(r, 6, 12, 24, 192, 512)), "scenes", fmt.Sprint(scenes))
	t.set("patch", v(pick(r, "fixed", "any")))
	if one(r, 3) {
		t.set("universe", v(pick(r, "1", "2")))
	}
	if one(r, 3) {
		t.set("first address", vf("%d", 1+r.IntN(100)))
	}
	if one(r, 3) {
		t.set("banks", vf("%d", pick(r, 1, scenes)))
	}
	switch r.IntN(3) {
	case 0:
		n := r.IntN(100)
		t.set("recalled by", seq(m("note", fmt.Sprint(n), "to", fmt.Sprint(min(127, n+min(scenes, 60)-1)), "channel", fmt.Sprint(1+r.IntN(16)), "scene", "1")))
	case 1:
		t.set("recalled by", seq(m("program", "0", "to", fmt.Sprint(min(127, scenes-1)), "channel", fmt.Sprint(1+r.IntN(16)), "scene", "1")))
	}
	switch r.IntN(4) {
	case 0:
		t.set("fade", m("kind", "none"))
	case 1:
		t.set("fade", m("kind", "one time", "shortest", "0.2 s", "longest", "30 s"))
	case 2:
		t.set("fade", m("kind", "each scene", "shortest", "0.1 s", "longest", "10 s"))
	}
	if one(r, 2) {
		t.set("shortest gap", v("40 ms"))
	}
	if one(r, 2) {
		t.set("latency", v("25 ms to 35 ms"))
	}
	if one(r, 2) {
		t.set("faders", v(pick(r, "per cent", "0 to 255")))
	}
	s.desk = t
}
