package play

import (
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/chase"
)

// beatsOf120 are the beats of a piece written at 120 a minute.
func beatsOf120() []time.Duration {
	beats := make([]time.Duration, 200)
	for k := range beats {
		beats[k] = time.Duration(k) * 500 * time.Millisecond
	}
	return beats
}

// A show that follows a person who plays a fifth slower takes a fifth longer.
func TestTappedShow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		go func() {
			for range 100 {
				commands <- Command{Do: Tap}
				time.Sleep(600 * time.Millisecond)
			}
			commands <- Command{Do: Quit}
		}()
		sum, err := Run(t.Context(), s, Options{Clock: chase.NewBeat(beatsOf120()), Commands: commands})
		if want := 50 * time.Second; err != nil || (sum.End-want).Abs() > 50*time.Millisecond {
			t.Errorf("after 100 slow beats it is at %v, want %v (%v)", sum.End, want, err)
		}
	})
}

// A player who is late takes the light back no way, and no cue goes out twice;
// when the player stops, so does the timecode that is sent on.
func TestLateTaps(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		go func() {
			tap := func(gap time.Duration) {
				commands <- Command{Do: Tap}
				time.Sleep(gap)
			}
			time.Sleep(time.Second) // it stands at first: a tap before the first frame would move no clock that was seen to stand
			for k := range 60 {     // late by a third of a beat now and then, by more than a cue message looks ahead
				tap(500*time.Millisecond + []time.Duration{0, 0, 0, 160, -160}[k%5]*time.Millisecond)
			}
			time.Sleep(5 * time.Second)
			commands <- Command{Do: Quit}
		}()
		p := &port{start: time.Now()}
		names := func(_ int, number string) [][]byte { return [][]byte{[]byte("cue " + number)} }
		told := &teller{}
		var last time.Duration
		var log []evening.Kind
		_, err := Run(t.Context(), s, Options{Clock: chase.NewBeat(beatsOf120()), Commands: commands, Senders: []Sender{NewCueMessages(p, s, names), told},
			Report: func(st Status) {
				if st.State.In < last {
					t.Errorf("the show goes back from %v to %v", last, st.State.In)
				}
				last = st.State.In
			},
			Journal: func(e evening.Event) {
				if e.Kind != evening.Cue {
					log = append(log, e.Kind)
				}
			}})
		if err != nil {
			t.Fatal(err)
		}
		if len(p.sent) != 3 && len(p.sent) != 4 {
			t.Errorf("in 30 s of ten-second cues %q were sent", p.sent)
		}
		if told.running || told.after > 1100*time.Millisecond {
			t.Errorf("5 s after the last tap others are told that the show runs: %v; it took %v", told.running, told.after)
		}
		if want := []evening.Kind{evening.Began, evening.Clock, evening.ClockLost, evening.Ended}; !slices.Equal(log, want) {
			t.Errorf("the log says %q, want %q", log, want)
		}
	})
}

// teller remembers what other machines are told, and how long the show stood
// before they were told so.
type teller struct {
	running  bool
	position time.Duration
	stood    time.Time
	after    time.Duration
}

func (l *teller) Update(at time.Time, position time.Duration, running bool) {
	if position != l.position {
		l.position, l.stood = position, at
	}
	if l.running && !running {
		l.after = at.Sub(l.stood)
	}
	l.running = running
}
func (l *teller) Name() string { return "others" }
func (l *teller) Close() error { return nil }
