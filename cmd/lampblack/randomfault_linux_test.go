package main

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// spoil puts one fault into a tree of the show, and says which; told is the
// file in which a fault must be found, where that is certain.
func (s *randomShow) spoil() (what, told string) {
	for {
		f := pick(s.r, faults...)
		if what, told := f(s); what != "" {
			return what, told
		}
	}
}

// anywhere draws a place of the texts that fits, and the file that it is in.
func (s *randomShow) anywhere(fits func(spot) bool) (spot, string, bool) {
	var all []spot
	var in []string
	for _, file := range sorted(s.texts) {
		for _, p := range s.texts[file].spots() {
			if fits(p) {
				all, in = append(all, p), append(in, file)
			}
		}
	}
	if len(all) == 0 {
		return spot{}, "", false
	}
	i := s.r.IntN(len(all))
	return all[i], in[i], true
}

func under(keys string) func(spot) bool {
	return func(p spot) bool {
		for k := range strings.SplitSeq(keys, "|") {
			if p.key == k {
				return p.node().kind == single
			}
		}
		return false
	}
}

// value makes a fault that puts one of the texts into one of the keys' places.
func value(keys string, told bool, texts ...string) func(*randomShow) (string, string) {
	return func(s *randomShow) (string, string) {
		p, file, ok := s.anywhere(under(keys))
		if !ok {
			return "", ""
		}
		old := p.node().text
		p.in.kids[p.i] = v(pick(s.r, texts...))
		what := fmt.Sprintf("%s: %s: %q instead of %q", file, p.key, p.node().text, old)
		if told {
			return what, file
		}
		return what, ""
	}
}

const lengths = "at|aim|centre|size|faces|width|height|points|length|stage front|looks at|speaker to centre seat"

var faults = []func(*randomShow) (string, string){
	func(s *randomShow) (string, string) { // a key misspelt
		p, file, ok := s.anywhere(func(p spot) bool {
			return p.in.kind == mapping && fixed[p.key]
		})
		if !ok {
			return "", ""
		}
		p.in.keys[p.i].text += pick(s.r, "s", "x", " ", ":", "e")
		if strings.TrimSpace(p.in.keys[p.i].text) == p.key {
			return file + ": a space behind " + p.key, ""
		}
		return file + ": misspelt " + p.in.keys[p.i].text, file
	},
	func(s *randomShow) (string, string) { // a key twice
		p, file, ok := s.anywhere(func(p spot) bool { return p.in.kind == mapping })
		if !ok {
			return "", ""
		}
		p.in.keys = append(p.in.keys, p.in.keys[p.i].clone())
		p.in.kids = append(p.in.kids, p.node().clone())
		return file + ": twice " + p.key, file
	},
	func(s *randomShow) (string, string) { // an entry of a list twice: a unit, a cue, an address
		p, file, ok := s.anywhere(func(p spot) bool { return p.in.kind == list && p.node().kind == mapping })
		if !ok {
			return "", ""
		}
		p.in.kids = append(p.in.kids, p.node().clone())
		return file + ": an entry twice under " + p.key, ""
	},
	func(s *randomShow) (string, string) { // something left out
		p, file, ok := s.anywhere(func(p spot) bool { return p.in.kind == mapping })
		if !ok {
			return "", ""
		}
		p.in.keys = append(p.in.keys[:p.i], p.in.keys[p.i+1:]...)
		p.in.kids = append(p.in.kids[:p.i], p.in.kids[p.i+1:]...)
		return file + ": left out " + p.key, ""
	},
	func(s *randomShow) (string, string) { // another kind of value
		p, file, ok := s.anywhere(func(spot) bool { return true })
		if !ok {
			return "", ""
		}
		p.in.kids[p.i] = pick(s.r, seq(), m(), v(""), m("a", "b"), seq(seq(seq(v("1")))), &node{text: "null", raw: true}, &node{text: "~", raw: true},
			&node{text: "0x1F", raw: true}, &node{text: "2026-01-01", raw: true}, &node{text: ".nan", raw: true}, &node{text: "!!binary aGVsbG8=", raw: true})
		return fmt.Sprintf("%s: another kind of value under %s: %s", file, p.key, p.node().flow(rand.New(rand.NewPCG(1, 1)))), ""
	},
	value(lengths, true, "2.5 kg", "1", "2 lx", "NaN m", "inf m", "-inf m", "1,5 m", "m", "two m", "1e400 m", "٣ m", "2 m m", "0x10 m", "+-1 m", "1_000 m", "∞ m"),
	value(lengths, false, "0 m", "-5 m", "1e308 m", "1e-300 m", "1e9 m", "100 km", "0.0001 mm", "-0 m", "1e-9 m", "3 ft"),
	value("at|from|to|up|down|hold|returns|delay", false, "-1 s", "NaN s", "1e300 s", "99:59.999", "1000000 s", "0:61", "1:2:3", "5", "0.0001 ms", "1e-300 s", "100000 min", "-0 s", "0:00.0000001"),
	value("colour", false, "#12345", "#gggggg", "0 K", "1e9 K", "300 nm", "1 nm", "2000 nm", "x 0 y 0", "x 0.9 y 0.9", "x 1 y 0", "x -0.1 y 0.3", "x NaN y 0.3", "red", "#000000", "x 0.3 y 0.00001", "-5000 K", "400 nm", "780 nm"),
	value("level|red|green|blue|white|uv|amber", false, "-1 %", "101 %", "1e30 %", "NaN %", "0.00001 %", "1", "0", "100 %", "half"),
	value("lux|luminance|over background|at most", false, "0", "-3", "1e300", "1e-300", "NaN", "0 cd/m2", "1e300 cd/m2", "1e300 lx", "0 lx", "0 W/m2", "1e-300 W/m2"),
	value("half|tenth|turn|mask", false, "0°", "360°", "180°", "0.0001°", "-20°", "1e300°", "NaN°", "20 m", "179.999°", "90°", "720 deg", "3 rad"),
	value("output", false, "0 W", "1e12 W", "1e-300 W", "-1 lm", "5 W to 2 W", "2 W ± 100 %", "2 W ± 400 %", "0 W to 0 W", "NaN lm", "1e308 lm", "2 W ± 0 %"),
	value("peak|width|spectrum", false, "0 nm", "1 nm", "5000 nm", "-400 nm", "NaN nm", "0.001 nm", "1e300 nm", "380 nm", "780 nm", "254 nm"),
	value("address|universe|cell|cells|slots|scenes|adaptors|cue|first address", false, "0", "-1", "513", "1.5", "99999999999999999999", "63999", "64000", "one", "1e3", "512", "4096"),
	value("max|factor|inrush|leakage|link|through|breaker|voltage|section|other load|unit loads", false, "0 W", "-5 A", "1e300 W", "NaN", "0", "2", "0 A for 0 us", "C0", "Z16", "0 V", "0 mm2", "1e-300 mm2", "1e300 V", "0 units", "100000 units"),
	value("flash", false, "0 Hz", "-1 Hz", "1e9 Hz", "0.00001 Hz", "NaN Hz", "25 Hz", "1000 kHz"),
	value("on|moment", false, "hit", "hit 99:00", "hit -1", "hit NaN", "bang 0:01", "bar 1 beat 1", "bar 0 beat 0", "bar 999999 beat 9", "bar -1 beat 2", "end of swell 0:01", "end of hit 0:01", "turn", "", "hit 0:01 0:02"),
	value("like|look|fed by|circuit|line|type|mode|system|object|unit|background|shares device of|soundtrack|accent|voice", false, "nobody", "", " ", "..", "../secret.txt", "/etc/passwd", "a/../b", "x\ny", "x\x1b[31my", "\u202egnol"),
	value("cues per minute|shortest blackout warned of|seed|shows|each visitor sees|rehearsal|least apart", false, "0", "-1", "1e300", "NaN", "0 s", "-5 min", "99999999999", "1e300 s", "1.5", "1000 h"),
	func(s *randomShow) (string, string) { // a look like itself
		looks := s.texts["score.yaml"].get("looks")
		if looks == nil || len(looks.kids) == 0 || looks.kind != mapping {
			return "", ""
		}
		n := s.r.IntN(len(looks.kids)) + 1
		for i := range n {
			if looks.kids[i].kind != mapping {
				return "", ""
			}
			setTo(looks.kids[i], "like", looks.keys[(i+1)%n].text)
		}
		return fmt.Sprintf("score.yaml: %d looks like one another in a circle", n), "score.yaml"
	},
	func(s *randomShow) (string, string) { // units that feed one another
		all := s.texts["rig.yaml"].get("units")
		if all == nil || len(all.kids) == 0 {
			return "", ""
		}
		n := s.r.IntN(len(all.kids)) + 1
		for i := range n {
			next := all.kids[(i+1)%n]
			if all.kids[i].kind != mapping || next.kind != mapping || next.get("unit") == nil {
				return "", ""
			}
			setTo(all.kids[i], "fed by", next.get("unit").text)
		}
		return fmt.Sprintf("rig.yaml: %d units feed one another in a circle", n), ""
	},
	func(s *randomShow) (string, string) { // geometry: what stands in another's place
		room, rig := s.texts["room.yaml"], s.texts["rig.yaml"]
		var places []*node
		for _, t := range []*node{room, rig} {
			for _, p := range t.spots() {
				if (p.key == "at" || p.key == "centre" || p.key == "aim" || p.key == "looks at") && p.node().kind == list && len(p.node().kids) == 3 {
					places = append(places, p.node())
				}
			}
		}
		if len(places) < 2 {
			return "", ""
		}
		a, b := pick(s.r, places...), pick(s.r, places...)
		a.kids = b.clone().kids
		return "two places are one", ""
	},
	func(s *randomShow) (string, string) { // a unit or an eye in a wall, outside, on the floor
		p, file, ok := s.anywhere(func(p spot) bool {
			return (p.key == "at" || p.key == "centre" || p.key == "aim") && p.node().kind == list && len(p.node().kids) == 3
		})
		if !ok {
			return "", ""
		}
		i := s.r.IntN(3)
		w, d, h := s.size[0], s.size[1], s.size[2]
		to := [][]float64{{-w / 2, w / 2, w}, {-s.front, d - s.front, -2 * s.front}, {0, h, 2 * h, -1}}[i]
		p.node().kids[i] = v(num(pick(s.r, to...)) + " m")
		return file + ": " + p.key + " in or behind a wall", ""
	},
	func(s *randomShow) (string, string) { // a room of odd size
		size := s.texts["room.yaml"].get("size")
		if size == nil || len(size.kids) != 3 {
			return "", ""
		}
		size.kids[s.r.IntN(3)] = v(pick(s.r, "0.01 m", "0 m", "10 km", "1 mm", "500 m", "0.5 m"))
		return "room.yaml: a room of odd size", ""
	},
	func(s *randomShow) (string, string) { // many cues at once
		cues := s.texts["score.yaml"].get("cues")
		if cues == nil || len(cues.kids) == 0 || cues.kids[0].kind != mapping {
			return "", ""
		}
		for i := range 200 {
			c := cues.kids[0].clone()
			setTo(c, "cue", fmt.Sprint(1000+i))
			cues.kids = append(cues.kids, c)
		}
		return "score.yaml: 200 cues at one time", ""
	},
	func(s *randomShow) (string, string) { // a file is missing
		file := pick(s.r, sorted(s.texts)...)
		must := map[string]bool{"show.yaml": true, "rig.yaml": true, "room.yaml": true, "score.yaml": true}[file]
		delete(s.texts, file)
		s.texts[file+".old"] = m("a", "b")
		if must {
			return file + " is missing", file
		}
		return file + " is missing", ""
	},
	func(s *randomShow) (string, string) { // readings of nowhere
		s.readings()
		return "readings as they come", ""
	},
	func(s *randomShow) (string, string) { // the desk description
		d := s.desk
		if len(d.kids) == 0 {
			return "", ""
		}
		i := s.r.IntN(len(d.kids))
		if one(s.r, 4) {
			d.keys[i].text += "x"
		} else {
			d.kids[i] = pick(s.r, v("0"), v("-1"), v("1e300"), v("99999999999999999999"), v("NaN"), v(""), seq(), m(), v("63999"), v("1.5"), v("100000"))
		}
		return "the desk: " + d.keys[i].text, ""
	},
}

// fixed are keys that a reader knows by name wherever these trees hold them.
var fixed = map[string]bool{"units": true, "unit": true, "address": true, "aim": true, "systems": true, "looks": true, "cues": true, "parts": true, "title": true, "soundtrack": true,
	"stage front": true, "emitters": false, "modes": true, "output": true, "half": true, "breaker": true, "order": true, "audience": true, "objects": true, "surfaces": true, "why": true, "colour": true, "level": true}

func setTo(n *node, key, text string) {
	if old := n.get(key); old != nil {
		*old = *v(text)
		return
	}
	n.set(key, v(text))
}
