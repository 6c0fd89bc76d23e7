package trigger_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/alarm"
	"lampblack/play/output"
	"lampblack/play/trigger"
	"lampblack/wire/osc"
	"lampblack/wire/sacn"
)

// frames is an output that keeps when its first slot became another, and what.
type frames struct {
	mu     sync.Mutex
	level  byte
	became []time.Time
}

func (f *frames) Send(list []output.Frame, _ time.Time) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if v := list[0].Slots[0]; v != f.level {
		f.level, f.became = v, append(f.became, time.Now())
	}
	return nil
}

func (f *frames) is() (level byte, since time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.became) == 0 {
		return 0, since
	}
	return f.level, f.became[len(f.became)-1]
}

func (f *frames) Close() error        { return nil }
func (f *frames) Name() string        { return "frames" }
func (f *frames) Stats() output.Stats { return output.Stats{} }

// hall is an alarm with one input, a wire, and a show that goes on sending 7; safe is 200.
type hall struct {
	*testing.T
	watch *alarm.Watch
	out   frames
	owner *output.Owner
	done  sync.WaitGroup
	stop  chan struct{}
}

// newHall opens one; with puts what tests listen on in the machine's place.
func newHall(t *testing.T, in alarm.Input, with func(trigger.Options) trigger.Options) *hall {
	t.Helper()
	h := &hall{T: t, stop: make(chan struct{})}
	var err error
	h.watch, err = alarm.Listen(t.Context(), []alarm.Input{in}, alarm.Options{Open: func(ctx context.Context, l trigger.List, o trigger.Options) (*trigger.Set, error) {
		return trigger.Open(ctx, l, with(o))
	}})
	if err != nil {
		t.Fatal(err)
	}
	h.owner = output.Own([]output.Sink{&h.out}, 44)
	h.owner.Prepare([]output.Frame{{Universe: 1, Slots: []byte{200}}})
	h.done.Go(func() {
		for s := range h.watch.Changes() {
			h.owner.Alarm(s.Stands)
		}
	})
	h.done.Go(func() {
		tick := time.NewTicker(time.Second / 44)
		defer tick.Stop()
		for {
			h.owner.Send([]output.Frame{{Universe: 1, Slots: []byte{7}}}, time.Now())
			select {
			case <-tick.C:
			case <-h.stop:
				return
			}
		}
	})
	t.Cleanup(h.end)
	return h
}

func (h *hall) end() {
	if err := h.watch.Close(); err != nil {
		h.Error(err)
	}
	if err := h.watch.Close(); err != nil {
		h.Error(err)
	}
	close(h.stop)
	h.done.Wait()
	if _, ok := <-h.watch.Changes(); ok {
		h.Error("something changes after Close")
	}
}

// first is how soon the first changed frame is to leave, from the input being touched.
const first = 50 * time.Millisecond

// alarms waits for the alarm, and checks that its frame left in time after do.
func (h *hall) alarms(after time.Duration, do func()) {
	h.Helper()
	h.quiet()
	began := time.Now()
	do()
	time.Sleep(after + first)
	level, since := h.out.is()
	if level != 200 || since.Sub(began)-after > first {
		h.Errorf("the frame is %d, after %v: %+v", level, since.Sub(began), h.watch.State())
	}
	if s := h.watch.State(); !s.Stands || s.By == "" || s.Since.Before(began) {
		h.Errorf("the alarm is %+v", s)
	}
}

// quiet checks that none stands.
func (h *hall) quiet() {
	h.Helper()
	time.Sleep(time.Second / 10)
	if level, _ := h.out.is(); level != 7 || h.watch.State().Stands {
		h.Fatalf("an alarm stands that nobody gave: %d, %+v", level, h.watch.State())
	}
}

// refused checks that a reset is refused, with what to do, and that the frame stays.
func (h *hall) refused() {
	h.Helper()
	_, err := h.watch.Reset()
	var says *alarm.Says
	if !errors.As(err, &says) || says.Back == "" || !strings.Contains(err.Error(), "door") {
		h.Errorf("reset while it says alarm: %v", err)
	}
	time.Sleep(time.Second)
	if level, _ := h.out.is(); level != 200 {
		h.Errorf("a refused reset gives %d", level)
	}
}

// resets checks that the alarm is reset, and that the input counts as tried if it said so itself.
func (h *hall) resets(tried bool) {
	h.Helper()
	came, err := h.watch.Reset()
	if err != nil || tried != (len(came) == 1) {
		h.Errorf("reset: %v, %v", came, err)
	}
	if s := h.watch.State(); s.Stands || s.By != "" || tried == s.Inputs[0].Tried.IsZero() {
		h.Errorf("after the reset: %+v", s)
	}
	h.quiet()
}

// contact is one input as a test moves it. opens is nil for what is said once.
type contact struct {
	line          string
	with          func(trigger.Options) trigger.Options
	closes, opens func()
	lose, find    func()
	silence       time.Duration // that its loss takes to be one
	end           func()
}

// contacts are one of each kind, in false time.
func contacts() map[string]func() contact {
	pins := func(text string, closed bool) func() contact {
		return func() contact {
			p := &socketPins{}
			on, off := p.set("ready", "carrier"), p.set("ready", "clear")
			if !closed {
				on, off = off, on
			}
			off()
			return contact{line: text, closes: on, opens: off, lose: p.pull(true), find: p.pull(false), with: func(o trigger.Options) trigger.Options {
				return trigger.OnPins(o, func() (trigger.Pins, error) {
					if _, err := p.open(); err != nil {
						return nil, err
					}
					return &endingPins{socketPins: p, closed: make(chan struct{})}, nil
				})
			}}
		}
	}
	bytes := func(text, closed, open string) func() contact {
		return func() contact {
			c := &cable{}
			out := contact{line: text, closes: func() { c.send([]byte(closed)) }, lose: c.lose, find: c.find,
				with: func(o trigger.Options) trigger.Options { return trigger.OnBytes(o, c.open) }}
			if open != "" {
				out.opens = func() { c.send([]byte(open)) }
			}
			return out
		}
	}
	slots := func(text string, packets func() func(byte) []byte, silence time.Duration) func() contact {
		return func() contact {
			w := newWire()
			m := slotMachine(w.send, packets(), silence)
			m.Open()
			return contact{line: text + slotLine, closes: m.Close, opens: m.Open, lose: m.Lose, find: m.Find, silence: silence, end: m.End,
				with: func(o trigger.Options) trigger.Options { return trigger.OnPackets(o, w.open) }}
		}
	}
	messages := func(closed, open *osc.Message) func() contact {
		return func() contact {
			w := newWire()
			out := contact{line: "osc 9000 /alarm", closes: func() { w.send(closed.Append(nil)) }, lose: w.lose, find: w.find,
				with: func(o trigger.Options) trigger.Options { return trigger.OnPackets(o, w.open) }}
			if open != nil {
				out.opens = func() { w.send(open.Append(nil)) }
			}
			return out
		}
	}
	gpio := func() contact {
		var mu sync.Mutex
		var levels chan bool
		away := false
		say := func(closed bool) func() {
			return func() {
				mu.Lock()
				defer mu.Unlock()
				if !away {
					levels <- closed
				}
			}
		}
		return contact{line: "gpio gpiochip0 line 17", closes: say(true), opens: say(false),
			lose: func() { mu.Lock(); defer mu.Unlock(); away = true; close(levels) },
			find: func() { mu.Lock(); defer mu.Unlock(); away = false },
			with: func(o trigger.Options) trigger.Options {
				return trigger.OnLine(o, func() (<-chan bool, error) {
					mu.Lock()
					defer mu.Unlock()
					if away {
						return nil, errGone
					}
					levels = make(chan bool, 8)
					return levels, nil
				})
			}}
	}
	return map[string]func() contact{
		"GPIO":                         gpio,
		"control pin":                  pins("pins /dev/x carrier", true),
		"control pin, normally closed": pins("pins /dev/x carrier normally closed", false),
		"MIDI note":                    bytes(noteLine, "\x91\x3c\x64", "\x81\x3c\x00"),
		"pipe":                         bytes("pipe /door", "closed\n", "open\n"),
		"pipe, a press":                bytes("pipe /door", "press\n", ""),
		"OSC, a number":                messages(&osc.Message{Address: "/alarm", Args: []any{int32(1)}}, &osc.Message{Address: "/alarm", Args: []any{int32(0)}}),
		"OSC, bare":                    messages(&osc.Message{Address: "/alarm"}, nil),
		"slot of E1.31":                slots("e131", e131Packets, sacn.DataLoss),
		"slot of Art-Net":              slots("artnet", artPackets, 10*time.Second),
	}
}

// From each kind of input the first changed frame leaves within 50 ms. It stays though the
// contact opens, a reset is refused while it says alarm, and works then; the input is tried
// with that.
func TestAlarmFromEachKind(t *testing.T) {
	for name, open := range contacts() {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				c := open()
				if c.end != nil {
					t.Cleanup(c.end)
				}
				h := newHall(t, alarm.Input{Name: "stage door", From: parse(t, c.line)}, c.with)
				for range 3 {
					h.alarms(0, c.closes)
					if c.opens != nil {
						h.refused()
						c.opens()
						time.Sleep(time.Minute)
						if level, _ := h.out.is(); level != 200 {
							t.Errorf("when the contact opens it sends %d", level)
						}
					}
					h.resets(true)
				}
			})
		})
	}
}

// A key of the keyboard, or a button that types it.
func TestAlarmFromAKey(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHall(t, alarm.Input{Name: "stage door", From: parse(t, "key f12")}, func(o trigger.Options) trigger.Options { return o })
		h.alarms(0, func() {
			if !h.watch.Type("f12") || h.watch.Type("f11") {
				t.Error("the key is not the input's")
			}
		})
		h.resets(true)
	})
}

// What is lost is told within a second with what to do; it is an alarm where that is wished,
// which no reset ends while it is gone, and which is no trial. A contact that is found closed
// is an alarm too.
func TestAlarmLost(t *testing.T) {
	for name, open := range contacts() {
		for _, too := range []bool{false, true} {
			t.Run(name+map[bool]string{false: ", tell", true: ", alarm"}[too], func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					c := open()
					if c.end != nil {
						t.Cleanup(c.end)
					}
					h := newHall(t, alarm.Input{Name: "stage door", From: parse(t, c.line), LostToo: too}, c.with)
					if too {
						time.Sleep(4 * time.Second) // a cable that carries nothing is there
						h.alarms(c.silence+time.Second, c.lose)
						h.refused()
						c.find()
						time.Sleep(10 * time.Second)
						h.resets(false)
					} else {
						h.quiet()
						c.lose()
						time.Sleep(c.silence + time.Second)
						h.quiet()
						if in := h.watch.State().Inputs[0]; in.Fault == "" || in.Hint == "" {
							t.Errorf("lost, it is %+v", in)
						}
						c.find()
						time.Sleep(10 * time.Second)
						if in := h.watch.State().Inputs[0]; in.Fault != "" {
							t.Errorf("found, it is %+v", in)
						}
					}
					if strings.HasPrefix(name, "control") || strings.HasPrefix(name, "slot") { // that have a level before anything is said
						c.lose()
						time.Sleep(c.silence + time.Second)
						c.closes()
						c.find()
						time.Sleep(10 * time.Second)
						if s := h.watch.State(); !s.Stands || !s.Inputs[0].Says {
							t.Errorf("found closed, it is %+v", s)
						}
					}
				})
			})
		}
	}
}

// A heartbeat that stops is an alarm, which can be reset when it beats again; one that never
// began is one as well.
func TestAlarmHeartbeat(t *testing.T) {
	for _, message := range []*osc.Message{{Address: "/alarm"}, {Address: "/alarm", Args: []any{int32(1)}}} {
		synctest.Test(t, func(t *testing.T) {
			w := newWire()
			h := newHall(t, alarm.Input{Name: "stage door", From: parse(t, "osc 9000 /alarm"), Every: 3 * time.Second},
				func(o trigger.Options) trigger.Options { return trigger.OnPackets(o, w.open) })
			beat := func(times int) {
				for range times {
					w.send(message.Append(nil))
					time.Sleep(2 * time.Second)
				}
			}
			beat(50)
			h.alarms(time.Second-100*time.Millisecond, func() {}) // which lets 100 ms pass first
			h.refused()
			beat(1)
			h.resets(true)
			beat(3)
			h.quiet()

			h = newHall(t, alarm.Input{Name: "stage door", From: parse(t, "osc 9000 /alarm"), Every: 3 * time.Second},
				func(o trigger.Options) trigger.Options { return trigger.OnPackets(o, newWire().open) })
			h.alarms(3*time.Second-100*time.Millisecond, func() {})
		})
	}
}

// Noise on a long wire is no alarm where the contact is to be steady, and what lasts is one.
func TestAlarmSteady(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := contacts()["control pin"]()
		h := newHall(t, alarm.Input{Name: "stage door", From: parse(t, c.line), Steady: 30 * time.Millisecond}, c.with)
		for range 20 {
			c.closes()
			time.Sleep(15 * time.Millisecond)
			c.opens()
			time.Sleep(15 * time.Millisecond)
		}
		h.alarms(30*time.Millisecond, c.closes)
	})
}

// An alarm that stood when the run was cut off stands again, and what was tried before is known.
func TestAlarmTakenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		since, tried := time.Now().Add(-time.Minute), time.Now().Add(-time.Hour)
		w, err := alarm.Listen(t.Context(), []alarm.Input{{Name: "stage door", From: parse(t, "key f12")}, {Name: "foyer", From: parse(t, "key f11")}},
			alarm.Options{Stands: alarm.State{Stands: true, Since: since, By: "stage door", Inputs: []alarm.Status{{Name: "foyer", Tried: tried}, {Name: "gone"}}}})
		if err != nil {
			t.Fatal(err)
		}
		defer w.Close()
		s := <-w.Changes()
		if !s.Stands || !s.Since.Equal(since) || s.By != "stage door" || !s.Inputs[1].Tried.Equal(tried) || len(s.Inputs) != 2 {
			t.Errorf("%+v", s)
		}
		if came, err := w.Reset(); err != nil || len(came) != 0 {
			t.Errorf("reset: %v, %v", came, err)
		}
		if s := <-w.Changes(); s.Stands {
			t.Errorf("%+v", s)
		}
		if came, err := w.Reset(); err != nil || came != nil {
			t.Errorf("a reset without an alarm: %v, %v", came, err)
		}
	})
}
