package doors

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// laptop is a computer that answers what it is told to.
type laptop struct {
	power  Power
	sleep  Sleep
	sound  Sound
	screen float64
	room   uint64
	clock  Clock
	err    error
	hangs  bool
}

func (l *laptop) wait(ctx context.Context) error {
	if l.hangs {
		<-ctx.Done()
		return ctx.Err()
	}
	return l.err
}
func (l *laptop) Power(ctx context.Context) (Power, error)           { return l.power, l.wait(ctx) }
func (l *laptop) Sleep(ctx context.Context) (Sleep, error)           { return l.sleep, l.wait(ctx) }
func (l *laptop) Sound(ctx context.Context, _ string) (Sound, error) { return l.sound, l.wait(ctx) }
func (l *laptop) Screen(ctx context.Context) (float64, error)        { return l.screen, l.wait(ctx) }
func (l *laptop) Room(ctx context.Context, _ string) (uint64, error) { return l.room, l.wait(ctx) }
func (l *laptop) Clock(ctx context.Context) (Clock, error)           { return l.clock, l.wait(ctx) }
func (*laptop) Cures() Cures                                         { return Cures{"sleep cure", "sound cure", "screen cure", "clock cure"} }

func fine() *laptop {
	return &laptop{power: Power{true, 0.9}, sound: Sound{Name: "Line", Volume: 0.7}, screen: 0.2, room: 20 << 30, clock: Clock{true, true}}
}

func of(l *List, id string) Item {
	items := l.Items()
	i := slices.IndexFunc(items, func(i Item) bool { return i.ID == id })
	if i < 0 {
		return Item{}
	}
	return items[i]
}

func hall(m Machine) (*List, *[]string) {
	did := &[]string{}
	note := func(what string) func(context.Context, string) error {
		return func(_ context.Context, name string) error { *did = append(*did, what+" "+name); return nil }
	}
	return New(Setup{Machine: m, Dir: ".", Units: []Unit{{"par 1", "front"}, {"uv 2", ""}}, Speakers: []string{"left", "right"},
		Outputs: func() []Output {
			return []Output{{Name: "artnet nodes", Sent: 40, Asked: true, Answers: "one node"}, {Name: "e131 multicast", Sent: 40}}
		},
		Pages:    func() int { return 2 },
		Identify: note("pulse"), Speak: note("tone")}), did
}

// What nobody has asked or looked at is never good, and a round is done only when somebody
// has said so of every lamp.
func TestNothingPassesSilently(t *testing.T) {
	l, _ := hall(fine())
	if s := l.Sum(); s.Good != 0 || len(s.Unlooked) != s.All {
		t.Errorf("before anything was asked: %v", s)
	}
	l.Ask(t.Context())
	good := map[string]bool{"mains": true, "sleep": true, "screen": true, "disk": true, "clock": true, "sound device": true, "output artnet nodes": true, "output e131 multicast": true}
	for _, i := range l.Items() {
		want := Open
		if good[i.ID] {
			want = Good
		}
		if i.State != want || i.Cure == "" || i.Found == "" {
			t.Errorf("%+v, want %s", i, want)
		}
		if want == Open && !strings.HasPrefix(i.Found, "look yourself") {
			t.Errorf("%s says %q", i.ID, i.Found)
		}
	}
	for _, i := range l.Items() {
		if i.State == Open {
			if err := l.Tick(i.ID, Good, ""); err != nil {
				t.Error(err)
			}
		}
	}
	if got := l.Sum().String(); got != "15 of 15 good" {
		t.Errorf("at the end: %s", got)
	}
}

// A computer of which nothing can be asked leaves every question to a person.
func TestCannotAsk(t *testing.T) {
	for name, err := range map[string]error{"does not tell": ErrCannotAsk, "fails": errors.New("exit status 3")} {
		m := fine()
		m.err = err
		l, _ := hall(m)
		l.Ask(t.Context())
		for _, id := range []string{"mains", "sleep", "screen", "disk", "clock", "sound device"} {
			if i := of(l, id); i.State != Open || !strings.HasPrefix(i.Found, "look yourself: ") || i.Cure == "" {
				t.Errorf("%s: %s: %+v", name, id, i)
			} else if err := l.Tick(id, Good, ""); err != nil || of(l, id).State != Good || !of(l, id).Seen {
				t.Errorf("%s: %s cannot be ticked: %v", name, id, err)
			}
		}
	}
}

// Whatever hangs, the round goes on after the longest that anything may take.
func TestHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := fine()
		m.hangs = true
		l, _ := hall(m)
		began := time.Now()
		l.Ask(t.Context())
		if took := time.Since(began); took != mostWait {
			t.Errorf("it took %v", took)
		}
		if i := of(l, "mains"); i.State != Open {
			t.Errorf("%+v", i)
		}
	})
}

func TestJudges(t *testing.T) {
	for _, c := range []struct {
		id    string
		but   func(*laptop)
		state State
		found string
	}{
		{"mains", func(l *laptop) { l.power = Power{false, 0.43} }, NotGood, "on its battery, 43 %"},
		{"mains", func(l *laptop) { l.power = Power{false, -1} }, Open, "it has no battery"},
		{"mains", func(l *laptop) { l.power = Power{true, -1} }, Good, "a pulled plug ends the show"},
		{"sleep", func(l *laptop) { l.sleep.After = 20 * time.Minute }, NotGood, "falls asleep after 20 min"},
		{"sleep", func(l *laptop) { l.sleep.Screen = 30 * time.Second }, NotGood, "its screen goes dark after 30 s"},
		{"sleep", func(l *laptop) { l.sleep.AwakeBy = "lampblack" }, Good, "kept awake by lampblack"},
		{"sound device", func(l *laptop) { l.sound.Projector = true }, NotGood, "by the picture's cable"},
		{"sound device", func(l *laptop) { l.sound.Muted = true }, NotGood, "is muted"},
		{"sound device", func(l *laptop) { l.sound.Volume = 0 }, NotGood, "is turned down"},
		{"sound device", func(l *laptop) { l.sound.Volume = -1 }, Good, "sound goes to Line"},
		{"screen", func(l *laptop) { l.screen = 0.41 }, NotGood, "at 41 %"},
		{"screen", func(l *laptop) { l.screen = 0.4 }, Good, "at 40 %"},
		{"disk", func(l *laptop) { l.room = 1<<30 - 1 }, NotGood, "1.0 GiB free"},
		{"disk", func(l *laptop) { l.room = 1 << 30 }, Good, "1.0 GiB free"},
		{"clock", func(l *laptop) { l.clock.Synced = false }, Open, "nobody keeps it right, and it shows"},
		{"clock", func(l *laptop) { l.clock.Known = false }, Open, "what does another clock show"},
	} {
		m := fine()
		c.but(m)
		l, _ := hall(m)
		l.Ask(t.Context())
		if i := of(l, c.id); i.State != c.state || !strings.Contains(i.Found, c.found) {
			t.Errorf("%+v, want %s %q", i, c.state, c.found)
		}
	}
}

// Who plays knows which device was asked for, and which is a projector's; the system knows
// what is turned down.
func TestWhereSoundGoes(t *testing.T) {
	none := fine()
	none.err = ErrCannotAsk
	for _, c := range []struct {
		m     *laptop
		plays Sound
		err   error
		state State
		found string
	}{
		{none, Sound{Device: "usb", Name: "USB interface", Volume: -1}, nil, Good, "sound goes to USB interface"},
		{none, Sound{Device: "hdmi", Name: "BEAMER", Projector: true, Volume: -1}, nil, NotGood, "sound goes to BEAMER, by the picture's cable"},
		{fine(), Sound{Device: "hdmi", Name: "BEAMER", Projector: true, Volume: -1}, nil, NotGood, "by the picture's cable"},
		{fine(), Sound{Name: "Line", Absent: "USB interface", Volume: -1}, nil, NotGood, "USB interface, which the show asks for, is not there"},
		{none, Sound{}, ErrCannotAsk, Open, "look yourself"},
		{none, Sound{}, errors.New("no sound server"), Open, "it was asked, and: no sound server"},
	} {
		a := soundAnswer(t.Context(), c.m, func(context.Context) (Sound, error) { return c.plays, c.err })
		if a.State != c.state || !strings.Contains(a.Found, c.found) {
			t.Errorf("%+v: %+v", c.plays, a)
		}
	}
}

// The hours of a place are kept by its own zone; a laptop that shows another time opens it at
// a wrong hour. Berlin is an hour ahead of UTC in winter (IANA time zone database).
func TestClockOfAnotherZone(t *testing.T) {
	now := time.Date(2026, 1, 15, 18, 0, 0, 0, time.UTC)
	a := clockAnswer(t.Context(), fine(), "Europe/Berlin", now)
	if a.State != NotGood || a.Found != "it shows 18:00, and it is 19:00 in Europe/Berlin, where the hours of the place are kept" {
		t.Errorf("%+v", a)
	}
	if a := clockAnswer(t.Context(), fine(), "Africa/Abidjan", now); a.State != Good { // all year as UTC
		t.Errorf("%+v", a)
	}
}

func TestOutputs(t *testing.T) {
	for _, c := range []struct {
		o     Output
		state State
		found string
	}{
		{Output{Sent: 10, Fault: "network is unreachable"}, NotGood, "network is unreachable"},
		{Output{}, NotGood, "nothing has been sent yet"},
		{Output{Sent: 10, Asked: true}, NotGood, "no node answers"},
		{Output{Sent: 10, Asked: true, Answers: "10.0.0.7 \"stage\""}, Good, "10.0.0.7 \"stage\""},
		{Output{Sent: 10}, Good, "the lamps tell"},
	} {
		if a := c.o.judge(); a.State != c.state || !strings.Contains(a.Found, c.found) {
			t.Errorf("%+v: %+v", c.o, a)
		}
	}
}

// No output at all is not good: nobody passes it by.
func TestNoOutputs(t *testing.T) {
	l := New(Setup{Outputs: func() []Output { return nil }})
	l.Ask(t.Context())
	if i := of(l, "outputs"); i.State != NotGood {
		t.Errorf("%+v", i)
	}
	l = New(Setup{})
	l.Ask(t.Context())
	if i := of(l, "outputs"); i.State != Open || !strings.HasPrefix(i.Found, "look yourself: no run is attached") {
		t.Errorf("%+v", i)
	}
}

// The computer knows better what it knows; what a person lets be so tonight stands until
// it is good.
func TestPersonAndComputer(t *testing.T) {
	m := fine()
	m.power.Mains = false
	l, _ := hall(m)
	l.Ask(t.Context())
	if err := l.Tick("mains", Good, ""); err == nil || of(l, "mains").State != NotGood {
		t.Error("a laptop on its battery was ticked as good")
	}
	if err := l.Tick("mains", Left, "only a reading, 20 min"); err != nil {
		t.Error(err)
	}
	l.Ask(t.Context())
	if i := of(l, "mains"); i.State != Left {
		t.Errorf("asked again: %+v", i)
	}
	if got := l.Sum().String(); !strings.Contains(got, "left so: mains (") {
		t.Error(got)
	}
	m.power.Mains = true
	l.Ask(t.Context())
	if i := of(l, "mains"); i.State != Good || i.Seen {
		t.Errorf("plugged in: %+v", i)
	}
	// What was not good and cannot be told any more is open again.
	m.power.Mains = false
	l.Ask(t.Context())
	m.err = ErrCannotAsk
	l.Ask(t.Context())
	if i := of(l, "mains"); i.State != Open || i.Seen {
		t.Errorf("it does not tell any more: %+v", i)
	}
	m.err, m.power.Mains = nil, true
	// What a person has ticked where nothing could be asked falls when it is asked after all.
	m.err = ErrCannotAsk
	l.Ask(t.Context())
	_ = l.Tick("sleep", Good, "")
	m.err, m.sleep.After = nil, time.Minute
	l.Ask(t.Context())
	if i := of(l, "sleep"); i.State != NotGood {
		t.Errorf("a sleep that was ticked: %+v", i)
	}
}

// What a person takes back says again what to look at; who has looked is not told to.
func TestTakenBack(t *testing.T) {
	l, _ := hall(fine())
	l.Ask(t.Context())
	before := of(l, "alarm")
	for _, s := range []State{Good, NotGood, Left} {
		if err := l.Tick("alarm", s, ""); err != nil || of(l, "alarm").Found != "" || !of(l, "alarm").Seen {
			t.Errorf("%s: %+v, %v", s, of(l, "alarm"), err)
		}
		if err := l.Tick("alarm", Open, ""); err != nil || of(l, "alarm") != before {
			t.Errorf("taken back: %+v, %v", of(l, "alarm"), err)
		}
	}
}

// Trying makes one lamp pulse; Rest ends it, once.
func TestTry(t *testing.T) {
	l, did := hall(fine())
	for _, err := range []error{l.Rest(t.Context()), l.Try(t.Context(), "unit par 1"), l.Try(t.Context(), "unit uv 2"), l.Rest(t.Context()), l.Rest(t.Context()), l.Try(t.Context(), "loudspeaker left"), l.Rest(t.Context())} {
		if err != nil {
			t.Error(err)
		}
	}
	if want := []string{"pulse par 1", "pulse uv 2", "pulse ", "tone left"}; !slices.Equal(*did, want) {
		t.Errorf("did %q", *did)
	}
	if l.TakeOut("unit par 1", "flickers") == nil || l.TakeOut("mains", "") == nil {
		t.Error("taken out where nothing can be")
	}
	out := ""
	l = New(Setup{Units: []Unit{{"par 1", ""}}, TakeOut: func(unit, why string) error { out = unit + ": " + why; return nil }})
	if err := l.TakeOut("unit par 1", ""); err != nil || out != "par 1: does not answer" || of(l, "unit par 1").State != Left {
		t.Errorf("%v, %q, %+v", err, out, of(l, "unit par 1"))
	}
	l, _ = hall(fine())
	if l.Try(t.Context(), "mains") == nil || l.Try(t.Context(), "unit none") == nil || l.Tick("unit none", Good, "") == nil || l.Tick("mains", "perfect", "") == nil || l.Tick("mains", Left, strings.Repeat("x", 201)) == nil {
		t.Error("what is not there was done")
	}
}

func ExampleSum() {
	s := Sum{Good: 9, All: 13, Bad: []Item{{ID: "mains", Found: "on its battery, 43 %"}}, Left: []Item{{ID: "unit par 3", Found: "flickers, is out tonight"}}, Unlooked: []Item{{ID: "alarm"}, {ID: "phone"}}}
	fmt.Println(s)
	// Output:
	// 9 of 13 good; not good: mains (on its battery, 43 %); left so: unit par 3 (flickers, is out tonight); nobody looked at: alarm, phone
}

// What lamps said of themselves is asked anew each time, is an item of its own where they
// were asked, and none where not.
func TestWhatLampsSay(t *testing.T) {
	answer := Answer{NotGood, "par 1: it listens at address 21", "set it"}
	l := New(Setup{Said: func() Answer { return answer }})
	if i := of(l, "lamps"); i.State != Open {
		t.Errorf("before anybody asked: %+v", i)
	}
	l.Ask(context.Background())
	if i := of(l, "lamps"); i.State != NotGood || i.Found != answer.Found || i.Group != Lamps || i.Try != "" {
		t.Errorf("got %+v", i)
	}
	answer = Answer{Good, "3 of them", ""}
	l.Ask(context.Background())
	if i := of(l, "lamps"); i.State != Good {
		t.Errorf("put right: %+v", i)
	}
	if i := of(New(Setup{}), "lamps"); i.ID != "" {
		t.Errorf("nobody asked: %+v", i)
	}
}
