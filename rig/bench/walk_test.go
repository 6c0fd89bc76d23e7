package bench_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/bench"
)

// lamp is a simulated lamp as it really is: what its slots, from 1 on, do.
type lamp struct {
	table   string // the slots of its mode, as a file would have them
	offset  int    // its slot 1 is this many after the first that is sent to it
	without string // hold, dark, program
	back    float64
	dead    bool // no power
	upside  int  // a slot that is upside down
}

const head = "name: T\nbeam: {half: 25°}\ncells: 4\nemitters:\n  red: {peak: 625 nm, width: 18 nm, output: 80 lm}\n  green: {peak: 522 nm, width: 33 nm, output: 150 lm}\n  blue: {peak: 460 nm, width: 22 nm, output: 30 lm}\n  white: {like: phosphor 6500 K, output: 150 lm}\n  uv: {peak: 395 nm, width: 14 nm, output: 2 W}\nmodes:\n  m:\n"

func typeOf(t *testing.T, table string) (*rig.Type, *rig.Mode, []byte) {
	t.Helper()
	text := head
	for _, l := range strings.Split(strings.TrimSpace(table), "\n") {
		text += "    " + strings.TrimSpace(l) + "\n"
	}
	kind, faults := rig.ReadType("t", "t.yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return kind, &kind.Modes[0].Value, []byte(text)
}

// person looks at a simulated lamp.
type person struct {
	lamp  lamp
	kind  *rig.Type
	mode  *rig.Mode
	steps int
}

// sight is what is seen of the lamp.
type sight struct {
	level map[string]float64
	rate  float64
}

func (p *person) value(slots []byte, n int) int {
	i := n - 1 + p.lamp.offset
	if i < 0 || i >= len(slots) {
		return 0
	}
	v := slots[i]
	if p.lamp.upside == n {
		v = 255 - v
	}
	return int(v)
}

func (p *person) look(slots []byte) sight {
	out := sight{level: map[string]float64{}}
	if p.lamp.dead {
		return out
	}
	gate := 1.0
	for i := range p.mode.Slots {
		s := &p.mode.Slots[i]
		r := s.At(p.value(slots, s.Coarse))
		if r == nil || s.Drives != "" {
			continue
		}
		switch r.Does {
		case rig.Closed:
			gate = 0
		case rig.Flash, rig.FlashRandom:
			out.rate = float64(r.Rate(p.value(slots, s.Coarse)))
		case rig.Never: // a program: all sorts of light
			out.rate = 5
			for _, e := range p.kind.Emitters {
				out.level[e.Name] = 1
			}
		}
	}
	for i := range p.mode.Slots {
		s := &p.mode.Slots[i]
		if s.Drives == "" {
			continue
		}
		l := p.level(slots, s) * gate
		for k := range p.mode.Slots {
			if m := &p.mode.Slots[k]; slices.Contains(m.Dims, "all") || slices.Contains(m.Dims, s.Drives) {
				l *= p.level(slots, m)
			}
		}
		out.level[s.Drives] = math.Max(out.level[s.Drives], l)
	}
	return out
}

// level is what a slot lets through or gives.
func (p *person) level(slots []byte, s *rig.Slot) float64 {
	v := float64(p.value(slots, s.Coarse))
	top := 255.0
	if s.Fine > 0 {
		v, top = 256*v+float64(p.value(slots, s.Fine)), 65535
	} else if r := s.At(int(v)); r != nil {
		switch r.Does {
		case rig.Level:
			v, top = v-float64(r.From), float64(r.To-r.From)
		case rig.Closed:
			return 0
		default:
			return 1
		}
	}
	dark, full := float64(s.Curve.DarkTo), float64(s.Curve.FullFrom)
	if full == 0 {
		full = top
	}
	return min(max((v-dark)/(full-dark), 0), 1)
}

func (s sight) lights() (out []string) {
	for _, e := range []string{"red", "green", "blue", "white", "uv"} {
		if s.level[e] > 0 {
			out = append(out, e)
		}
	}
	return out
}

func (s sight) sum() (x float64) {
	for _, l := range s.level {
		x += l
	}
	return x
}

func (p *person) answer(s bench.Step) (bench.Answer, error) {
	p.steps++
	now := p.look(s.Slots)
	switch {
	case s.Wants == bench.Light:
		if len(now.lights()) == 0 {
			return bench.Answer{}, nil
		}
		return bench.Answer{Lights: now.lights(), Flashes: now.rate > 0}, nil
	case s.Before != nil && strings.Contains(s.Ask, "much"):
		return bench.Answer{Yes: now.sum() > 1.2*p.look(s.Before).sum()}, nil
	case s.Before != nil:
		return bench.Answer{Yes: now.sum() > 1.02*p.look(s.Before).sum()}, nil
	case strings.Contains(s.Ask, "any light"):
		return bench.Answer{Yes: now.sum() > 0}, nil
	case s.Wants == bench.YesNo:
		return bench.Answer{Yes: true}, nil
	case s.Wants == bench.DataLoss:
		return bench.Answer{Word: p.lamp.without}, nil
	case strings.Contains(s.Ask, "seconds is it"):
		return bench.Answer{Yes: p.lamp.back >= 0, Number: p.lamp.back}, nil
	}
	if now.rate == 0 || now.sum() == 0 {
		return bench.Answer{Number: -1}, nil
	}
	return bench.Answer{Yes: true, Number: math.Min(99, math.Round(10*now.rate))}, nil
}

const par = `
1: {dims: all}
2: {drives: red}
3: {drives: green}
4: {drives: blue}
5: {drives: white}
6: {drives: uv}
7: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
8: {0-15: nothing, 16-255: never}`

func with(table string, lines ...string) string {
	for _, l := range lines {
		n, _, _ := strings.Cut(l, ":")
		var out []string
		for _, old := range strings.Split(strings.TrimSpace(table), "\n") {
			if strings.HasPrefix(old, n+":") {
				old = l
			}
			out = append(out, old)
		}
		table = strings.Join(out, "\n")
	}
	return table
}

// A lamp that is as its table says is told to be so, in few steps.
func TestHonestLamp(t *testing.T) {
	for name, table := range map[string]string{
		"par":      par,
		"sixteen":  "1-2: {dims: all}\n3-4: {drives: red}\n5: {drives: white}\n6: {0-19: closed, 20-24: open, 25-200: flash 1 Hz to 10 Hz, 201-255: open}",
		"together": "1: {drives: red}\n2: {drives: green}\n3: {dims: all, 0-174: level, 175-246: flash slow to fast, 247-255: open}",
		"uv apart": with(par, "1: {dims: [red, green, blue, white]}"),
		"three":    "1: {drives: red}\n2: {drives: green}\n3: {drives: blue}",
		"cells":    "1: {drives: red, cell: 1}\n2: {drives: red, cell: 2}\n3: {drives: red, cell: 3}",
		"dark to":  with(par, "1: {dims: all, curve: {dark to: 12, full from: 200}}"),
	} {
		kind, mode, text := typeOf(t, table)
		p := &person{lamp: lamp{without: "hold"}, kind: kind, mode: mode}
		r, err := bench.Walk(kind, mode, p.answer)
		if err != nil || len(r.Findings) > 0 {
			t.Errorf("%s: %v %v", name, err, r.Findings)
		}
		if !slices.Equal(r.Changes, []string{"on data loss: hold"}) {
			t.Errorf("%s: changes %v", name, r.Changes)
		}
		if p.steps > 45 {
			t.Errorf("%s: %d steps", name, p.steps)
		}
		t.Logf("%s: %d steps", name, p.steps)
		if out, err := r.Edit("t.yaml", "m", text); err != nil || !strings.Contains(string(out), "on data loss: hold") {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// Lamps that misbehave are caught, and where a type can say how they are, it says it
// afterwards: a second walk with the corrected type finds nothing.
func TestMisbehaving(t *testing.T) {
	old := lamp{without: "hold"}
	for _, c := range []struct {
		name    string
		table   string // that the manual has; par when empty
		lamp    lamp
		slot    int    // at which it is caught
		want    string // in what is told
		mended  bool
		changed string // in the file afterwards
	}{
		{name: "red and green exchanged", lamp: lamp{table: with(par, "2: {drives: green}", "3: {drives: red}")}, slot: 2, want: "lights green", mended: true, changed: "2: {drives: green}"},
		{name: "uv and white exchanged", lamp: lamp{table: with(par, "5: {drives: uv}", "6: {drives: white}")}, slot: 5, want: "lights uv", mended: true},
		{name: "three in a ring", lamp: lamp{table: with(par, "2: {drives: green}", "3: {drives: blue}", "4: {drives: red}")}, slot: 4, want: "lights red", mended: true},
		{name: "two slots drive red", lamp: lamp{table: with(par, "3: {drives: red}")}, slot: 3, want: "lights red", mended: true},
		{name: "a dead colour", lamp: lamp{table: with(par, "4: {idle: broken}")}, slot: 4, want: "lights nothing", mended: true, changed: "idle"},
		{name: "two slots late", lamp: lamp{table: par, offset: 2}, want: "2 later"},
		{name: "one slot late", lamp: lamp{table: par, offset: 1}, want: "1 later"},
		{name: "one slot early", lamp: lamp{table: par, offset: -1}, want: "look at its address"},
		{name: "another mode: three slots", lamp: lamp{table: "1: {drives: red}\n2: {drives: green}\n3: {drives: blue}"}, want: ""},
		{name: "strobe and programs exchanged", lamp: lamp{table: with(par, "7: {0-15: nothing, 16-255: never}", "8: {0-9: open, 10-255: flash 1 Hz to 20 Hz}")}, slot: 7, want: "does not flash", mended: false},
		{name: "closed where it should be open", lamp: lamp{table: with(par, "7: {0-9: closed, 10-249: flash 1 Hz to 20 Hz, 250-255: open}")}, slot: 7, want: "dark at 0", mended: true, changed: "255: open"},
		{name: "open a bit later", table: with(par, "7: {0-29: open, 30-200: flash 1 Hz to 20 Hz, 201-255: open}"), lamp: lamp{table: with(par, "7: {0-9: closed, 10-29: open, 30-200: flash 1 Hz to 20 Hz, 201-255: open}")}, slot: 7, want: "dark at 0", mended: false},
		{name: "flashes within open", lamp: lamp{table: with(par, "7: {0-5: open, 6-255: flash 1 Hz to 20 Hz}")}, slot: 7, want: "at 9 it is flashing", mended: true, changed: "0-5: open"},
		{name: "programs begin early", lamp: lamp{table: with(par, "8: {0-7: nothing, 8-255: never}")}, slot: 8, want: "at 15", mended: true, changed: "0-7: nothing"},
		{name: "steady at the top is not", table: with(par, "7: {0-9: open, 10-249: flash 1 Hz to 20 Hz, 250-255: open}"), lamp: lamp{table: par}, slot: 7, want: "at 250 it is flashing", mended: true, changed: "250-255: never"},
		{name: "dark first values of the master", lamp: lamp{table: with(par, "1: {dims: all, curve: {dark to: 20}}")}, slot: 1, want: "first light is at 21", mended: true, changed: "dark to: 20"},
		{name: "dark first values of a colour", lamp: lamp{table: with(par, "2: {drives: red, curve: {dark to: 30}}")}, slot: 2, want: "first light is at 31", mended: true},
		{name: "no dark values where the table has some", table: with(par, "1: {dims: all, curve: {dark to: 40}}"), lamp: lamp{table: par}, slot: 1, want: "first light is at 1:", mended: true},
		{name: "full early", lamp: lamp{table: with(par, "1: {dims: all, curve: {full from: 128}}")}, slot: 1, want: "no brighter", mended: true, changed: "full from"},
		{name: "it only switches", lamp: lamp{table: with(par, "1: {dims: all, curve: {dark to: 127, full from: 128}}")}, slot: 1, want: "first light is at 128", mended: true},
		{name: "the master does not dim uv", lamp: lamp{table: with(par, "1: {dims: [red, green, blue, white]}")}, slot: 1, want: "uv shines", mended: true, changed: "dims: [red, green, blue, white]"},
		{name: "the master dims red alone", lamp: lamp{table: with(par, "1: {dims: [red]}")}, slot: 1, want: "green, blue, white, uv shines", mended: true},
		{name: "the master dims uv too", table: with(par, "1: {dims: [red, green, blue, white]}"), lamp: lamp{table: par}, slot: 1, want: "nothing shines", mended: true, changed: "dims: all"},
		{name: "no master at all", lamp: lamp{table: with(par, "1: {idle: nothing}")}, slot: 1, want: "shines", mended: false},
		{name: "the master upside down", lamp: lamp{table: par, upside: 1}, slot: 1, want: "upside down"},
		{name: "flashes fast where it should be slow", lamp: lamp{table: with(par, "7: {0-9: open, 10-255: flash 20 Hz to 1 Hz}")}, slot: 7, want: "where it should be slow", mended: true, changed: "flash unknown"},
		{name: "other rates", lamp: lamp{table: with(par, "7: {0-9: open, 10-255: flash 2.5 Hz to 25 Hz}")}, slot: 7, want: "it flashes 2.5 Hz", mended: true, changed: "flash slow to fast"},
		{name: "no strobe in it", lamp: lamp{table: with(par, "7: {0-255: open}")}, slot: 7, want: "does not flash", mended: true},
		{name: "coarse and fine exchanged", table: "1-2: {dims: all}\n3: {drives: red}\n4: {drives: green}", lamp: lamp{table: "2-1: {dims: all}\n3: {drives: red}\n4: {drives: green}"}, slot: 1, want: "other way round", mended: true, changed: "2-1: {dims: all}"},
		{name: "runs a program without data", lamp: lamp{table: par, without: "program"}, want: "runs a program of its own", changed: "on data loss: runs a program"},
		{name: "does not come back", lamp: lamp{table: par, back: -1}, want: "does not come back"},
		{name: "no power, or another address", lamp: lamp{table: par, dead: true}, want: "nothing made it shine"},
	} {
		t.Run(c.name, func(t *testing.T) {
			table := c.table
			if table == "" {
				table = par
			}
			l := c.lamp
			if l.without == "" {
				l.without = old.without
			}
			kind, mode, text := typeOf(t, table)
			really, is, _ := typeOf(t, l.table)
			p := &person{lamp: l, kind: really, mode: is}
			r, err := bench.Walk(kind, mode, p.answer)
			if err != nil {
				t.Fatal(err)
			}
			caught := slices.ContainsFunc(r.Findings, func(f bench.Finding) bool {
				return (c.slot == 0 || f.Slot == c.slot) && strings.Contains(f.Text, c.want)
			})
			if !caught {
				t.Errorf("not caught: %v", r.Findings)
			}
			out, err := r.Edit("t.yaml", "m", text)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(out), c.changed) {
				t.Errorf("no %q in\n%s", c.changed, out)
			}
			if !c.mended {
				return
			}
			again, faults := rig.ReadType("t", "t.yaml", out)
			if faults.Err() != nil {
				t.Fatal(faults.Err())
			}
			p = &person{lamp: l, kind: really, mode: is}
			r, err = bench.Walk(again, &again.Modes[0].Value, p.answer)
			if err != nil || len(r.Findings) > 0 {
				t.Errorf("after it was corrected: %v %v\n%s", err, r.Findings, out)
			}
		})
	}
}
