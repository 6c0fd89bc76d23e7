package hand_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/play/hand"
	"lampblack/score"
	"lampblack/show"
)

// barn is a show of five generic pars and a bar of black light whose looks say amounts, so
// that what each unit gives can be worked out beside the program.
var barn = map[string]string{
	"rig.yaml": `
units:
  - {unit: p1, type: colour par, address: 1, systems: [front]}
  - {unit: p2, type: colour par, address: 4, systems: [front]}
  - {unit: p3, type: colour par, address: 7, systems: [front, middle]}
  - {unit: p4, type: colour par, address: 10, systems: [side]}
  - {unit: "p \"5\" é", type: colour par, address: 13, systems: [side]}
  - {unit: bar, type: black light bar, address: 20, systems: [uv]}
`,
	"score.yaml": `
looks:
  first:
    parts:
      - {system: front, emitters: {red: 40 %, green: 20 %, blue: 10 %}}
      - {system: side, emitters: {red: 10 %, green: 20 %, blue: 60 %}}
      - {system: uv, emitters: {uv: 30 %}}
  second: {system: side, emitters: {red: 80 %, green: 0 %, blue: 30 %}}
cues:
  - {cue: 1, at: 0:00, look: first, up: 1 s}
  - {cue: 2, at: 1:00, look: second, up: 1 s}
`,
}

// oneStep of a slot of 8 bits is how far the light of a frame may be from what was worked out.
const oneStep = 1.0 / 255

// stands is where in the show its first look stands.
const stands = 30 * time.Second

var (
	barnLooks = map[string]map[string][4]float64{ // red, green, blue, black light by unit
		"first":  {"p1": {.4, .2, .1}, "p2": {.4, .2, .1}, "p3": {.4, .2, .1}, "p4": {.1, .2, .6}, `p "5" é`: {.1, .2, .6}, "bar": {3: .3}},
		"second": {"p4": {.8, 0, .3}, `p "5" é`: {.8, 0, .3}},
	}
	barnUnits   = []string{"p1", "p2", "p3", "p4", `p "5" é`, "bar"}
	barnSystems = map[string][]string{"front": barnUnits[:3], "middle": barnUnits[2:3], "side": barnUnits[3:5], "uv": barnUnits[5:]}
)

// model is what a hand holds, as its documentation tells it.
type model struct {
	look  string
	seen  map[string]float64 // visible light by unit, of all emitters alike
	dark  map[string]float64 // black light
	trims map[string]float64 // by "system NAME" or "unit NAME"
	out   map[string]bool
	focus string // "", "alone NAME", "all off", "pulse NAME"
}

func newModel() *model {
	return &model{seen: map[string]float64{}, dark: map[string]float64{}, trims: map[string]float64{}, out: map[string]bool{}}
}

// order carries an order out, and tells whether it is one.
func (m *model) order(o hand.Order) bool {
	units := o.Units
	if o.System != "" {
		if units = barnSystems[o.System]; units == nil {
			return false
		}
	} else if len(units) == 0 {
		units = barnUnits
	}
	for _, u := range units {
		if !slices.Contains(barnUnits, u) {
			return false
		}
	}
	named := len(o.Units) > 0 || o.System != ""
	switch o.Do {
	case hand.Set:
		to := m.seen
		if o.Dark {
			to = m.dark
		}
		did := false
		for _, u := range units {
			if (u == "bar") == o.Dark {
				to[u], did = o.Level, true
			}
		}
		return did
	case hand.LetGo:
		for _, u := range units {
			delete(m.seen, u)
			delete(m.dark, u)
		}
	case hand.Bring:
		if o.Look != "" && barnLooks[o.Look] == nil {
			return false
		}
		m.look = o.Look
	case hand.TrimTo:
		if o.System != "" {
			m.trims["system "+o.System] = o.Level
			break
		}
		for _, u := range units {
			m.trims["unit "+u] = o.Level
		}
	case hand.TakeOut, hand.Back:
		if !named {
			return false
		}
		for _, u := range units {
			m.out[u] = o.Do == hand.TakeOut
		}
	case hand.OneAlone, hand.OnePulse:
		if len(o.Units) != 1 {
			return false
		}
		m.focus = o.Do + " " + o.Units[0]
	case hand.Darkness:
		m.focus = o.Do
	case hand.Unfocused:
		m.focus = ""
	case hand.Drop:
		look, focus := m.look, m.focus
		*m = *newModel()
		m.look, m.focus = look, focus
	default:
		return false
	}
	return true
}

// light is what a unit gives over a look of the show: the least and the most of each emitter.
func (m *model) light(unit, standing string) (low, high [4]float64) {
	if m.look != "" {
		standing = m.look
	}
	v := barnLooks[standing][unit]
	if l, ok := m.seen[unit]; ok {
		v = [4]float64{l, l, l, v[3]}
	}
	if l, ok := m.dark[unit]; ok {
		v[3] = l
	}
	for e := range v {
		if f, ok := m.trims["unit "+unit]; ok {
			v[e] *= f
		}
		for name, units := range barnSystems {
			if f, ok := m.trims["system "+name]; ok && slices.Contains(units, unit) {
				v[e] *= f
			}
		}
		v[e] = min(v[e], 1)
	}
	if m.out[unit] {
		v = [4]float64{}
	}
	full := [4]float64{1, 1, 1}
	if unit == "bar" {
		full = [4]float64{3: 1}
	}
	switch m.focus {
	case "":
	case "pulse " + unit:
		return [4]float64{}, full
	case "alone " + unit:
		v = full
	default:
		if m.focus[:5] != "pulse" {
			v = [4]float64{}
		}
	}
	return v, v
}

// anyOrder draws an order; some are none.
func anyOrder(r *rand.Rand) hand.Order {
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	o := hand.Order{Do: pick(hand.Set, hand.Set, hand.LetGo, hand.Bring, hand.TrimTo, hand.TrimTo, hand.TakeOut, hand.Back, hand.OneAlone, hand.OnePulse, hand.Darkness, hand.Unfocused, hand.Unfocused, hand.Unfocused, hand.Drop, "explode")}
	switch r.IntN(8) {
	case 0: // all
	case 1, 2, 3:
		o.System = pick("front", "middle", "side", "uv", "nowhere")
	case 4:
		o.Units = []string{pick(barnUnits...), pick(append(slices.Clone(barnUnits), "nobody")...)}
	default:
		o.Units = []string{pick(barnUnits...)}
	}
	switch o.Do {
	case hand.Set:
		o.Dark, o.Level = r.IntN(3) == 0, float64(r.IntN(101))/100
		if o.Dark {
			o.Level /= 2 // below the ceiling of black light
		}
	case hand.TrimTo:
		o.Level = float64(r.IntN(201)) / 100
	case hand.Bring:
		o.Look = pick("", "first", "second", "third")
	case hand.TakeOut:
		o.Why = pick("", "flickers", "a\n\"b\": [#\u202e")
	}
	return o
}

func solved(t *testing.T) *show.Show {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range barn {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

// bench is a hand, the mixer to which its changes go, and the instant.
type bench struct {
	s       *show.Show
	h       *hand.Hand
	changes <-chan hand.Change
	mixer   hand.Mixer
	frame   *show.Frame
	now     time.Time
}

func newBench(t *testing.T, s *show.Show, from hand.State) *bench {
	t.Helper()
	b := &bench{s: s, frame: s.NewFrame(), now: time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)}
	var err error
	if b.h, b.changes, err = hand.New(s.Alone(nil), from, hand.Options{Clock: func() time.Time { return b.now }}); err != nil {
		t.Fatal(err)
	}
	b.take()
	return b
}

func (b *bench) take() {
	for len(b.changes) > 0 {
		b.mixer.Take(b.now, <-b.changes)
	}
}

// light is what the units give at a place of the show, with lights up to a share.
func (b *bench) light(in time.Duration, up float32) *show.Frame {
	b.s.At(b.frame, in)
	if up > 0 {
		b.s.LightsUp(b.frame, up)
		b.s.Encode(b.frame)
	}
	b.mixer.Over(b.s, b.frame, func(int) float32 { return up }, b.now)
	return b.frame
}

// emitters are red, green, blue and black light of a unit in a frame.
func (b *bench) emitters(unit string) (v [4]float64) {
	u := b.s.Rig.Index(unit)
	from, to := b.s.Rig.UnitDrives(u)
	for d := from; d < to; d++ {
		v[slices.Index([]string{"red", "green", "blue", "uv"}, b.s.Rig.Units[u].Type.Emitters[b.s.Rig.Drives[d].Emitter].Name)] = float64(b.frame.Levels[d])
	}
	return v
}

// After any orders each unit gives what a model of our own says: lights up before the hand
// before the show, trims multiplied, out dark; and what is held is the same after it has been
// written and read. No order is lost, and one that is none changes nothing.
func TestHandAsTold(t *testing.T) {
	sequences := 60
	if os.Getenv("LAMPBLACK_LONG") != "" {
		sequences = 2000
	}
	s := solved(t)
	plain := s.NewFrame()
	s.At(plain, stands)
	for seq := range sequences {
		r := rand.New(rand.NewPCG(uint64(seq), 1813))
		b, m := newBench(t, s, hand.State{}), newModel()
		var given []string
		for range 1 + r.IntN(14) {
			o := anyOrder(r)
			before, _ := b.h.State()
			err := b.h.Order(o)
			b.take()
			given = append(given, fmt.Sprintf("%+v", o))
			if is := m.order(o); is != (err == nil) {
				t.Fatalf("sequence %d, %s: answered %v", seq, given, err)
			}
			if now, _ := b.h.State(); err != nil && !reflect.DeepEqual(now, before) {
				t.Fatalf("sequence %d: %s is refused, and what is held is another", seq, given)
			}
			b.now = b.now.Add(time.Duration(r.IntN(700)) * time.Millisecond)
		}
		b.now = b.now.Add(time.Minute) // all fades are over
		b.agrees(t, m, "sequence %d: %s", seq, given)

		// Lights up win, whatever is held.
		up := s.NewFrame()
		s.At(up, stands)
		s.LightsUp(up, 1)
		s.Encode(up)
		if f := b.light(stands, 1); !slices.Equal(f.Levels, up.Levels) || !reflect.DeepEqual(f.Universes, up.Universes) {
			t.Fatalf("sequence %d, %s: lights up are %v, want %v", seq, given, f.Levels, up.Levels)
		}

		// What is for tonight comes out of its text as it went in, and gives the same light.
		state, _ := b.h.State()
		tonight := state.Tonight()
		text := hand.WriteTonight(tonight, "2026-03-14")
		read, night, faults := hand.ReadTonight(text)
		if err := faults.Err(); err != nil || night != "2026-03-14" || !bytes.Equal(hand.WriteTonight(read, night), text) || read.String() != tonight.String() {
			t.Fatalf("sequence %d: %v, written and read:\n%s\n%s", seq, faults.Err(), text, hand.WriteTonight(read, night))
		}
		again := newBench(t, s, read)
		again.now = again.now.Add(time.Minute)
		m.look, m.focus = "", ""
		again.agrees(t, m, "sequence %d, read again: %s", seq, given)

		// What is all let go is the show's, to the bit.
		for _, do := range []string{hand.Drop, hand.Bring, hand.Unfocused} {
			if err := b.h.Order(hand.Order{Do: do}); err != nil {
				t.Fatal(err)
			}
			b.take()
		}
		b.now = b.now.Add(time.Minute)
		if f := b.light(stands, 0); !slices.Equal(f.Levels, plain.Levels) || !reflect.DeepEqual(f.Universes, plain.Universes) {
			t.Fatalf("sequence %d, %s: all is let go, and the light is another", seq, given)
		}
	}
}

// agrees holds the light of all units against the model.
func (b *bench) agrees(t *testing.T, m *model, form string, args ...any) {
	t.Helper()
	b.light(stands, 0)
	for _, u := range barnUnits {
		low, high := m.light(u, "first")
		for e, v := range b.emitters(u) {
			least := low[e]
			if u == "bar" && e == 3 {
				least = min(least, .5) // black light has a ceiling, which is above that
			}
			if v < least-oneStep || v > high[e]+oneStep {
				t.Fatalf(form+"\n%s gives %v of emitter %d, want %v to %v; held: %s", append(args, u, v, e, least, high[e], b.state())...)
			}
		}
	}
}

func (b *bench) state() string {
	s, _ := b.h.State()
	return s.String()
}

// A unit that is named twice is one.
func TestNamedTwice(t *testing.T) {
	state, err := hand.State{}.After(hand.Order{Do: hand.Set, Units: []string{"p1", "p2", "p1"}, Level: .5}, solved(t), time.Time{})
	if err != nil || state.String() != "p1, p2: 50 %" {
		t.Errorf("%q, %v", state, err)
	}
}

// An order that is given twice does what it does once.
func TestTwiceIsOnce(t *testing.T) {
	s := solved(t)
	r := rand.New(rand.NewPCG(7, 1813))
	state := hand.State{}
	now := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	for range 2000 {
		o := anyOrder(r)
		once, err := state.After(o, s, now)
		if err != nil {
			continue
		}
		if twice, err := once.After(o, s, now); err != nil || twice.String() != once.String() {
			t.Fatalf("%+v: once %q, twice %q, %v", o, once, twice, err)
		}
		state = once
	}
}

// A look in which all that is held was kept is solved to what was held.
func TestKeptIsHeld(t *testing.T) {
	s := solved(t)
	for seq := range 60 {
		r := rand.New(rand.NewPCG(uint64(seq), 5))
		b := newBench(t, s, hand.State{})
		for range 1 + r.IntN(6) {
			o := anyOrder(r)
			o.Do, o.Look = hand.Set, ""
			if o.Level = float64(r.IntN(101)) / 100; o.Dark {
				o.Level /= 2
			}
			if !o.Dark && r.IntN(2) == 0 {
				o.Colour = []string{"#ff8020", "red", "4000 K", "x 0.31 y 0.33"}[r.IntN(4)]
			}
			_ = b.h.Order(o) // one that names units without such light holds nothing
			b.take()
			b.now = b.now.Add(time.Second)
		}
		b.now = b.now.Add(time.Minute)
		state, _ := b.h.State()
		if len(state.Held) == 0 {
			continue
		}
		want := slices.Clone(b.light(stands, 0).Levels)
		text, err := score.Keep(show.ScoreFile, []byte(barn["score.yaml"]), "first", hand.Keeps(s, state.Held))
		if err != nil {
			t.Fatalf("sequence %d: %v", seq, err)
		}
		sc, faults := score.Read(show.ScoreFile, text)
		if err := faults.Err(); err != nil {
			t.Fatalf("sequence %d: %v\n%s", seq, err, text)
		}
		now, faults := s.With(sc)
		if err := faults.Err(); err != nil {
			t.Fatalf("sequence %d: %v\n%s", seq, err, text)
		}
		for d, v := range now.Looks[now.Score.Looks.Index("first")].Levels {
			if math.Abs(float64(v-want[d])) > oneStep {
				u := s.Rig.Units[s.Rig.Drives[d].Unit].Name.Name
				t.Fatalf("sequence %d: %s was held at %v and is kept at %v; held: %s\n%s", seq, u, want[d], v, state, text)
			}
		}
	}
}
