package play

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
	"lampblack/show"
)

// The show of these tests has one lamp of two slots, red and ultraviolet. Cue n
// begins at n × 10 s; red then stands at n × 10 % and ultraviolet is on.
func tenCues(t testing.TB) *show.Show {
	t.Helper()
	s, err := tenCuesOnce()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var tenCuesOnce = sync.OnceValues(func() (*show.Show, error) {
	looks, cues := "looks:\n", "cues:\n"
	for i := range 10 {
		looks += fmt.Sprintf("  look %d:\n    parts: [{system: all, emitters: {red: %d %%, uv: 100 %%}}]\n", i, i*10)
		cues += fmt.Sprintf("  - {cue: %d, at: %d s, look: look %d}\n", i, i*10, i)
	}
	files := fstest.MapFS{}
	for name, text := range map[string]string{
		"show.yaml":          "title: ten cues\nsoundtrack: none.wav\n",
		"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}, uv: {peak: 385 nm, width: 12 nm, output: 1 W}}\nmodes: {two: {1: {drives: red}, 2: {drives: uv}}}\n",
		"rig.yaml":           "units: [{unit: lamp, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: all}]\n",
		"room.yaml":          "size: [9 m, 14 m, 4 m]\nstage front: 9 m\n",
		"score.yaml":         looks + cues,
	} {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(files)
	if faults.Err() != nil {
		return nil, faults.Err()
	}
	s, faults := show.New(context.Background(), f, nil)
	return s, faults.Err()
})

// wire is a sink that remembers. Its slow time is spent in Send.
type wire struct {
	at    []time.Time
	due   []time.Time
	slots [][2]byte
	slow  time.Duration
	over  bool
}

func (w *wire) Send(frames []output.Frame, due time.Time) error {
	time.Sleep(w.slow)
	w.at = append(w.at, time.Now())
	w.due = append(w.due, due)
	w.slots = append(w.slots, [2]byte(frames[0].Slots[:2]))
	return nil
}

func (w *wire) Close() error        { w.over = true; return nil }
func (w *wire) Name() string        { return "wire" }
func (w *wire) Stats() output.Stats { return output.Stats{Sent: uint64(len(w.at))} }

// A whole show goes out at its rate against absolute due times, and its last
// frames are safe: red full, ultraviolet off.
func TestWholeShow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		w := &wire{slow: 3 * time.Millisecond}
		start := time.Now()
		sum, err := Run(t.Context(), s, Options{Sinks: []output.Sink{w}})
		if err != nil || sum.Stopped || !w.over {
			t.Fatalf("%+v, %v", sum, err)
		}
		if sum.Frames != 90*44+1 {
			t.Errorf("90 s at 44 a second made %d frames", sum.Frames)
		}
		for i := range sum.Frames {
			due := start.Add(time.Duration(float64(i) / 44 * 1e9))
			if d := w.due[i].Sub(due).Abs(); d > time.Microsecond {
				t.Fatalf("frame %d is due %v off", i, d)
			}
			want := float64(i/44/10) * 25.5
			if red := float64(w.slots[i][0]); i%440 != 0 && (math.Abs(red-want) > .51 || w.slots[i][1] != 255) {
				t.Fatalf("frame %d holds %v, want red %v", i, w.slots[i], want)
			}
		}
		if last := w.slots[len(w.slots)-3:]; slices.ContainsFunc(last, func(v [2]byte) bool { return v != [2]byte{255, 0} }) {
			t.Errorf("the last frames are %v, not red full and ultraviolet off", last)
		}
	})
}

// A night of standing still costs neither drift nor memory.
func TestLongHold(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		go func() {
			time.Sleep(15 * time.Second)
			commands <- Command{Do: Hold}
			time.Sleep(8 * time.Hour)
			commands <- Command{Do: Go}
			time.Sleep(5 * time.Second)
			commands <- Command{Do: Quit}
		}()
		sum, err := Run(t.Context(), s, Options{Rate: 10, Commands: commands})
		if err != nil || !sum.Stopped || (sum.End-20*time.Second).Abs() > 101*time.Millisecond || sum.Late.Worst > time.Millisecond {
			t.Errorf("%+v, %v", sum, err)
		}
	})
}

func TestCommands(t *testing.T) {
	s := tenCues(t)
	for name, c := range map[string]struct {
		do   []Command
		want time.Duration // position 1 s after the last command, begun at 15 s
	}{
		"go moves no sound":       {[]Command{{Do: Go}}, 16 * time.Second},
		"skip, asked for once":    {[]Command{{Do: Skip}}, 16 * time.Second},
		"skip, asked for twice":   {[]Command{{Do: Skip}, {Do: Skip}}, 21 * time.Second},
		"skip once each of two":   {[]Command{{Do: Skip}, {Do: Skip}, {Do: Skip}}, 21 * time.Second},
		"skip, for certain":       {[]Command{{Do: SkipNow}}, 21 * time.Second},
		"skip in a hold":          {[]Command{{Do: Hold}, {Do: Skip}, {Do: Go}}, 21 * time.Second},
		"stop all":                {[]Command{{Do: StopAll}}, 15 * time.Second},
		"stop all twice, and on":  {[]Command{{Do: StopAll}, {Do: StopAll}, {Do: Go}}, 16 * time.Second},
		"freeze lets time go on":  {[]Command{{Do: Freeze}}, 16 * time.Second},
		"back to this cue":        {[]Command{{Do: Back}}, 11 * time.Second},
		"back twice":              {[]Command{{Do: Back}, {Do: Back}}, 1 * time.Second},
		"hold":                    {[]Command{{Do: Hold}}, 15 * time.Second},
		"hold and on":             {[]Command{{Do: Hold}, {Do: Go}}, 16 * time.Second},
		"hold holds":              {[]Command{{Do: Hold}, {Do: Hold}}, 15 * time.Second},
		"hold, back, on":          {[]Command{{Do: Hold}, {Do: Back}, {Do: Go}}, 11 * time.Second},
		"seek, asked for once":    {[]Command{{Do: Seek, At: 42 * time.Second}}, 16 * time.Second},
		"seek, asked for twice":   {[]Command{{Do: Seek, At: 42 * time.Second}, {Do: Seek, At: 42 * time.Second}}, 43 * time.Second},
		"two seeks elsewhere":     {[]Command{{Do: Seek, At: 42 * time.Second}, {Do: Seek, At: 52 * time.Second}}, 16 * time.Second},
		"seek outside":            {[]Command{{Do: Hold}, {Do: Seek, At: time.Hour}}, 90 * time.Second},
		"lights up holds":         {[]Command{{Do: LightsUp}}, 15 * time.Second},
		"up is up":                {[]Command{{Do: LightsUp}, {Do: LightsUp}, {Do: Go}, {Do: Go}}, 15 * time.Second},
		"lights down holds":       {[]Command{{Do: LightsUp}, {Do: LightsDown}, {Do: LightsDown}}, 15 * time.Second},
		"lights up, down, and on": {[]Command{{Do: LightsUp}, {Do: LightsDown}, {Do: Go}}, 16 * time.Second},
	} {
		synctest.Test(t, func(t *testing.T) {
			commands := make(chan Command)
			go func() {
				for _, do := range c.do {
					commands <- do
				}
				time.Sleep(time.Second)
				commands <- Command{Do: Quit}
			}()
			sum, err := Run(t.Context(), s, Options{Start: evening.State{In: 15 * time.Second}, Commands: commands})
			if err != nil || (sum.End-c.want).Abs() > time.Millisecond {
				t.Errorf("%s: at %v, want %v (%v)", name, sum.End, c.want, err)
			}
		})
	}
}

// Presses of go that come within the time are one go, and say so; one that comes later counts.
func TestOneGo(t *testing.T) {
	s := tenCues(t)
	for _, wait := range []time.Duration{50 * time.Millisecond, 299 * time.Millisecond, 301 * time.Millisecond, time.Second} {
		synctest.Test(t, func(t *testing.T) {
			commands := make(chan Command)
			go func() {
				commands <- Command{Do: Go} // on from the hold
				time.Sleep(wait)
				commands <- Command{Do: Go}
				time.Sleep(time.Second)
				commands <- Command{Do: Quit}
			}()
			one, none := false, false
			_, err := Run(t.Context(), s, Options{Start: evening.State{In: 15 * time.Second, Held: true}, Commands: commands, Again: 300 * time.Millisecond,
				Report: func(s Status) {
					one = one || strings.HasPrefix(s.Notice, "two presses of go came as one")
					none = none || strings.HasPrefix(s.Notice, "nothing waits for go")
				}})
			if early := wait < 300*time.Millisecond; err != nil || one != early || none == early {
				t.Errorf("pressed again after %v: it was one go: %v, a second that nothing waited for: %v (%v)", wait, one, none, err)
			}
		})
	}
}

// A show that has come to its end holds its last look for as long as nobody presses go, which
// then ends the run; where nobody is there to press it, it ends by itself.
func TestLastLookStands(t *testing.T) {
	s := tenCues(t)
	end := s.NewFrame()
	s.At(end, s.Length)
	last := [2]byte(end.Universes[0].Slots[:2])
	for _, attended := range []bool{true, false} {
		synctest.Test(t, func(t *testing.T) {
			commands := make(chan Command)
			time.AfterFunc(11*time.Minute, func() {
				if attended {
					commands <- Command{Do: Go}
				}
			})
			w := &wire{}
			start := time.Now()
			if _, err := Run(t.Context(), s, Options{Start: evening.State{In: s.Length - 10*time.Second}, Commands: commands, Rests: attended, Rate: 5, Sinks: []output.Sink{w}}); err != nil {
				t.Fatal(err)
			}
			stood := time.Duration(0)
			for i, at := range w.at {
				if since := at.Sub(start); since > 10*time.Second && w.slots[i] == last {
					stood = since
				}
			}
			ran := time.Since(start)
			if attended && (stood < 660*time.Second || ran < 660*time.Second || ran > 665*time.Second) || !attended && ran > 15*time.Second {
				t.Errorf("attended %v: its last look stood until %v, it ran for %v", attended, stood, ran)
			}
			time.Sleep(12 * time.Minute)
		})
	}
}

// Lights up takes ultraviolet off within its time, whatever the cue says.
func TestLightsUp(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		go func() {
			commands <- Command{Do: LightsUp}
			time.Sleep(show.LightsUpTime + 50*time.Millisecond)
			commands <- Command{Do: Quit}
		}()
		w := &wire{}
		if _, err := Run(t.Context(), s, Options{Start: evening.State{In: 15 * time.Second}, Sinks: []output.Sink{w}, Commands: commands}); err != nil {
			t.Fatal(err)
		}
		n := int((show.LightsUpTime + 40*time.Millisecond).Seconds() * 44)
		if got := w.slots[n]; got != [2]byte{255, 0} {
			t.Errorf("%v after lights up the slots are %v", show.LightsUpTime, got)
		}
	})
}

// A stalled computer loses frames and says how many; it does not hurry after.
func TestStall(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		w := &wire{}
		stall := func(st Status) {
			if st.State.In > 3*time.Second && st.State.In < 3200*time.Millisecond {
				time.Sleep(2 * time.Second)
			}
		}
		sum, err := Run(t.Context(), s, Options{For: 10 * time.Second, Sinks: []output.Sink{w}, Report: stall})
		if err != nil || sum.Late.Missed < 86 || sum.Late.Missed > 88 || sum.Frames+sum.Late.Missed != 440 {
			t.Errorf("%+v, %v", sum, err)
		}
	})
}

func TestJournal(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		var got []string
		note := func(e evening.Event) { got = append(got, fmt.Sprintf("%.0f %s %s", e.At.Seconds(), e.Kind, e.Text)) }
		if _, err := Run(t.Context(), s, Options{Start: evening.State{In: 5 * time.Second}, For: 16 * time.Second, Journal: note}); err != nil {
			t.Fatal(err)
		}
		want := []string{"5 run clock: the computer's clock", "5 cue 0", "10 cue 1", "20 cue 2"}
		if len(got) != 5 || !slices.Equal(got[:4], want) {
			t.Errorf("the journal says %q", got)
		}
	})
}
