package main

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/doors"
	"lampblack/play"
	"lampblack/play/hand"
	"lampblack/play/output"
)

// wires remembers what became of the frames of a run, for who asks whether its outputs
// answer. It is safe for many goroutines.
type wires struct {
	mu    sync.Mutex
	names []string
	marks [2][]output.Stats // of some seconds ago, and since then
	at    time.Time         // of the later
	now   []output.Stats
}

// wiresEvery is how far apart frames are counted: an output that fell silent is noticed
// after twice as long.
const wiresEvery = time.Second

// of names the outputs, before the run begins.
func (w *wires) of(sinks []output.Sink) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, s := range sinks {
		w.names = append(w.names, s.Name())
	}
}

// follow takes in how the run stands.
func (w *wires) follow(st *play.Status) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.now = st.Outputs
	if now := time.Now(); now.Sub(w.at) > wiresEvery {
		w.at, w.marks = now, [2][]output.Stats{w.marks[1], st.Outputs}
	}
}

// outputs is how the outputs stand.
func (w *wires) outputs() []doors.Output {
	w.mu.Lock()
	defer w.mu.Unlock()
	out := make([]doors.Output, len(w.names))
	for i, name := range w.names {
		out[i].Name = name
		if i >= len(w.now) {
			continue
		}
		now := &w.now[i]
		out[i].Sent, out[i].Asked, out[i].Answers = now.Sent, now.Asks, now.Answers
		if f, wrong := now.State.Grave(); wrong {
			out[i].Fault = f.Text + ": " + f.Hint
		} else if before := w.marks[0]; i < len(before) && before[i].Sent == now.Sent {
			out[i].Fault = "no frame has left for a second"
		}
	}
	return out
}

// doorsSetup is what is looked at before doors for a show.
func (l *loaded) doorsSetup(w *wires) doors.Setup {
	s := doors.Setup{Machine: doors.This(), Dir: l.folder.Dir(), Outputs: w.outputs}
	for i := range l.show.Rig.Units {
		u := &l.show.Rig.Units[i]
		s.Units = append(s.Units, doors.Unit{Name: u.Name.Name, Where: strings.Join(u.Systems, ", ")})
	}
	if len(l.files.Sounds()) > 0 {
		for _, speaker := range loudspeakers(&l.files) {
			s.Speakers = append(s.Speakers, speaker.Name)
		}
		s.Plays = func(context.Context) (doors.Sound, error) { return soundDevice(l.files.Bill.Sound.Device) }
	}
	if c := l.files.Calendar; c != nil {
		s.Zone = c.Zone.Name
	}
	s.Said = lampsSaid(l.folder.Dir(), time.Now())
	b := &l.files.Bill
	if a := b.Alarm; a != nil && *a {
		s.Alarm = "show.yaml says that the house's own alarm ends the dark, outside this program: try it with the house"
	}
	if len(b.Alarms) > 0 {
		s.Alarms = doorsAlarms(notListening(b))
	}
	return s
}

// soundDevice is the device that a run would play on.
func soundDevice(wanted string) (doors.Sound, error) {
	list, err := play.Devices()
	if err != nil {
		return doors.Sound{}, err
	}
	s := doors.Sound{Volume: -1}
	i := play.Find(list, wanted)
	if i < 0 {
		s.Absent = wanted
		i = slices.IndexFunc(list, func(d play.Device) bool { return d.Default })
	}
	if i < 0 || list[i].Name == "default" { // the system is to be asked which that is
		if s.Absent != "" {
			return s, nil
		}
		return s, doors.ErrCannotAsk
	}
	s.Device, s.Name, s.Projector = list[i].Name, list[i].Called, list[i].Screen
	return s, nil
}

// pulses makes single lamps pulse slowly by way of a hand; "" ends it.
func pulses(order func(hand.Order) error) func(context.Context, string) error {
	return func(_ context.Context, unit string) error {
		if unit == "" {
			return order(hand.Order{Do: hand.Unfocused})
		}
		return order(hand.Order{Do: hand.OnePulse, Units: []string{unit}})
	}
}

// nowAnd is a line of the report with the time of day.
func nowAnd(text string) string { return time.Now().Format("15:04") + ": " + text }
