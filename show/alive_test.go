package show

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/room"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// beating is a track of a minute with a steady beat, in bars of four.
func beating(bpm float64, seconds int) *soundtrack.Track {
	t := &soundtrack.Track{Duration: time.Duration(seconds) * time.Second, Rate: 44100, Channels: 1}
	every := time.Duration(60 / bpm * float64(time.Second))
	for i := 0; time.Duration(i)*every < t.Duration; i++ {
		kind := soundtrack.Beat
		if i%4 == 0 {
			kind = soundtrack.Bar
		}
		t.Moments = append(t.Moments, soundtrack.Moment{Kind: kind, Time: time.Duration(i) * every, Bar: 1 + i/4, Beat: 1 + i%4})
	}
	t.Tempo = []soundtrack.TempoSpan{{To: t.Duration, BPM: bpm, BeatsABar: 4}}
	r := rand.New(rand.NewPCG(1, 2))
	for k := range t.Bands {
		t.Bands[k].Hop = 10 * time.Millisecond
		for range seconds * 100 {
			t.Bands[k].Values = append(t.Bands[k].Values, float32(-60*r.Float64()))
		}
	}
	return t
}

// row is a rig of lamps in a row of so many, in an order in the file that is none in the room.
func row(n int) string {
	units := "units:\n"
	for _, i := range rand.New(rand.NewPCG(3, uint64(n))).Perm(n) {
		x := -3.5 + 7*float64(i)/float64(max(n-1, 1))
		units += fmt.Sprintf("  - {unit: u%d, type: par, universe: %d, address: %d, at: [%.3f m, 2 m, 3 m], aim: [%.3f m, 2 m, 0 m], systems: [front]}\n", i, 1+i/50, 1+i%50*10, x, x)
	}
	return units
}

// halls are the rooms that were solved, by the number of lamps in a row.
var halls = map[int]*Show{}

// aliveHall is a hall whose look has a part that lives, on a rig of lamps in a row.
func aliveHall(t testing.TB, n int, lives string, track *soundtrack.Track) *Show {
	t.Helper()
	text := `
looks:
  dark: {purpose: nothing is seen}
  night: {system: front, colour: "#2030ff", level: 20 %}
  alive:
    parts:
      - {system: front, colour: "#ffffff", level: 80 %, ` + lives + `}
cues:
  - {cue: 1, at: 0:00, look: alive}
  - {cue: 2, at: 0:40, look: dark, up: 4 s}
`
	if halls[n] == nil {
		halls[n] = showOf(t, map[string]string{
			"rig.yaml":          row(n),
			"fixtures/par.yaml": strings.Replace(hall["fixtures/par.yaml"], "half: 25°", "half: 10°", 1),
			"score.yaml":        "looks:\n  dark: {purpose: nothing}\ncues:\n  - {cue: 1, at: 0:00, look: dark}\n",
		}, track)
	}
	sc, faults := score.Read("score.yaml", []byte(text))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := halls[n].on(sc, track).performed()
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// performed is the show with its looks solved and its cues in time.
func (s *Show) performed() (*Show, source.Faults) {
	var faults source.Faults
	s.perform(&faults)
	return s, faults
}

func showOf(t testing.TB, changes map[string]string, track *soundtrack.Track) *Show {
	t.Helper()
	f, faults := Read(hallWith(changes))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, track)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// ways are all that light can do by itself, in words of a file.
func ways(r *rand.Rand) string {
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	swing := func() string { return pick("", ", down to: 30 %", ", from: night") }
	every := func() string {
		return pick("beat", "off-beat", "bar", "2 bars", `"1 . 3 ."`, "0.8 s", "3 beats")
	}
	all := []string{
		"on the beat: {every: " + every() + ", rise: " + pick("0 s", "0.1 s") + ", fall: " + pick("0.2 s", "2 s") + swing() + "}",
		"on the beat: {as: " + pick("low", "mid", "high") + "}",
		"in turn: {order: " + pick("left to right", "outward", "round", "front to back") + ", every: " + every() + ", overlap: " + pick("0 %", "50 %", "100 %") + ", back: " + pick("yes", "no") + swing() + "}",
		"through the room: {" + pick("direction: right to left", "direction: outward", "out from: [1 m, 1 m, 0 m]") + ", speed: 3 m/s, every: " + every() + swing() + "}",
		"follows the sound: {of: " + pick("low", "mid", "high", "all") + swing() + "}",
		"lives like: {light: " + pick("candle", "hearth", "water", "storm sky", "leaves") + swing() + "}",
		"wanders: {every: 10 s" + pick("", `, among: ["#ff8800", "#0088ff", "#20ff40"]`) + swing() + "}",
	}
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	var out []string
	seen := map[string]bool{}
	for _, way := range all[:1+r.IntN(3)] {
		if key, _, _ := strings.Cut(way, ":"); !seen[key] {
			out, seen[key] = append(out, way), true
		}
	}
	return strings.Join(out, ", ")
}

// Light that lives is a function of time: the same at an instant in whatever order it is
// asked for; it lies between what the looks have; and it ends cleanly.
func TestLivingLightIsAFunctionOfTime(t *testing.T) {
	shows := 60
	switch {
	case testing.Short():
		shows = 10
	case os.Getenv("LAMPBLACK_LONG") != "":
		shows = 1000
	}
	r := rand.New(rand.NewPCG(20, 26))
	track := beating(128, 60)
	for range shows {
		lives := ways(r)
		n := []int{1, 4, 7}[r.IntN(3)]
		s := aliveHall(t, n, lives, track)
		var at []time.Duration
		var first [][]float32
		f := s.NewFrame()
		moved := false
		night := s.Looks[1].Levels
		for range 17 {
			x := time.Duration(r.Int64N(int64(50 * time.Second)))
			s.At(f, x)
			at, first = append(at, x), append(first, slices.Clone(f.Levels))
			for d, l := range f.Levels {
				if !(l >= 0 && l <= 1) {
					t.Fatalf("%s: at %v drive %d is at %v", lives, x, d, l)
				}
				most := max(s.Looks[2].Levels[d], night[d])
				if !strings.Contains(lives, "among") && l > most+1e-6 {
					t.Fatalf("%s: at %v drive %d is at %v, and its looks have %v at most", lives, x, d, l, most)
				}
				moved = moved || x < 40*time.Second && math.Abs(float64(l-s.Looks[2].Levels[d])) > 1e-3
			}
		}
		if !moved && n > 1 { // one lamp alone has every turn
			t.Errorf("%s: nothing moves", lives)
		}
		g := s.NewFrame()
		for _, i := range r.Perm(len(at)) {
			if s.At(g, at[i]); !slices.Equal(g.Levels, first[i]) {
				t.Fatalf("%s: the light at %v is another the second time", lives, at[i])
			}
		}
		if s.At(f, 44*time.Second); slices.Max(f.Levels) != 0 {
			t.Errorf("%s: it does not end with its look", lives)
		}
		low, high := s.Range()
		for i := range at {
			for d, l := range first[i] {
				if l < low[d]-1e-6 || l > high[d]+1e-6 {
					t.Fatalf("%s: %v at %v lies outside %v to %v", lives, l, at[i], low[d], high[d])
				}
			}
		}
		if n := testing.AllocsPerRun(20, func() { s.At(f, 7*time.Second) }); n > 0 {
			t.Errorf("%s: a frame takes %v allocations", lives, n)
		}
	}
}

// A fade between a look that lives and one that stands is as much of each as its share.
func TestLivingLightRidesOnFades(t *testing.T) {
	s := aliveHall(t, 4, "on the beat: {every: bar, fall: 1.5 s}", beating(120, 60))
	still := aliveHall(t, 4, "flash: 0 Hz", beating(120, 60))
	f, g := s.NewFrame(), still.NewFrame()
	before := func(x time.Duration) []float32 { // the look alone
		return slices.Clone(s.Light(f, x-8*time.Second).Levels) // four bars before
	}
	for x := 40 * time.Second; x <= 44*time.Second; x += 37 * time.Millisecond {
		share := 1 - float32((x-40*time.Second).Seconds()/4)
		whole := before(x)
		s.Light(f, x)
		still.Light(g, x)
		for d, l := range f.Levels {
			if want := share * whole[d]; math.Abs(float64(l-want)) > 1e-5 {
				t.Fatalf("at %v drive %d is at %v, want %v", x, d, l, want)
			}
			if l > g.Levels[d]+1e-6 {
				t.Fatalf("at %v drive %d is at %v, more than %v that the fade has", x, d, l, g.Levels[d])
			}
		}
	}
}

// A look that lives and is left in the middle of its own fade goes out from where it was.
func TestLivingLightIsLeftInAFade(t *testing.T) {
	s := showOf(t, map[string]string{"score.yaml": `
looks:
  a: {system: front, level: 80 %, on the beat: {every: bar, fall: 1.9 s}}
  b: {system: front, level: 60 %, in turn: {every: 0.9 s, overlap: 30 %, down to: 20 %}}
  dark: {purpose: nothing}
cues:
  - {cue: 1, at: 0:00, look: dark}
  - {cue: 2, at: 0:10, look: a, up: 3 s}
  - {cue: 3, at: 0:12.3, look: b, up: 4 s, down: 2 s}
  - {cue: 4, at: 0:13.2, look: a, up: 2 s}
  - {cue: 5, at: 0:14.65, look: dark, up: 3 s}
`}, beating(120, 60))
	f := s.NewFrame()
	for _, c := range s.Cues { // no leap at any start
		before := slices.Clone(s.Light(f, c.Start-time.Microsecond).Levels)
		s.Light(f, c.Start+time.Microsecond)
		for d, l := range f.Levels {
			if math.Abs(float64(l-before[d])) > 1e-3 {
				t.Errorf("cue %s: drive %d leaps from %v to %v", c.Number, d, before[d], l)
			}
		}
	}
	if s.Light(f, 18*time.Second); slices.Max(f.Levels) > 0 {
		t.Error("it does not go out")
	}
}

// The order of turns is that of the room, left to right, on any rig.
func TestTurnsGoByPlace(t *testing.T) {
	for _, n := range []int{3, 8} {
		s := aliveHall(t, n, "in turn: {order: left to right, every: 2 bars}", beating(120, 60))
		f := s.NewFrame()
		var turns []int
		for x := 8 * time.Second; x < 12*time.Second; x += 10 * time.Millisecond { // two bars
			s.Light(f, x)
			for u := range s.Rig.Units {
				from, to := s.Rig.UnitDrives(u)
				if slices.Max(f.Levels[from:to]) > .1 && (len(turns) == 0 || turns[len(turns)-1] != u) {
					turns = append(turns, u)
				}
			}
		}
		if len(turns) != n {
			t.Fatalf("%d lamps: %d turns", n, len(turns))
		}
		for i, u := range turns {
			if want := fmt.Sprintf("u%d", i); s.Rig.Units[u].Name.Name != want {
				t.Errorf("%d lamps: turn %d is %s's, want %s", n, i, s.Rig.Units[u].Name.Name, want)
			}
		}
	}
}

// A wave crosses the floor at its speed, on two rigs, by the lux on the floor.
func TestWaveCrossesTheFloor(t *testing.T) {
	for _, n := range []int{6, 15} {
		for _, speed := range []float64{0.6, 1.2} { // faster over the second would be more than three flashes a second
			s := aliveHall(t, n, fmt.Sprintf("through the room: {speed: %g m/s, every: 20 s, length: 1.5 m}", speed), beating(120, 60))
			got := crossing(s, 20*time.Second, 20*time.Second+time.Duration(12/speed*float64(time.Second)))
			if math.Abs(got/speed-1) > .05 {
				t.Errorf("%d lamps: the wave goes at %.3f m/s over the floor, want %g", n, got, speed)
			}
		}
	}
}

// crossing is the speed at which a wave goes over the floor: the slope of the middle of the
// light in time over the place.
func crossing(s *Show, from, to time.Duration) float64 {
	f := s.NewFrame()
	var x, at []float64
	for p := range s.Transport.Places {
		place := &s.Transport.Places[p]
		if place.Panel < 0 || s.Transport.Panels[place.Panel].Name != room.FloorName || math.Abs(float64(place.At[1])-2) > .4 || math.Abs(float64(place.At[0])) > 2.5 {
			continue
		}
		sum, middle := 0.0, 0.0
		for i := from; i < to; i += 20 * time.Millisecond {
			lux := s.Transport.Reading(p, room.Photopic, s.Light(f, i).Levels)
			sum += lux
			middle += lux * i.Seconds()
		}
		x, at = append(x, float64(place.At[0])), append(at, middle/sum)
	}
	var mx, mt, xx, xt float64
	for i := range x {
		mx += x[i] / float64(len(x))
		mt += at[i] / float64(len(x))
	}
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xt += (x[i] - mx) * (at[i] - mt)
	}
	return xx / xt
}

// What burns goes on while the show is held; what goes with the music stands with it.
func TestNaturalLightGoesOnWhileHeld(t *testing.T) {
	held := evening.State{Step: 1, In: 9300 * time.Millisecond, Living: 20 * time.Second, Held: true}
	later := held
	later.Living += 3 * time.Second
	for lives, moves := range map[string]bool{"lives like: candle": true, "wanders: 5 s": true, "on the beat: beat": false, "in turn: round": false, "on the beat: {every: 0.7 s, fall: 0.69 s}": true} {
		s := aliveHall(t, 4, lives, beating(120, 60))
		f, g := s.NewFrame(), s.NewFrame()
		s.AtState(f, held)
		s.AtState(g, later)
		if same := slices.Equal(f.Levels, g.Levels); same == moves {
			t.Errorf("%s: held for three seconds, the same light is %v", lives, same)
		}
	}
}

// A cue moves all that its look lights, beside what the look's parts do.
func TestCueMovesItsLook(t *testing.T) {
	files := maps.Clone(hall)
	s := showOf(t, map[string]string{"score.yaml": strings.Replace(files["score.yaml"], "look: warm}", "look: warm, on the beat: {fall: 0.4 s, down to: 10 %}}", 1)}, beating(120, 60))
	f := s.NewFrame()
	on, off := slices.Clone(s.Light(f, 4*time.Second).Levels), slices.Clone(s.Light(f, 4*time.Second+450*time.Millisecond).Levels)
	for d, most := range s.Looks[1].Levels {
		if math.Abs(float64(on[d]-most)) > 1e-6 || math.Abs(float64(off[d]-most/10)) > 1e-6 {
			t.Fatalf("drive %d is at %v on the beat and %v between, want %v and a tenth of it", d, on[d], off[d], most)
		}
	}
	if !slices.Equal(s.Light(f, 36*time.Second).Levels, s.Looks[1].Levels) {
		t.Error("another cue with that look moves as well")
	}
}

// What a cue moves takes a share of what its look's part moves.
func TestCueAndPartMoveTogether(t *testing.T) {
	text := "looks:\n  a: {system: front, level: 80 %, on the beat: {every: 1 s, fall: 0.9 s, down to: 50 %}}\ncues:\n  - {cue: 1, at: 0:00, look: a, on the beat: {every: 2 s, fall: 1.9 s, down to: 40 %}}\n"
	s := showOf(t, map[string]string{"score.yaml": text}, beating(120, 60))
	f := s.NewFrame()
	for at := 4 * time.Second; at < 8*time.Second; at += 130 * time.Millisecond {
		s.Light(f, at)
		fall := func(every, fall, least float64) float64 {
			u := min(math.Mod(at.Seconds(), every)/fall, 1)
			return least + (1-least)*(1-u)*(1-u)
		}
		for d, most := range s.Looks[0].Levels {
			if want := float64(most) * fall(1, .9, .5) * fall(2, 1.9, .4); math.Abs(float64(f.Levels[d])-want) > 1e-5 {
				t.Fatalf("at %v drive %d is at %v, want %v", at, d, f.Levels[d], want)
			}
		}
	}
}

// An evening as one show keeps of each movement what its step keeps.
func TestWholeEveningIsSoftened(t *testing.T) {
	f, faults := Read(hallWith(map[string]string{
		"score.yaml": "looks:\n  calm: {system: front, level: 20 %}\n  fast: {system: front, level: 100 %, on the beat: {every: 0.2 s, fall: 80 ms}}\n",
		"order.yaml": "order:\n  - {standing: first, look: calm, at most: 1 min}\n  - {standing: then, look: fast, at most: 1 min}\n",
		"show.yaml":  "title: Hall\n",
	}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	e, _ := s.Evening(f.Order, nil)
	want, _ := e.Steps[1].Show.Softened(0)
	got, moves := e.Whole().Softened(1)
	if !moves || !reflect.DeepEqual(got, want.later(time.Minute)) || !want.Less() {
		t.Errorf("the whole evening keeps %+v, and its step %+v", got, want)
	}
}

// In an evening as one show, what moves with the beat goes with that of its own piece, as it does
// in its step.
func TestWholeEveningMovesWithItsSound(t *testing.T) {
	f, faults := Read(hallWith(map[string]string{
		"score.yaml": "looks:\n  calm: {system: front, level: 20 %}\n  alive: {system: front, level: 100 %, on the beat: {every: beat, fall: 300 ms}}\ncues:\n  - {cue: 1, at: 0:00, look: alive}\n",
		"order.yaml": "order:\n  - {standing: first, look: calm, at most: 61 s, usually: 61 s}\n  - {piece: its own}\n",
	}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, beating(97, 30))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	e, _ := s.Evening(f.Order, nil)
	whole, step := e.Whole(), e.Steps[1].Show
	a, b := whole.NewFrame(), step.NewFrame()
	least, most := float32(1), float32(0)
	for at := 2 * time.Second; at < 25*time.Second; at += 70 * time.Millisecond {
		whole.Light(a, 61*time.Second+at)
		step.Light(b, at)
		for d, v := range b.Levels {
			if math.Abs(float64(a.Levels[d]-v)) > 1e-6 {
				t.Fatalf("at %v of the piece drive %d is at %v in the evening, and at %v in the piece", at, d, a.Levels[d], v)
			}
		}
		least, most = min(least, slices.Max(b.Levels)), max(most, slices.Max(b.Levels))
	}
	if most < 2*least {
		t.Errorf("it lies between %v and %v: nothing moves", least, most)
	}
}

// BenchmarkAlive tells frames a second of 64 units that all live, slots and all.
func BenchmarkAlive(b *testing.B) {
	for _, lives := range []string{"flash: 0 Hz", "on the beat: beat", "in turn: {every: bar, overlap: 50 %}", "through the room: {every: beat}", "follows the sound: low", "lives like: candle", `wanders: {among: ["#ff8800", "#0088ff"]}`} {
		name, _, _ := strings.Cut(lives, ":")
		b.Run(name, func(b *testing.B) {
			s := aliveHall(b, 64, lives, beating(128, 60))
			f := s.NewFrame()
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				s.At(f, time.Duration(i%30000)*time.Millisecond)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
	}
}
