package show_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
	"lampblack/soundtrack"
)

// The rig of these tests has three lamps of four emitters each, in a bare room.
var bare = map[string]string{
	"show.yaml": "title: bare\nsoundtrack: none.wav\n",
	"fixtures/lamp.yaml": `name: lamp
beam: {half: 25°}
emitters:
  red:   {peak: 629 nm, width: 15 nm, output: 2 W}
  green: {peak: 519 nm, width: 32 nm, output: 1 W}
  blue:  {peak: 454 nm, width: 18 nm, output: 2 W}
  uv:    {peak: 397 nm, width: 13 nm, output: 1 W}
modes: {five: {1: {dims: all}, 2: {drives: red}, 3: {drives: green}, 4: {drives: blue}, 5: {drives: uv}}}
`,
	"rig.yaml": `units:
  - {unit: a, type: lamp, address: 1, at: [0 m, 0 m, 1.4 m], aim: [0 m, 0.5 m, 0.7 m], systems: [all, left]}
  - {unit: b, type: lamp, address: 11, at: [0.2 m, 0 m, 1.4 m], aim: [0 m, 0.5 m, 0.7 m], systems: [all, right]}
  - {unit: c, type: lamp, address: 21, at: [-0.2 m, 0 m, 1.4 m], aim: [0 m, 0.5 m, 0.7 m], systems: [all, right]}
`,
	"room.yaml":     "size: [1 m, 1.5 m, 1.5 m]\nstage front: 1 m\n",
	"triggers.yaml": "triggers: {door: {source: page}, hatch: {source: page}}\n",
}

const simDrives = 12

// simLook is a look by its levels, and the drives that it names.
type simLook struct {
	name string
	to   []float64
	on   []bool
}

// simLooks are five looks of all lamps and two of the first alone, and their text.
func simLooks() (looks []simLook, text string) {
	text = "looks:\n"
	for i := range 7 {
		l := simLook{fmt.Sprintf("look %d", i), make([]float64, simDrives), make([]bool, simDrives)}
		text += "  " + l.name + ":\n    parts:\n"
		for u, unit := range []string{"a", "b", "c"} {
			if u > 0 && i >= 5 {
				break
			}
			var emitters []string
			for d, e := range []string{"red", "green", "blue", "uv"} {
				k := 4*u + d
				v := (i*37 + k*53 + i*k*11) % 101
				l.to[k], l.on[k] = float64(v)/100, true
				emitters = append(emitters, fmt.Sprintf("%s: %d %%", e, v))
			}
			text += fmt.Sprintf("      - {units: [%s], emitters: {%s}}\n", unit, strings.Join(emitters, ", "))
		}
		looks = append(looks, l)
	}
	return looks, text
}

// tenths is a random length of whole tenths of a second, below most of them.
func tenths(rng *rand.Rand, most int) time.Duration {
	return time.Duration(rng.IntN(most)) * 100 * time.Millisecond
}

func secs(d time.Duration) string { return fmt.Sprintf("%.1f s", d.Seconds()) }

// randomUntil is what ends a wait or a standing look.
func randomUntil(rng *rand.Rand, w *simWait) (text string) {
	w.most = time.Second + tenths(rng, 300)
	w.usually = min(w.most, 500*time.Millisecond+tenths(rng, 200))
	text = fmt.Sprintf("usually: %s, at most: %s", secs(w.usually), secs(w.most))
	switch w.until = []string{"go", "go", "after", "trigger"}[rng.IntN(4)]; w.until {
	case "after":
		w.after = 100*time.Millisecond + tenths(rng, 200)
		w.usually, w.most = w.after, w.after
		return fmt.Sprintf("until: after %s", secs(w.after))
	case "trigger":
		text += ", until: trigger door"
	}
	return text
}

// randomPiece is a piece and its text: cues that start, peak and complete on their
// moments, bumps, cues that follow on, waits that stand and spans that repeat.
func randomPiece(rng *rand.Rand, looks []simLook, sound bool) (s simStep, text string) {
	if sound {
		s.sound = 5*time.Second + tenths(rng, 250)
	}
	var waits []string
	at := time.Duration(0)
	for range rng.IntN(4) {
		at += 500*time.Millisecond + tenths(rng, 80)
		w := simWait{place: at}
		if s.sound > 0 && at < s.sound {
			w.span = 500*time.Millisecond + tenths(rng, 60)
			if w.place += w.span; w.place > s.sound {
				break
			}
			at = w.place
			until := randomUntil(rng, &w)
			waits = append(waits, fmt.Sprintf("{from: %s, to: %s, %s}", secs(w.place-w.span), secs(w.place), until))
		} else {
			until := randomUntil(rng, &w)
			waits = append(waits, fmt.Sprintf("{at: %s, %s}", secs(at), until))
		}
		s.waits = append(s.waits, w)
	}
	var cues []string
	add := func(number int, moment time.Duration, when string) bool {
		l := looks[rng.IntN(len(looks))]
		c := simCue{up: tenths(rng, 60), to: l.to}
		c.down = c.up
		words := fmt.Sprintf("look: %s, up: %s", l.name, secs(c.up))
		peak := c.up
		switch rng.IntN(4) {
		case 0:
			c.on, c.hold, c.returns = l.on, tenths(rng, 20), tenths(rng, 30)
			words += fmt.Sprintf(", hold: %s, returns: %s", secs(c.hold), secs(c.returns))
		case 1:
			c.down = tenths(rng, 80)
			words += ", down: " + secs(c.down)
		}
		delay := time.Duration(0)
		if rng.IntN(3) == 0 {
			delay = tenths(rng, 15)
			words += ", delay: " + secs(delay)
		}
		lands := []string{"starts", "starts", "peaks", "completes"}[rng.IntN(4)]
		words += ", lands: " + lands
		c.at = moment + delay
		switch lands {
		case "peaks":
			c.at -= peak
		case "completes":
			c.at -= c.over()
		}
		for _, w := range s.waits { // what begins before a wait is over lands before it
			if c.at < w.place && moment+delay >= w.place {
				return false
			}
		}
		if c.at < 0 || slices.ContainsFunc(s.cues, func(o simCue) bool { return o.at == c.at }) {
			return false
		}
		s.cues = append(s.cues, c)
		cues = append(cues, fmt.Sprintf("{cue: %d, %s, %s}", number, when, words))
		return true
	}
	moment := time.Duration(0)
	for n := range 3 + rng.IntN(9) {
		moment += 100*time.Millisecond + tenths(rng, 50)
		for i := range s.waits { // some begin just where a wait is over, or a span begins
			if at := s.waits[i].place - time.Duration(rng.IntN(2))*s.waits[i].span; at > moment && at < moment+5*time.Second && rng.IntN(2) == 0 {
				moment = at
				break
			}
		}
		if k := len(s.cues); k > 0 && rng.IntN(4) == 0 {
			last := s.cues[k-1]
			number := strings.TrimPrefix(strings.SplitN(cues[k-1], ",", 2)[0], "{cue: ")
			add(n+1, last.at+last.over(), "follows: "+number)
			continue
		}
		add(n+1, moment, "at: "+secs(moment))
	}
	for len(s.cues) == 0 {
		moment += 10 * time.Second
		add(99, moment, "at: "+secs(moment))
	}
	slices.SortStableFunc(s.cues, func(a, b simCue) int { return int(a.at - b.at) })
	text = "cues:\n  - " + strings.Join(cues, "\n  - ") + "\n"
	if len(waits) > 0 {
		rng.Shuffle(len(waits), func(i, j int) { waits[i], waits[j] = waits[j], waits[i] })
		text += "waits:\n  - " + strings.Join(waits, "\n  - ") + "\n"
	}
	return s, text
}

// simOrder is a random order: its texts, and what the simulator knows of it.
type simOrder struct {
	files  map[string]string
	steps  []simStep
	tracks map[string]*soundtrack.Track
}

func (o *simOrder) String() string {
	text := o.files["order.yaml"]
	for i := range o.steps {
		if name := fmt.Sprintf("p%d.yaml", i); o.files[name] != "" {
			text += "-- " + name + " --\n" + o.files[name]
		}
	}
	return text
}

func randomOrder(rng *rand.Rand) *simOrder {
	looks, text := simLooks()
	o := &simOrder{map[string]string{"score.yaml": text + "cues: [{cue: 1, at: 0:01, look: look 0}]\n"}, nil, map[string]*soundtrack.Track{}}
	order := "order:\n"
	for i := range 2 + rng.IntN(6) {
		if rng.IntN(5) < 2 {
			l, up := looks[rng.IntN(len(looks))], tenths(rng, 50)
			s := simStep{stands: true, cues: []simCue{{up: up, down: up, to: l.to}}}
			until := randomUntil(rng, &s.rest)
			order += fmt.Sprintf("  - {standing: s%d, look: %s, up: %s, %s}\n", i, l.name, secs(up), until)
			o.steps = append(o.steps, s)
			continue
		}
		sound := rng.IntN(2) == 0
		s, text := randomPiece(rng, looks, sound)
		order += fmt.Sprintf("  - {piece: p%d, cues: p%d.yaml", i, i)
		if sound {
			name := fmt.Sprintf("p%d.wav", i)
			order += ", soundtrack: " + name
			o.tracks[name] = &soundtrack.Track{Duration: s.sound, Rate: 48000, Channels: 1}
			o.files[name] = "not read here"
		}
		order += "}\n"
		o.files[fmt.Sprintf("p%d.yaml", i)] = text
		o.steps = append(o.steps, s)
	}
	o.files["order.yaml"] = order
	return o
}

// read is a folder of the bare rig with these files.
func read(t testing.TB, files map[string]string) show.Files {
	t.Helper()
	dir := fstest.MapFS{}
	for _, texts := range []map[string]string{bare, files} {
		for name, text := range texts {
			dir[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return f
}

// bareShow is the rig in its room, solved once: light through a room costs a second, and
// no test of orders is about it.
var bareShow = sync.OnceValues(func() (*show.Show, error) {
	looks, text := simLooks()
	dir := fstest.MapFS{"score.yaml": {Data: []byte(text + "cues: [{cue: 1, at: 0:01, look: " + looks[0].name + "}]\n")}}
	for name, text := range bare {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		return nil, faults
	}
	s, faults := show.New(context.Background(), f, nil)
	return s, faults.Err()
})

// onBareRig reads the folder of an order, and solves its score on the bare rig.
func (o *simOrder) onBareRig(t testing.TB) (show.Files, *show.Show) {
	t.Helper()
	f := read(t, o.files)
	base, err := bareShow()
	if err != nil {
		t.Fatal(err)
	}
	s, faults := base.With(f.Score)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return f, s
}

// solve makes the evening of an order.
func (o *simOrder) solve(t testing.TB) (*show.Show, *show.Evening) {
	t.Helper()
	f, s := o.onBareRig(t)
	e, faults := s.Evening(f.Order, o.tracks)
	if faults.Err() != nil {
		t.Fatalf("%v\n%s", faults, o)
	}
	return s, e
}

// simSeeds is how many random orders a test goes through.
func simSeeds() uint64 {
	switch {
	case os.Getenv("LAMPBLACK_LONG") != "":
		return 500
	case testing.Short():
		return 8
	}
	return 40
}
