package play

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
)

// ailing is a sink whose state a test sets.
type ailing struct {
	wire
	state atomic.Pointer[output.State]
}

func (a *ailing) Stats() output.Stats {
	if s := a.state.Load(); s != nil {
		return output.Stats{State: *s}
	}
	return output.Stats{}
}

// What becomes of the outputs is in the status within 0.2 s, in the journal as it
// happens, and in the report at the end: how often, how long, what.
func TestOutputsAreTold(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		a := &ailing{}
		cable := output.Fault{Cause: output.NoLink, Degree: output.Wholly, Text: "no network on eth0", Hint: "put it in"}
		rival := output.Fault{Cause: output.Rival, Degree: output.Partly, Who: "7", Text: "universe 2 is sent by another too", Hint: "end it"}
		aside := output.Fault{Cause: output.Unknowable, Text: "cannot be known"}
		var status atomic.Pointer[Status]
		go func() {
			a.state.Store(&output.State{Faults: []output.Fault{aside}})
			for _, step := range []struct {
				at    time.Duration
				state output.State
				want  int
			}{
				{4 * time.Second, output.State{Faults: []output.Fault{cable, rival, aside}}, 3},
				{6 * time.Second, output.State{Faults: []output.Fault{rival, aside}, Away: 2 * time.Second}, 2},
				{9 * time.Second, output.State{Faults: []output.Fault{aside}}, 1},
			} {
				time.Sleep(time.Until(time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Add(step.at)))
				a.state.Store(&step.state)
				time.Sleep(200 * time.Millisecond)
				if got := status.Load().Wrong; len(got) != step.want || got[0].Of != "wire" || got[0].Text != step.state.Faults[0].Text {
					t.Errorf("after %v: %+v", step.at, got)
				}
			}
		}()
		var got []string
		note := func(e evening.Event) {
			if slices.Contains([]evening.Kind{evening.OutputLost, evening.OutputFound, evening.Fault, evening.FaultOver}, e.Kind) {
				got = append(got, fmt.Sprintf("%.0f %s: %s", e.At.Seconds(), e.Kind, e.Text))
			}
		}
		sum, err := Run(t.Context(), s, Options{For: 15 * time.Second, Sinks: []output.Sink{a}, Journal: note, Report: func(st Status) { status.Store(&st) }})
		if err != nil {
			t.Fatal(err)
		}
		want := []string{
			"4 output lost: wire: no network on eth0", "4 fault: wire: universe 2 is sent by another too",
			"6 output found: wire: back after 2 s", "9 fault over: wire: universe 2 is sent by another too",
		}
		if !slices.Equal(got, want) {
			t.Errorf("the journal says %q, want %q", got, want)
		}
		lines := strings.Join(sum.Report.Lines(), "\n")
		for _, line := range []string{"an output lost once, 1.9 s in all; last: wire: no network on eth0", "something else was wrong once; last: wire: universe 2"} {
			if !strings.Contains(lines, line) {
				t.Errorf("the report says\n%s\nwant %q in it", lines, line)
			}
		}
	})
}

// A processor that is late is told while it is so, and not long after.
func TestLateIsTold(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		w := &wire{}
		begun := time.Now()
		var events []string
		var first, last time.Duration
		report := func(st Status) {
			at := time.Since(begun)
			if at > 10*time.Second && at < 12*time.Second {
				time.Sleep(60 * time.Millisecond) // in the loop: the frames after it are late
			}
			if slices.ContainsFunc(st.Wrong, func(t Trouble) bool { return t.Of == Computer }) {
				if first == 0 {
					first = at
				}
				last = at
				if st.Late.Recent == 0 {
					t.Error("told, and none is late")
				}
			}
		}
		note := func(e evening.Event) {
			if e.Kind == evening.Late || e.Kind == evening.OnTime {
				events = append(events, string(e.Kind))
			}
		}
		sum, err := Run(t.Context(), s, Options{For: 40 * time.Second, Sinks: []output.Sink{w}, Report: report, Journal: note})
		if err != nil || !slices.Equal(events, []string{"late", "on time"}) {
			t.Errorf("%q, %v", events, err)
		}
		if first < 10*time.Second || first > 12*time.Second || last > 23*time.Second {
			t.Errorf("told from %v to %v, late from 10 to 12 s", first, last)
		}
		if r := sum.Report; r.Slow != 1 || r.Slowed < 9*time.Second || r.Slowed > 13*time.Second {
			t.Errorf("%+v", r)
		}
	})
}

// deaf is a sender whose other side is away while a test says so.
type deaf struct{ since atomic.Pointer[time.Time] }

func (d *deaf) Update(time.Time, time.Duration, bool) {}
func (d *deaf) Name() string                          { return "notes to desk" }
func (d *deaf) Close() error                          { return nil }
func (d *deaf) Fault() (time.Time, error) {
	if s := d.since.Load(); s != nil {
		return *s, errors.New("no such device")
	}
	return time.Time{}, nil
}

// What another machine is not told is told here, as the outputs' faults are, and so is what is
// wrong with what stands beside them.
func TestSendersAreTold(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		d := &deaf{}
		begun := time.Now()
		var events []string
		note := func(e evening.Event) {
			if e.Kind == evening.Fault || e.Kind == evening.FaultOver {
				events = append(events, fmt.Sprintf("%.0f %s: %s", e.At.Seconds(), e.Kind, e.Text))
			}
		}
		report := func(Status) {
			switch at := time.Since(begun); {
			case at > 6*time.Second:
				d.since.Store(nil)
			case at > 3*time.Second:
				d.since.Store(&begun)
			}
		}
		others := func() []Trouble {
			if time.Since(begun) < 8*time.Second {
				return nil
			}
			return []Trouble{{"the journal", output.Fault{Cause: output.Unwritten, Degree: output.Partly, Text: "its disk is full"}}}
		}
		if _, err := Run(t.Context(), s, Options{For: 9 * time.Second, Senders: []Sender{NewCueMessages(deafPort{d}, s, func(int, string) [][]byte { return nil })}, Journal: note, Report: report, Others: others}); err != nil {
			t.Fatal(err)
		}
		want := []string{"3 fault: cue messages to notes to desk: no such device", "6 fault over: cue messages to notes to desk: no such device", "8 fault: the journal: its disk is full"}
		if !slices.Equal(events, want) {
			t.Errorf("%q, want %q", events, want)
		}
	})
}

// deafPort is a way to a deaf machine.
type deafPort struct{ *deaf }

func (deafPort) Send(time.Time, []byte) {}
