package play

import (
	"context"
	"slices"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/output"
	"lampblack/play/trigger"
	"lampblack/show"
)

// A walk of a grotto and a gate, and an evening of three pieces, on a rig of two lamps
// whose slots are their levels.
var walkFiles = map[string]string{
	"show.yaml":          "title: walk\n",
	"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}, uv: {peak: 385 nm, width: 12 nm, output: 1 W}}\nmodes: {two: {1: {drives: red}, 2: {drives: uv}}}\n",
	"rig.yaml": `units:
  - {unit: grotto, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: grotto}
  - {unit: gate, type: lamp, address: 3, at: [1 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: gate}
`,
	"room.yaml": "size: [9 m, 14 m, 4 m]\nstage front: 9 m\n",
	"score.yaml": `looks:
  dim: {parts: [{system: grotto, emitters: {red: 10 %}}, {system: gate, emitters: {red: 20 %}}]}
  glow: {parts: [{system: grotto, emitters: {uv: 90 %}}, {system: gate, emitters: {uv: 30 %}}]}
  pearls: {parts: [{system: grotto, emitters: {red: 60 %, uv: 20 %}}, {system: gate, emitters: {red: 70 %}}]}
  moon: {parts: [{system: grotto, emitters: {red: 30 %, uv: 50 %}}, {system: gate, emitters: {red: 5 %, uv: 80 %}}]}
cues: [{cue: 1, at: 0:01, look: dim}]
`,
	"triggers.yaml": "triggers: {door: {source: page}, stone: {source: page}}\n",
	"zones.yaml":    "zones:\n  grotto: {units: [grotto], order: grotto.yaml, repeats: yes, re-arm: 5 s, longest stay: 1 min}\n  gate: {units: [gate], order: gate.yaml}\n",
	"grotto.yaml":   "order:\n  - {standing: rest, look: dim, up: 2 s, until: trigger door, at most: 12 h}\n  - {piece: deep, cues: deep.yaml}\n  - {standing: after, look: moon, up: 1 s, until: after 6 s}\n",
	"deep.yaml":     "cues:\n  - {cue: 1, at: 0:01, look: glow, up: 2 s}\n  - {cue: 2, at: 0:06, look: pearls, up: 0.2 s, hold: 0.5 s, returns: 1 s}\n  - {cue: 3, at: 0:12, look: pearls, up: 3 s, down: 1 s}\n  - {cue: 4, follows: 3, delay: 1 s, look: moon, up: 2 s}\nwaits: [{at: 0:10, until: trigger stone, usually: 5 s, at most: 20 s}]\n",
	"gate.yaml":     "order:\n  - {standing: closed, look: dim, up: 1 s, until: after 15 s}\n  - {piece: opens, cues: opens.yaml}\n  - {standing: open, look: glow, up: 4 s, at most: 1 h}\n  - {piece: shuts, cues: shuts.yaml}\n",
	"opens.yaml":    "cues:\n  - {cue: 1, at: 0:00, look: pearls, up: 3 s}\n  - {cue: 2, at: 0:20, look: moon, up: 2 s, lands: completes}\nwaits: [{at: 0:10, usually: 5 s, at most: 30 s}]\n",
	"shuts.yaml":    "cues: [{cue: 1, at: 0:02, look: dim, up: 5 s}]\n",
	"order.yaml":    "order:\n  - {standing: preshow, look: dim, up: 2 s, usually: 10 s, at most: 1 min}\n  - {piece: one, cues: deep.yaml}\n  - {standing: interval, look: glow, up: 3 s, usually: 10 s, at most: 1 min}\n  - {piece: two, cues: opens.yaml}\n  - {standing: blue, look: moon, up: 1 s, until: after 8 s}\n  - {piece: three, cues: shuts.yaml}\n  - {standing: bows, look: pearls, up: 1 s, at most: 1 min}\n",
}

// walkOf reads and solves the folder; without zones.yaml it is an evening.
func walkOf(t *testing.T, zones bool) (show.Files, *show.Show) {
	t.Helper()
	files := fstest.MapFS{}
	for name, text := range walkFiles {
		if name == "zones.yaml" && !zones || name == "order.yaml" && zones {
			continue
		}
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(files)
	if faults.Err() != nil && zones {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return f, s
}

// film is a sink that keeps all slots of the two lamps.
type film struct {
	due   []time.Time
	slots [][4]byte
}

func (w *film) Send(frames []output.Frame, due time.Time) error {
	w.due = append(w.due, due)
	w.slots = append(w.slots, [4]byte(frames[0].Slots[:4]))
	return nil
}
func (w *film) Close() error        { return nil }
func (w *film) Name() string        { return "film" }
func (w *film) Stats() output.Stats { return output.Stats{} }

// told is what happened in each zone, and what the run said of itself.
type told struct {
	events   map[string][]evening.Event
	statuses []Status
	film     film
}

// runOf runs and keeps everything.
func runOf(t *testing.T, s *show.Show, o Options) *told {
	t.Helper()
	w := &told{events: map[string][]evening.Event{}}
	o.Sinks = []output.Sink{&w.film}
	o.Journal = func(e evening.Event) { w.events[e.Zone] = append(w.events[e.Zone], e) }
	o.Report = func(st Status) { w.statuses = append(w.statuses, st) }
	if _, err := Run(t.Context(), s, o); err != nil {
		t.Fatal(err)
	}
	return w
}

// zoneLog goes along the log of a zone: how it stands at an instant, and what it plays, with
// the light that was seen as its step began.
type zoneLog struct {
	zone    *show.PlacedZone
	events  []evening.Event
	state   evening.State
	entered *show.Show
	frame   *show.Frame
	again   bool // it is not in its first step for the first time
}

// to takes in what has happened until an instant, and tells whether something did then.
func (z *zoneLog) to(at time.Time) (now bool) {
	for len(z.events) > 0 && !z.events[0].Time.After(at) {
		e := z.events[0]
		z.events = z.events[1:]
		if e.Kind == evening.Began {
			z.began(e)
		}
		z.state, now = z.state.After(e), e.Time.Equal(at)
	}
	return now
}

// began takes the light that is seen into the step which begins, but for one that a person
// has gone back to.
func (z *zoneLog) began(e evening.Event) {
	before := z.state.On(e.Time)
	z.again = z.again || before.Step != 0
	steps := z.zone.Evening.Steps
	if before.Step == 0 || e.Step == before.Step-1 && !z.zone.Repeats {
		z.entered = steps[e.Step-1].Show
		return
	}
	z.plays(before).Light(z.frame, min(before.In, z.plays(before).Length))
	if steps[before.Step-1].Stands() {
		z.plays(before).Light(z.frame, before.In)
	}
	z.entered = z.zone.Evening.Enter(e.Step-1, slices.Clone(z.frame.Levels))
}

// plays is what the zone plays in a state.
func (z *zoneLog) plays(st evening.State) *show.Show {
	return z.entered.Waited(st.Waited.Gaps(100), st.In)
}

// agree holds every frame beside the light of the states that the logs come to: with what
// was seen as steps began, and, once what was cut short has settled, with the order alone.
func (w *told) agree(t *testing.T, p *show.Place, settles time.Duration) (frames, settled int) {
	t.Helper()
	var logs []*zoneLog
	for k := range p.Zones {
		logs = append(logs, &zoneLog{zone: &p.Zones[k], events: w.events[p.Zones[k].Name], frame: p.NewFrame()})
	}
	c := p.NewComposed()
	bad, end := 0, w.film.due[len(w.film.due)-1].Add(-300*time.Millisecond) // then lights up
	differs := func(i int, states []evening.State, shows []*show.Show, what string) {
		p.At(c, states, shows)
		for d, got := range w.film.slots[i] {
			if want := c.Universes[0].Slots[d]; diff(got, want) > 1 {
				if bad++; bad < 4 {
					t.Errorf("frame %d at %v, slot %d: %d, want %d %s in %+v", i, w.film.due[i].Sub(w.film.due[0]), d+1, got, want, what, states)
				}
				return
			}
		}
	}
	for i, due := range w.film.due {
		if due.After(end) {
			break
		}
		var states []evening.State
		var seen, ordered []*show.Show
		now, cut := false, false
		for _, z := range logs {
			now = z.to(due) || now // what happens with a frame may come before it or after
			st := z.state.On(due)
			if st.Step == 0 { // it is over, and stands
				continue
			}
			cut = cut || st.In < settles && z.again
			states, seen = append(states, st), append(seen, z.plays(st))
			ordered = append(ordered, z.zone.Evening.Steps[st.Step-1].Show.Waited(st.Waited.Gaps(100), st.In))
		}
		if now || len(states) < len(logs) {
			continue
		}
		frames++
		differs(i, states, seen, "by what was seen")
		if !cut {
			settled++
			differs(i, states, ordered, "by the order")
		}
	}
	if bad > 0 {
		t.Errorf("%d of %d frames disagree", bad, frames)
	}
	return frames, settled
}

// says holds what the run says of its zones beside their logs.
func (w *told) says(t *testing.T, p *show.Place) {
	t.Helper()
	bad := 0
	for _, st := range w.statuses {
		for k, z := range st.Zones {
			// Events of the instant of a report may come before or after it.
			at := func(now time.Time) (s evening.State) {
				for _, e := range w.events[p.Zones[k].Name] {
					if !e.Time.After(now) {
						s = s.After(e)
					}
				}
				return s.On(now)
			}
			a, b := at(z.State.Instant.Add(-1)), at(z.State.Instant)
			fits := func(want evening.State) bool {
				return want.Step == z.State.Step && (want.In-z.State.In).Abs() < time.Millisecond && want.Waited == z.State.Waited && want.Pass == z.State.Pass
			}
			if !fits(a) && !fits(b) {
				if bad++; bad < 4 {
					t.Errorf("zone %s says %+v, and its log comes to %+v", z.Zone, z.State, b)
				}
			}
		}
	}
	if len(w.statuses) < 100 {
		t.Errorf("%d reports", len(w.statuses))
	}
}

// A place from start to end, with visitors at its triggers and a person at its gate: every
// frame that goes out is the light of the states that the zones say they are in.
func TestFramesOfAPlace(t *testing.T) {
	f, s := walkOf(t, true)
	p, faults := s.Place(f.Zones, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	synctest.Test(t, func(t *testing.T) {
		triggers, commands := make(chan trigger.Fired), make(chan Command)
		fire := func(after time.Duration, name string) {
			time.AfterFunc(after, func() { triggers <- trigger.Fired{Name: name, Time: time.Now()} })
		}
		fire(3*time.Second, "door") // it re-arms still
		fire(10*time.Second, "door")
		fire(14*time.Second, "stone") // nothing waits for it yet
		fire(25*time.Second, "stone")
		fire(80*time.Second, "door")
		fire(81*time.Second, "door")
		for after, c := range map[time.Duration]Command{
			40 * time.Second:  {Do: Go, Zone: "gate"}, // its wait
			90 * time.Second:  {Do: Go, Zone: "gate"}, // it stands open
			130 * time.Second: {Do: Quit},
		} {
			time.AfterFunc(after, func() { commands <- c })
		}
		w := runOf(t, s, Options{Place: p, Triggers: triggers, Commands: commands, OpenZone: func(int, int) (clock.Clock, time.Duration, error) { return &clock.Wall{}, 0, nil }})
		frames, settled := w.agree(t, p, 3*time.Second)
		if frames < 5000 || settled < 4000 {
			t.Errorf("%d frames were held beside the light", frames)
		}
		w.says(t, p)
		var kinds []evening.Kind
		for _, e := range w.events["grotto"] {
			if e.Kind == evening.Trigger || e.Kind == evening.Missed {
				kinds = append(kinds, e.Kind)
			}
		}
		if want := []evening.Kind{evening.Missed, evening.Trigger, evening.Missed, evening.Trigger, evening.Trigger, evening.Missed}; !slices.Equal(kinds, want) {
			t.Errorf("its triggers were %v, want %v", kinds, want)
		}
	})
}

// An evening of three pieces: played through, every frame is the light of its states; and
// whoever steps back, jumps, repeats a piece or skips the interval finds the same light in
// each step, once fades have settled.
func TestFramesOfAnEvening(t *testing.T) {
	f, s := walkOf(t, false)
	e, faults := s.Evening(f.Order, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	p := s.Alone(e)
	for name, c := range map[string]struct {
		hand    map[time.Duration]Command
		settles time.Duration
	}{
		"played through": {map[time.Duration]Command{
			20 * time.Second: {Do: Go}, 40 * time.Second: {Do: Go}, 70 * time.Second: {Do: Go}, 90 * time.Second: {Do: Go}, 150 * time.Second: {Do: Go},
		}, 0},
		"early": {map[time.Duration]Command{
			time.Second: {Do: Go}, 9 * time.Second: {Do: Go}, 12 * time.Second: {Do: Go}, 40 * time.Second: {Do: Go}, 41 * time.Second: {Do: Go}, 150 * time.Second: {Do: Go},
		}, 5 * time.Second},
		"back and forth": {map[time.Duration]Command{
			20 * time.Second: {Do: Go}, 27 * time.Second: {Do: Back}, 28 * time.Second: {Do: Back}, 29 * time.Second: {Do: Back}, 35 * time.Second: {Do: Go},
			44 * time.Second: {Do: SkipNow}, 46 * time.Second: {Do: SkipNow}, 47 * time.Second: {Do: Seek, At: 22 * time.Second}, 60 * time.Second: {Do: SkipNow}, 62 * time.Second: {Do: SkipNow}, 80 * time.Second: {Do: Back}, 81 * time.Second: {Do: Back},
		}, 8 * time.Second},
		"the interval left out": {map[time.Duration]Command{
			20 * time.Second: {Do: Go}, 40 * time.Second: {Do: Go}, 50 * time.Second: {Do: SkipNow}, 51 * time.Second: {Do: SkipNow}, 52 * time.Second: {Do: SkipNow}, 90 * time.Second: {Do: Go},
		}, 5 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				commands := make(chan Command)
				ctx, cancel := context.WithCancel(t.Context())
				defer cancel()
				for after, do := range c.hand {
					time.AfterFunc(after, func() {
						select {
						case commands <- do:
						case <-ctx.Done():
						}
					})
				}
				w := runOf(t, s, Options{Evening: e, Open: silent, Commands: commands, Zone: p.Zones[0].Name, For: 3 * time.Minute})
				frames, settled := w.agree(t, p, c.settles)
				if frames < 3800 || settled < 2000 {
					t.Errorf("%d of %d frames were held beside the light of the order", settled, frames)
				}
			})
		})
	}
}
