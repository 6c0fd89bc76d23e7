package show

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

var wayRoom = hall["room.yaml"] + `objects:
  fish: {paint: fluorescent green, centre: [0 m, 2 m, 1 m], width: 0.6 m, height: 0.4 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  boat: {paint: fluorescent orange, centre: [2 m, 2 m, 1 m], width: 1 m, height: 0.5 m, faces: [0 m, -1 m, 0 m], background: backdrop, carried by: hand}
boxes:
  crate: {centre: [-2.5 m, 1 m, 0.5 m], size: [1 m, 1 m, 1 m]}
performers:
  - {name: hand, at: [2 m, 3 m, 1.6 m], looks at: [2 m, 0 m, 1.6 m]}
marks:
  left:  [-2 m, 2.5 m, 1 m]
  right: [2 m, 2.5 m, 1 m]
  front: [0 m, 1.5 m, 1.2 m]
`

const wayScore = `
looks:
  glows: {system: uv, glow: {object: fish, luminance: 0.3 cd/m2}}
  grey: {system: front, level: 10 %}
cues:
  - {cue: 1, at: 0:00, look: grey}
  - {cue: 10, at: 0:10, look: glows}
  - {cue: 20, at: 0:20, look: grey}
  - {cue: 30, at: 0:30, look: glows}
  - {cue: 40, at: 0:40, look: grey}
`

func wayShow(t *testing.T, more string) *Show {
	t.Helper()
	return showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": wayScore + more}, nil)
}

// A thing stands at home until it crosses, is half-way when half of its way is gone by any
// pace that is alike both ways, stands where that led, and sets out from where it is when
// it is called away on its way.
func TestWay(t *testing.T) {
	s := wayShow(t, `crosses:
  fish:
    - {cue: 10, from: left, to: right, takes: 4 s}
    - {cue: 20, through: [front], to: left, takes: 8 s, pace: steady}
    - {at: 0:24, to: right, takes: 4 s, faces: [1 m, 0 m, 0 m]}
`)
	for at, want := range map[float64][3]float64{
		0: {0, 2, 1}, 9.9: {0, 2, 1}, 10: {-2, 2.5, 1}, 12: {0, 2.5, 1}, 14: {2, 2.5, 1}, 19: {2, 2.5, 1},
		24: {0, 1.5, 1.2}, // half of the steady way: the mark in its middle, and there it turns back
		28: {2, 2.5, 1}, 100: {2, 2.5, 1},
	} {
		got := metres(s.ways["fish"].at(time.Duration(at * float64(time.Second))).At)
		if size(less(got, want)) > 1e-6 {
			t.Errorf("at %v s the fish is at %v, want %v", at, got, want)
		}
	}
	if got := metres(s.ways["fish"].at(11 * time.Second).At); got[0] > -1.2 { // a quarter of the time is 5/32 of an eased way
		t.Errorf("an eased way has got to %v in a quarter of its time", got)
	}
	if got := s.ways["fish"].at(26 * time.Second).Faces; math.Abs(float64(got[0])-math.Sqrt2/2) > 1e-6 {
		t.Errorf("half turned it faces %v", got)
	}
}

// What goes by bars is as far in every bar. Without a track bars are slow time, and that is told.
func TestWayByBars(t *testing.T) {
	f, _ := Read(hallWith(map[string]string{"room.yaml": wayRoom, "score.yaml": wayScore + "crosses:\n  fish:\n    - {at: 0:10, from: left, to: right, takes: 4 bars, pace: with the bars}\n"}))
	s, faults := New(context.Background(), f, nil)
	if !strings.Contains(faults.Error(), "slow time") {
		t.Errorf("told is %q", faults.Error())
	}
	l := &s.ways["fish"].legs[0]
	n := len(l.bars) + 1
	for k, bar := range l.bars {
		if got := l.share(bar); math.Abs(got-float64(k+1)/float64(n)) > 1e-9 {
			t.Errorf("at bar %d of %d it has gone %v", k+1, n, got)
		}
	}
	if l.end <= l.start || l.share(l.end) != 1 {
		t.Errorf("it goes from %v to %v", l.start, l.end)
	}
}

// What is carried keeps its place beside who carries it, and turns with them.
func TestCarried(t *testing.T) {
	s := wayShow(t, "crosses:\n  hand:\n    - {cue: 10, to: [0 m, 2 m, 1.6 m], takes: 2 s, faces: [1 m, 0 m, 0 m]}\n")
	for at, want := range map[float64][3]float64{5: {2, 2, 1}, 15: {1, 2, 1}} { // before: a metre before them; after: a metre to the right
		got := metres(s.ways["boat"].at(time.Duration(at * float64(time.Second))).At)
		if size(less(got, want)) > 1e-6 {
			t.Errorf("at %v s the boat is at %v, want %v", at, got, want)
		}
	}
}

// A look is solved for where its object is: the light of each cue makes it glow as asked at its
// place, and no drive gives more than is needed.
func TestLookForWhereItIs(t *testing.T) {
	s := wayShow(t, "crosses:\n  fish:\n    - {cue: 10, to: left}\n    - {cue: 30, to: right}\n")
	looks := map[string]int{}
	for i := range s.Cues {
		looks[s.Cues[i].Number.Name] = s.Cues[i].Look
	}
	if looks["10"] == looks["30"] || s.Looks[looks["10"]].Name != s.Looks[looks["30"]].Name {
		t.Fatalf("the looks of the cues are %v", looks)
	}
	for number, mark := range map[string]string{"10": "left", "30": "right"} {
		l := &s.Looks[looks[number]]
		still := strings.Replace(wayRoom, "centre: [0 m, 2 m, 1 m]", map[string]string{"left": "centre: [-2 m, 2.5 m, 1 m]", "right": "centre: [2 m, 2.5 m, 1 m]"}[mark], 1)
		alone := showOf(t, map[string]string{"room.yaml": still, "score.yaml": wayScore}, nil)
		g, _ := alone.Transport.Glow("fish", l.Levels)
		if math.Abs(g.Own.Y/.3-1) > .05 {
			t.Errorf("cue %s makes the fish glow with %.3f cd/m² where it is, 0.3 is asked", number, g.Own.Y)
		}
		if len(l.Misses) > 0 || !slices.Equal(l.For, []string{number}) {
			t.Errorf("cue %s: for %v, misses %v", number, l.For, l.Misses)
		}
	}
}

// Nothing but the fish: the boat beside it stays unseen while it is on stage, which costs the
// fish some of its glow, and costs nothing when it is not.
func TestOnly(t *testing.T) {
	text := strings.Replace(wayScore, "{system: uv, glow: {object: fish, luminance: 0.3 cd/m2}}", "{system: uv, glow: {object: fish, luminance: 4 cd/m2}, only: {objects: [fish], others at most: 0.02 cd/m2}}", 1)
	with := showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": text}, nil)
	without := showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": text + "on stage:\n  boat: never\n"}, nil)
	there, away := &with.Looks[0], &without.Looks[0]
	_, boat, _ := with.Transport.GlowRows("boat")
	if got := dotLevels(boat, there.Levels); got > .02*1.0001 {
		t.Errorf("the boat is seen with %.4f cd/m²", got)
	}
	if len(there.Misses) != 1 || !strings.Contains(there.Misses[0].Text, "boat is not seen") {
		t.Errorf("with the boat the fish misses %v", there.Misses)
	}
	if len(away.Misses) != 0 {
		t.Errorf("without the boat the fish misses %v", away.Misses)
	}
	fixed := showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": strings.Replace(text, "{system: uv, glow: {object: fish, luminance: 4 cd/m2},", "{system: front, level: 50 %,", 1)}, nil)
	if m := fixed.Looks[0].Misses; len(m) != 1 || !strings.Contains(m[0].Text, "boat is seen as well") {
		t.Errorf("light at a fixed level: %v", m)
	}
}

// Lux on what moves is a least: nowhere on its way is it darker, and the lamps give no more than
// its worst place wants.
func TestLuxFollows(t *testing.T) {
	text := strings.Replace(wayScore, "{system: uv, glow: {object: fish, luminance: 0.3 cd/m2}}", "{system: front, colour: 4000 K, lux: 20, on: fish}", 1)
	s := showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": text + "crosses:\n  fish:\n    - {cue: 10, from: left, to: right, takes: 9 s, pace: steady}\n"}, nil)
	c := &s.Cues[1]
	least := math.Inf(1)
	for k := range 91 {
		at := c.Start + time.Duration(k)*100*time.Millisecond
		least = min(least, float64(s.Seen(at).Lux("fish", s.Looks[c.Look].Levels)))
	}
	if math.Abs(least-20) > .5 {
		t.Errorf("on its way the fish has %.2f lx at least, 20 are asked", least)
	}
	if len(s.Looks[c.Look].Misses) > 0 {
		t.Errorf("misses %v", s.Looks[c.Look].Misses)
	}
	bright := strings.Replace(text, "lux: 20", "lux: 20000", 1)
	s = showOf(t, map[string]string{"room.yaml": wayRoom, "score.yaml": bright + "crosses:\n  fish:\n    - {cue: 10, from: left, to: right, takes: 9 s}\n"}, nil)
	if m := s.Looks[s.Cues[1].Look].Misses; len(m) != 1 || !strings.Contains(m[0].Text, "where it has least on its way") {
		t.Errorf("too much asked: %v", m)
	}
}

// What a room shows at any instant is what it shows with the thing standing there: interpolated
// poses against rooms in which nothing moves. Behind a boat that stands in its light the edge of
// a shadow crosses it, which both see by the few points that they ask for; that is printed apart.
func TestSeenAgainstStanding(t *testing.T) {
	n := 4
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n = 300
	}
	clear, shaded := offStanding(t, n, false), []float64{0}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		shaded = offStanding(t, n, true)
	}
	for i, off := range [][]float64{clear, shaded} {
		t.Logf("%d instants, %s: median %.2f %%, 95th percentile %.2f %%, worst %.2f %%", n, []string{"in clear light", "partly in a shadow"}[i], 100*off[len(off)/2], 100*off[len(off)*95/100], 100*off[len(off)-1])
	}
	if p := clear[len(clear)*95/100]; p > .02 {
		t.Errorf("the 95th percentile is off by %.2f %%", 100*p)
	}
}

func offStanding(t *testing.T, n int, shade bool) []float64 {
	away := "on stage:\n  boat: never\n"
	if shade {
		away = ""
	}
	s := wayShow(t, "crosses:\n  fish:\n    - {cue: 10, from: left, through: [front], to: right, takes: 20 s, faces: [1 m, -1 m, 0 m]}\n"+away)
	levels := make([]float32, len(s.Rig.Drives))
	for d := range levels {
		levels[d] = 1
	}
	rng := rand.New(rand.NewPCG(20260314, 3))
	var off []float64
	for range n {
		at := 10*time.Second + time.Duration(rng.Int64N(int64(21*time.Second)))
		seen := s.Seen(at)
		pose := s.ways["fish"].at(at)
		f, _ := Read(hallWith(map[string]string{"room.yaml": wayRoom, "score.yaml": wayScore + away}))
		o := f.Room.Objects.Get("fish")
		o.Centre, o.Faces = pose.At, pose.Faces
		f.Room.Loosen(f.coming())
		still, _ := f.Room.Solve(context.Background(), f.Rig)
		a, _ := seen.Glow("fish", levels)
		b, _ := still.Glow("fish", levels)
		off = append(off, math.Abs(a.Own.Y/b.Own.Y-1), math.Abs(float64(seen.Lux("fish", levels)/still.Lux("fish", levels))-1))
	}
	slices.Sort(off)
	return off
}

// Ways that cannot be gone are told where they are written.
func TestWayFaults(t *testing.T) {
	for text, want := range map[string]string{
		"  whale: [{cue: 10, to: left}]\n":                                            `no object and no performer "whale" that crosses`,
		"  boat: [{cue: 10, to: left}]\n":                                             "boat is carried by hand, and crosses by itself",
		"  fish: [{cue: 10, to: middle}]\n":                                           `the room has no such mark`,
		"  fish: [{cue: 11, to: left}]\n":                                             "there is no cue 11 by which a way of fish begins",
		"  fish: [{to: left}]\n":                                                      "no one beginning",
		"  fish: [{cue: 10, at: 0:10, to: left}]\n":                                   "no one beginning",
		"  fish: [{cue: 10, takes: 3 s}]\n":                                           "leads nowhere",
		"  fish: [{cue: 10, from: right, through: [left]}]\n":                         "does not say where to",
		"  fish: [{cue: 10, to: [8 m, 2 m, 1 m]}]\n":                                  "out of the room",
		"  fish: [{cue: 10, from: [-2.5 m, 3 m, 0.6 m], to: [-2.5 m, 0 m, 0.6 m]}]\n": "goes through the box crate",
		"  fish: [{cue: 20, to: left}, {cue: 10, to: right}]\n":                       "before the way that is written before it",
		"  fish: [{cue: 10, to: left, takes: soon}]\n":                                "does not say how long a way takes",
		"  fish: [{cue: 10, to: left, takes: 900 bars}]\n":                            "1 bar to 200 bars",
		"  fish: [{cue: 10, to: {x: 1}}]\n":                                           "a place is said otherwise",
		"  fish: [{cue: 10, to: left, faces: [0 m, 0 m, 0 m]}]\n":                     "a direction without a length",
	} {
		f, faults := Read(hallWith(map[string]string{"room.yaml": wayRoom, "score.yaml": wayScore + "crosses:\n" + text}))
		_, more := New(context.Background(), f, nil)
		if told := faults.Error() + more.Error(); !strings.Contains(told, want) {
			t.Errorf("%q: told is %q, want %q", text, told, want)
		}
	}
	_, faults := room.Read("room.yaml", []byte(strings.Replace(wayRoom, "carried by: hand", "carried by: nobody", 1)))
	if !strings.Contains(faults.Error(), "there is no such performer") {
		t.Errorf("carried by nobody: %q", faults.Error())
	}
	_, faults = room.Read("room.yaml", []byte(strings.Replace(wayRoom, "left:  [-2 m", "left:  [-20 m", 1)))
	if !strings.Contains(faults.Error(), "mark left is") {
		t.Errorf("a mark outside: %q", faults.Error())
	}
}

// Whatever ways are written, a thing is somewhere at every instant, and never leaps but where a
// way begins elsewhere or takes no time.
func TestWaysAreSmooth(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 4))
	s := wayShow(t, "")
	var said source.Faults
	anywhere := func(rng *rand.Rand) [3]si.Length {
		return [3]si.Length{si.Length(rng.Float64()*4 - 2), si.Length(1.5 + rng.Float64()), si.Length(1 + rng.Float64())}
	}
	for range 300 {
		w := &way{home: room.Pose{At: room.Point{0, 2, 1}, Faces: room.Point{0, -1, 0}}}
		at := time.Duration(0)
		for range 1 + rng.IntN(5) {
			at += time.Duration(rng.Int64N(int64(8 * time.Second)))
			took := 200*time.Millisecond + time.Duration(rng.Int64N(int64(6*time.Second)))
			start := at
			c := score.Crossing{Going: score.Going{At: &start, Takes: &score.Takes{Time: took}, Pace: []score.Pace{score.Eased, score.Steady, score.WithBars}[rng.IntN(3)]}, To: &score.Spot{At: anywhere(rng)}}
			s.addLeg(w, "fish", &c, &said)
		}
		before := w.at(0)
		for t0 := time.Duration(0); t0 < at+8*time.Second; t0 += 5 * time.Millisecond {
			p := w.at(t0)
			if step := size(less(metres(p.At), metres(before.At))); !(step < .5) {
				t.Fatalf("at %v it leaps by %v m", t0, step)
			}
			if l := size(metres(p.Faces)); math.Abs(l-1) > 1e-6 {
				t.Fatalf("at %v it faces %v", t0, p.Faces)
			}
			before = p
		}
	}
}
