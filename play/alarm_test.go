package play

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play/alarm"
	"lampblack/play/clock"
	"lampblack/play/hand"
	"lampblack/play/line"
	"lampblack/play/output"
	"lampblack/play/trigger"
	"lampblack/show"
)

// Two lamps that can flash and give ultraviolet, in a hall of two zones.
var stormFiles = map[string]string{
	"show.yaml":          "title: storm\n",
	"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}, uv: {peak: 385 nm, width: 12 nm, output: 1 W}}\nmodes: {three: {1: {drives: red}, 2: {drives: uv}, 3: {0-9: open, 10-255: flash 1 Hz to 20 Hz}}}\n",
	"rig.yaml":           "units:\n  - {unit: hall, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: [hall, all]}\n  - {unit: cave, type: lamp, address: 4, at: [1 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: [cave, all]}\n",
	"room.yaml":          "size: [9 m, 14 m, 4 m]\nstage front: 9 m\n",
	"score.yaml": `looks:
  dim: {parts: [{system: all, emitters: {red: 20 %}}]}
  storm: {parts: [{system: all, emitters: {red: 60 %, uv: 90 %}, flash: 2.5 Hz}]}
  moon: {parts: [{system: all, emitters: {uv: 80 %}}]}
  house: {purpose: lights up, parts: [{system: all, emitters: {red: 90 %}}]}
cues: [{cue: 1, at: 0:01, look: storm, up: 2 s}, {cue: 2, at: 0:10, look: moon, up: 4 s}, {cue: 3, at: 0:30, look: dim, up: 1 s}]
`,
	"triggers.yaml": "triggers: {door: {source: page}, stone: {source: page}}\n",
	"zones.yaml":    "zones:\n  hall: {units: [hall], order: way.yaml, repeats: yes}\n  cave: {units: [cave], order: cave.yaml}\n",
	"way.yaml":      "order:\n  - {standing: rest, look: dim, up: 2 s, until: trigger door, at most: 12 h}\n  - {piece: one, cues: one.yaml}\n",
	"cave.yaml":     "order:\n  - {piece: two, cues: two.yaml}\n",
	"one.yaml":      "cues: [{cue: 1, at: 0:01, look: storm, up: 1 s}, {cue: 2, at: 0:12, look: moon, up: 1 s}]\nwaits: [{at: 0:08, until: trigger stone, usually: 5 s, at most: 1 min}]\n",
	"six.yaml":      "cues: [{cue: 1, at: 0:01, look: storm, up: 1 s}, {cue: 2, at: 0:12, look: moon, up: 1 s}]\nwaits: [{at: 0:08, usually: 5 s, at most: 1 min}]\n",
	"two.yaml":      "cues: [{cue: 1, at: 0:01, look: storm, up: 1 s}, {cue: 2, at: 0:05, look: moon, up: 1 s}]\n",
	"order.yaml":    "order:\n  - {standing: preshow, look: dim, up: 2 s, usually: 10 s, at most: 1 min}\n  - {piece: one, cues: six.yaml}\n  - {standing: between, look: moon, up: 3 s, until: after 10 s}\n  - {piece: two, cues: two.yaml}\n",
}

// storms are the shows of them that were solved.
var storms = map[string]func(*testing.T) *show.Place{}

func init() {
	for _, with := range []string{"", "order.yaml", "zones.yaml"} {
		var p *show.Place
		storms[with] = func(t *testing.T) *show.Place {
			if p == nil {
				p = solveStorm(t, with)
			}
			return p
		}
	}
}

// stormOf is the show of them: of one piece, an evening ("order.yaml") or zones ("zones.yaml").
func stormOf(t *testing.T, with string) (*show.Show, *show.Place) {
	t.Helper()
	p := storms[with](t)
	return p.Show, p
}

func solveStorm(t *testing.T, with string) *show.Place {
	t.Helper()
	files := fstest.MapFS{}
	for name, text := range stormFiles {
		if name != "order.yaml" && name != "zones.yaml" && (name != "triggers.yaml" || with == "zones.yaml") || name == with {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	f, faults := show.Read(files)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	switch with {
	case "order.yaml":
		e, faults := s.Evening(f.Order, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return s.Alone(e)
	case "zones.yaml":
		p, faults := s.Place(f.Zones, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return p
	}
	return s.Alone(nil)
}

// calm is the light of an alarm: the look that is for lights up, without ultraviolet and strobe.
var calm = [6]byte{229, 0, 0, 229, 0, 0}

// slotsOf is a sink that keeps the six slots of the lamps.
type slotsOf struct {
	at    []time.Time
	slots [][6]byte
}

func (w *slotsOf) Send(frames []output.Frame, _ time.Time) error {
	w.at = append(w.at, time.Now())
	w.slots = append(w.slots, [6]byte(frames[0].Slots[:6]))
	return nil
}

func (w *slotsOf) Close() error        { return nil }
func (w *slotsOf) Name() string        { return "slots" }
func (w *slotsOf) Stats() output.Stats { return output.Stats{} }

// state is a run brought into a state, in which an alarm comes at so many seconds.
type state struct {
	name  string
	of    string // "", "order.yaml" or "zones.yaml"
	at    float64
	do    map[float64]Action
	fires map[float64]string
	hand  map[float64]hand.Order
	hours string
	set   func(o *Options)
	up    bool // it is the light of an alarm already
}

// shut is a calendar by which the place is shut at midnight, when false time begins.
const shut = "time zone: UTC\nhours: {every day: 10:00 to 18:00}\n"

var states = []state{
	{name: "running, with strobe and ultraviolet", at: 5},
	{name: "in a fade", at: 11},
	{name: "before the first cue", at: .5},
	{name: "held", at: 9, do: map[float64]Action{5: Hold}},
	{name: "before go", at: 3, set: func(o *Options) { o.Start.Held = true }},
	{name: "all stopped", at: 6, do: map[float64]Action{5: StopAll}},
	{name: "lights up", at: 8, do: map[float64]Action{5: LightsUp}, up: true},
	{name: "lights coming up", at: 5.2, do: map[float64]Action{5: LightsUp}},
	{name: "lights down again", at: 8, do: map[float64]Action{5: LightsUp, 7: LightsDown}},
	{name: "frozen light", at: 9, do: map[float64]Action{5: Freeze}},
	{name: "frozen light that comes back", at: 9, do: map[float64]Action{5: Freeze, 8: Unfreeze}},
	{name: "frozen, and lights up", at: 9, do: map[float64]Action{5: Freeze, 6: LightsUp}, up: true},
	{name: "after a skip", at: 10.1, do: map[float64]Action{10: SkipNow}},
	{name: "after the end of the order", at: 60, set: func(o *Options) { o.Rests = true }},
	{name: "clock lost", at: 20, set: func(o *Options) { o.Clock = &gone{from: 12 * time.Second} }},
	{name: "waits in a standing look", of: "order.yaml", at: 20},
	{name: "waits inside a piece", of: "order.yaml", at: 25, do: map[float64]Action{10: Go}},
	{name: "goes over into the next step", of: "order.yaml", at: 25.1, do: map[float64]Action{2: Go}, fires: map[float64]string{12: "stone"}},
	{name: "opens a piece", of: "order.yaml", at: 12, do: map[float64]Action{10: Go}, set: func(o *Options) {
		o.Open = func(int) (clock.Clock, time.Duration, error) {
			time.Sleep(9 * time.Second)
			return &clock.Wall{}, 0, nil
		}
	}},
	{name: "opens its first piece", at: 3, set: func(o *Options) {
		o.OpenZone = func(int, int) (clock.Clock, time.Duration, error) {
			time.Sleep(5 * time.Second)
			return &clock.Wall{}, 0, nil
		}
	}},
	{name: "zones on their ways", of: "zones.yaml", at: 6, fires: map[float64]string{2: "door"}},
	{name: "a zone over, another waits", of: "zones.yaml", at: 30, fires: map[float64]string{2: "door"}},
	{name: "a zone held, another runs", of: "zones.yaml", at: 4, fires: map[float64]string{1: "door"}, do: map[float64]Action{3: Hold}},
	{name: "shut, in a look", of: "zones.yaml", at: 30, hours: shut + "close-down: {look: moon, after closing: 12 h}\n"},
	{name: "shut, asleep", of: "zones.yaml", at: 30, hours: shut + "triggers asleep outside hours: yes\n"},
	{name: "as the place closes", of: "zones.yaml", at: 61, hours: "time zone: UTC\nhours: {every day: 0:00 to 0:01}\nclose-down: {look: moon, after closing: 1 h}\n"},
	{name: "self-test", of: "zones.yaml", at: 90, hours: shut + "self-test: {at: 0:01, for: 5 min, look: storm}\n"},
	{name: "starting up", of: "zones.yaml", at: 90, hours: "time zone: UTC\nhours: {every day: 1:00 to 18:00}\nstart-up: {look: moon, before opening: 59 min}\n"},
	{name: "held by hand in a colour", at: 8, hand: map[float64]hand.Order{4: {Do: hand.Set, Units: []string{"hall", "cave"}, Colour: "red", Level: .3}}},
	{name: "a look by hand", at: 8, hand: map[float64]hand.Order{4: {Do: hand.Bring, Look: "storm"}}},
	{name: "all off by hand", at: 8, hand: map[float64]hand.Order{4: {Do: hand.Darkness}}},
	{name: "one lamp found by its pulse", at: 8, hand: map[float64]hand.Order{4: {Do: hand.OnePulse, Units: []string{"cave"}}}},
	{name: "a unit out, a system trimmed", at: 8, hand: map[float64]hand.Order{4: {Do: hand.TakeOut, Units: []string{"cave"}, Why: "flickers"}, 5: {Do: hand.TrimTo, System: "hall", Level: .2}}},
}

// gone is a clock that is lost from a place on.
type gone struct {
	clock.Wall
	from time.Duration
}

func (c *gone) Read(now time.Time) clock.Reading {
	r := c.Wall.Read(now)
	if r.Position >= c.from {
		r.Position, r.Speed, r.State, r.Fault = c.from, 0, clock.Lost, clock.Fault{Text: "gone", Hint: "plug it in"}
	}
	return r
}

// ends is what a test knows of a run in which an alarm came and was reset.
type ends struct {
	wire   *slotsOf
	start  time.Time
	events []evening.Event
	notice map[int]string // in so many seconds after the alarm
	state  map[int]Status
}

// alarmIn runs a state: the alarm comes, everything is tried against it, it is reset with two
// orders 9 s later, the lights go down after 14 s, and the run is ended after 18.
func alarmIn(t *testing.T, c *state) *ends {
	t.Helper()
	s, p := stormOf(t, c.of)
	e := &ends{wire: &slotsOf{}, start: time.Now(), notice: map[int]string{}, state: map[int]Status{}}
	commands, triggers := make(chan Command), make(chan trigger.Fired)
	after := func(seconds float64, do func()) { time.AfterFunc(time.Duration(seconds*1e9), do) }
	order := func(seconds float64, do Action) { after(seconds, func() { commands <- Command{Do: do} }) }
	h, changes, err := hand.New(p, hand.State{}, hand.Options{})
	if err != nil {
		t.Fatal(err)
	}
	byHand := func(seconds float64, o hand.Order) {
		after(seconds, func() {
			if err := h.Order(o); err != nil {
				t.Errorf("%s: %v", o.Do, err)
			}
		})
	}
	from, err := line.ParseTrigger("key f12")
	if err != nil {
		t.Fatal(err)
	}
	watch, err := alarm.Listen(t.Context(), []alarm.Input{{Name: "stage door", From: from}}, alarm.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer watch.Close()
	o := Options{Place: p, Commands: commands, Triggers: triggers, Hand: changes, Alarm: watch, Sinks: []output.Sink{e.wire}, Rate: 20,
		Journal: func(ev evening.Event) { e.events = append(e.events, ev) },
		Report: func(st Status) {
			if d := int(time.Since(e.start).Seconds() - c.at + 1000); d >= 1000 {
				e.notice[d-1000], e.state[d-1000] = st.Notice, st
			}
		}}
	if c.set != nil {
		c.set(&o)
	}
	switch {
	case o.Open != nil:
		o.OpenZone = func(_, step int) (clock.Clock, time.Duration, error) { return o.Open(step) }
	case o.Clock != nil:
		o.OpenZone = func(int, int) (clock.Clock, time.Duration, error) { return o.Clock, 0, nil }
	}
	if c.hours != "" {
		cal, faults := calendar.Read("calendar.yaml", []byte(c.hours), []string{"dim", "storm", "moon", "house"})
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		o.Hours = cal
	}
	for seconds, do := range c.do {
		order(seconds, do)
	}
	for seconds, name := range c.fires {
		after(seconds, func() { triggers <- trigger.Fired{Name: name, Time: time.Now()} })
	}
	for seconds, what := range c.hand {
		byHand(seconds, what)
	}
	after(c.at, func() { watch.Type("f12") })
	for i, do := range []Action{Go, Skip, SkipNow, Back, LightsDown, Freeze, Unfreeze, StopAll, Hold, Rest, Seek, LightsUp, Go, LightsDown} {
		order(c.at+3+float64(i)/10, do)
	}
	after(c.at+4.5, func() { triggers <- trigger.Fired{Name: "door", Time: time.Now()} })
	byHand(c.at+4.6, hand.Order{Do: hand.Darkness})
	byHand(c.at+4.7, hand.Order{Do: hand.Unfocused})
	order(c.at+5, ResetAlarm) // once is not enough
	order(c.at+8.5, ResetAlarm)
	order(c.at+9.5, ResetAlarm)
	order(c.at+14, LightsDown)
	order(c.at+16, Go)
	order(c.at+18, Quit)
	if _, err := Run(t.Context(), s, o); err != nil {
		t.Fatal(err)
	}
	return e
}

// From every state the first changed frame of an alarm leaves within 50 ms, with strobe and
// ultraviolet off and full light in it; nothing moves the light until the alarm is reset, which
// wants a second order; then the lights stay up and time stands, and what go will do is said.
func TestAlarmFromEveryState(t *testing.T) {
	for i := range states {
		c := &states[i]
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				e := alarmIn(t, c)
				came := e.start.Add(time.Duration(c.at * 1e9))
				before, moved := [6]byte{}, false
				for i, at := range e.wire.at {
					since := at.Sub(came)
					got := e.wire.slots[i]
					switch {
					case since < 0, since == 0 && got != calm: // at the same instant the run may have made its own
						before = got
					case since < 14*time.Second && got != calm && (since >= 50*time.Millisecond || got != before):
						t.Fatalf("%v after the alarm the frame is %v, before it %v", since, got, before)
					case since < 14*time.Second && got == calm && !moved:
						if moved = true; since > 50*time.Millisecond {
							t.Fatalf("the first frame leaves after %v", since)
						}
					}
				}
				if !moved || before == calm != c.up {
					t.Errorf("the light before was %v; it became that of the alarm: %v", before, moved)
				}
				e.says(t)
			})
		})
	}
}

// says checks what a run wrote, and what it told.
func (e *ends) says(t *testing.T) {
	t.Helper()
	set, reset, tried, zones := 0, 0, 0, map[string]bool{}
	for _, ev := range e.events {
		zones[ev.Zone] = true
		switch ev.Kind {
		case evening.AlarmSet:
			set++
		case evening.AlarmReset:
			reset++
			if !strings.Contains(ev.Text, "stage door") {
				t.Errorf("it was reset: %q", ev.Text)
			}
		case evening.AlarmTried:
			tried++
		}
	}
	if set != len(zones) || reset != len(zones) || tried != 1 {
		t.Errorf("%d zones have written %d alarms, %d resets and %d trials", len(zones), set, reset, tried)
	}
	for at, want := range map[int]string{4: "an alarm stands", 6: "once more within 3 s", 8: "once more within 3 s", 10: "lights stay up and time stands. Lights down first, then "} {
		if !strings.Contains(e.notice[at], want) {
			t.Errorf("%d s after the alarm it says %q, want %q", at, e.notice[at], want)
		}
	}
	for at := 3; at < 13; at++ { // while a first piece is opened, nothing is reported
		st := e.state[at]
		if stands := at < 9; !st.State.Held || !st.State.LightsUp || st.Alarm.Stands != stands || (st.State.Alarm != "") != stands {
			t.Errorf("%d s after the alarm the state is %+v", at, st.State)
			return
		}
	}
	if st := e.state[15].State; st.LightsUp || !st.Held {
		t.Errorf("when the lights are down the state is %+v", st)
	}
}

// The journal of an alarm, read again, is a run in which it stands: nothing but the light of the
// alarm leaves, from the first frame on, and it can be reset.
func TestAlarmIsResumed(t *testing.T) {
	s, _ := stormOf(t, "")
	synctest.Test(t, func(t *testing.T) {
		var from evening.State
		for _, e := range []evening.Event{{Kind: evening.Began, Speed: 1}, {Kind: evening.AlarmSet, Text: "stage door", At: 7 * time.Second}} {
			e.Time = time.Now().Add(-time.Minute)
			from = from.After(e)
		}
		watch, err := alarm.Listen(t.Context(), nil, alarm.Options{Stands: alarm.State{Stands: true, Since: from.Alarmed, By: from.Alarm}})
		if err != nil {
			t.Fatal(err)
		}
		defer watch.Close()
		w, commands := &slotsOf{}, make(chan Command)
		for at, do := range map[time.Duration]Action{time.Second: Go, 5 * time.Second: ResetAlarm, 6 * time.Second: ResetAlarm, 8 * time.Second: LightsDown, 9 * time.Second: Quit} {
			time.AfterFunc(at, func() { commands <- Command{Do: do} })
		}
		var kinds []evening.Kind
		start := time.Now()
		sum, err := Run(t.Context(), s, Options{Start: from, Alarm: watch, Commands: commands, Sinks: []output.Sink{w}, Journal: func(e evening.Event) { kinds = append(kinds, e.Kind) }})
		if err != nil || sum.End != 7*time.Second {
			t.Errorf("it ended at %v: %v", sum.End, err)
		}
		for i, at := range w.at {
			if since := at.Sub(start); since != 8*time.Second && (since < 8*time.Second) != (w.slots[i] == calm) && since < 9*time.Second {
				t.Fatalf("after %v the frame is %v", since, w.slots[i])
			}
		}
		if slices.Contains(kinds, evening.AlarmSet) || !slices.Contains(kinds, evening.AlarmReset) {
			t.Errorf("it wrote %v", kinds)
		}
	})
}

// An alarm that a run has from a log alone stands as well, and ends by two orders: also where the
// inputs of this machine, which have not heard it, come and go meanwhile.
func TestAlarmOfALogAlone(t *testing.T) {
	s, _ := stormOf(t, "")
	for _, listens := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			var from evening.State
			for _, e := range []evening.Event{{Kind: evening.Began, Speed: 1}, {Kind: evening.AlarmSet, Text: "stage door", At: 7 * time.Second}} {
				e.Time = time.Now().Add(-time.Minute)
				from = from.After(e)
			}
			commands, w := make(chan Command), &slotsOf{}
			for at, do := range map[time.Duration]Action{time.Second: ResetAlarm, 2 * time.Second: LightsDown, 6 * time.Second: ResetAlarm, 7 * time.Second: ResetAlarm, 8 * time.Second: LightsDown, 9 * time.Second: Quit} {
				time.AfterFunc(at, func() { commands <- Command{Do: do} })
			}
			o := Options{Start: from, Commands: commands, Sinks: []output.Sink{w}, Rate: 20}
			if listens {
				pipe, err := line.ParseTrigger("pipe " + t.TempDir() + "/none") // which is told to be gone
				if err != nil {
					t.Fatal(err)
				}
				watch, err := alarm.Listen(t.Context(), []alarm.Input{{Name: "foyer", From: pipe}}, alarm.Options{})
				if err != nil {
					t.Fatal(err)
				}
				defer watch.Close()
				o.Alarm = watch
			}
			start := time.Now()
			if _, err := Run(t.Context(), s, o); err != nil {
				t.Fatal(err)
			}
			for i, at := range w.at {
				if since := at.Sub(start); since != 8*time.Second && (since < 8*time.Second) != (w.slots[i] == calm) && since < 9*time.Second {
					t.Fatalf("after %v the frame is %v", since, w.slots[i])
				}
			}
		})
	}
}

// An alarm is silent: the soundtrack, an extra sound and whatever a hand would play then. What
// the device holds is heard to its end.
func TestAlarmIsSilent(t *testing.T) {
	s, _ := stormOf(t, "")
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 2, ahead: 50}
		on := speakersOn(t, d)
		defer on.Close()
		on.extras = []*extra{{name: "bell", track: constant(1000, time.Minute), to: pair}}
		from, _ := line.ParseTrigger("key f12")
		watch, err := alarm.Listen(t.Context(), []alarm.Input{{Name: "stage door", From: from}}, alarm.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer watch.Close()
		commands := make(chan Command)
		order := func(at time.Duration, c Command) { time.AfterFunc(at, func() { commands <- c }) }
		order(3*time.Second, Command{Do: Extra, Name: "bell"})
		time.AfterFunc(5*time.Second, func() { watch.Type("f12") })
		order(8*time.Second, Command{Do: Extra, Name: "bell"})
		order(9*time.Second, Command{Do: Test, Channel: 1})
		order(12*time.Second, Command{Do: ResetAlarm})
		order(13*time.Second, Command{Do: ResetAlarm})
		order(14*time.Second, Command{Do: LightsDown})
		order(15*time.Second, Command{Do: Go})
		order(18*time.Second, Command{Do: Quit})
		start := time.Now()
		loud := map[int]int16{} // in tenths of a second
		sum, err := Run(t.Context(), s, Options{Clock: zone(t, on, pair, constant(10000, 10*time.Minute)), Alarm: watch, Commands: commands, Rate: 40,
			Speakers: func() *Speakers { return on }, Report: func(Status) {
				_, _, _ = d.heard()
				g := d.took()
				loud[int(time.Since(start).Seconds()*10)] = g[len(g)-2]
			}})
		if err != nil || (sum.End-8*time.Second).Abs() > 200*time.Millisecond {
			t.Errorf("it ended at %v: %v", sum.End, err)
		}
		for tenth, v := range loud {
			want := int16(10000)
			switch {
			case tenth > 31 && tenth < 49:
				want = 11000
			case tenth >= 51 && tenth < 150: // the device has been given silence
				want = 0
			case tenth < 3 || tenth > 29 && tenth < 53 || tenth >= 150 && tenth < 155:
				continue // on the way
			}
			if v < want-200 || v > want+200 {
				t.Errorf("at %v s it is at %d, want %d", float64(tenth)/10, v, want)
			}
		}
	})
}
