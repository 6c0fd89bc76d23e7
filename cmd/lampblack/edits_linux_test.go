package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A change of the files is offered to a show that runs, and taken when it is asked for: now or
// at the next cue; what ran before comes back. One with a fault changes nothing. Who rehearses
// has it at once.
func TestEditsWhileItRuns(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	const red, green, blue = "{units: [1], colour: red, level: 80 %}", "{units: [1], colour: green, level: 80 %}", "{units: [1], colour: blue, level: 80 %}"
	var dir string // of the show that runs
	begin := func(t *testing.T, x *tap, more ...string) (s *served, write func(look string)) {
		dir = t.TempDir()
		write = func(look string) {
			t.Helper()
			text := "looks:\n  one: " + look + "\n  two: {units: [1], colour: white, level: 50 %}\ncues:\n  - {cue: 1, at: 0:00, look: one}\n  - {cue: 2, at: 9:00, look: two}\n  - {cue: 3, at: 9:30, look: one}\n"
			if err := os.WriteFile(filepath.Join(dir, "score.yaml"), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		write(red)
		if err := os.WriteFile(filepath.Join(dir, "rig.yaml"), []byte("units:\n  - {unit: 1, type: colour par, address: 1}\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return serveRun(t, x, append([]string{"open", dir, "--run"}, more...)...), write
	}
	is := func(emitter int) func([]byte) bool {
		return func(slots []byte) bool {
			for i := range 3 { // the emitter that gives most
				if slots[i] > slots[emitter] {
					return false
				}
			}
			return slots[emitter] > 0
		}
	}
	// says waits until the terminal has a word.
	says := func(t *testing.T, s *served, text string) {
		t.Helper()
		for began := time.Now(); !strings.Contains(s.err.String(), text); time.Sleep(10 * time.Millisecond) {
			if time.Since(began) > 30*time.Second {
				t.Fatalf("it does not say %q: %s", text, s.err)
			}
		}
	}
	order := func(t *testing.T, s *served, name string) {
		t.Helper()
		if words := s.post("/api/control/"+name, nil); words != "" {
			t.Fatalf("%s: %s", name, words)
		}
	}
	t.Run("offered", func(t *testing.T) {
		x := newTap(t)
		s, write := begin(t, x)
		x.await(t, "red is on", is(0))
		write(green)
		says(t, s, "score.yaml changed. The run goes on as it was")
		if !is(0)(x.slots()) {
			t.Errorf("it was taken unasked: %v", x.slots()[:3])
		}
		order(t, s, "edit-now")
		x.await(t, "green is on", is(1))
		order(t, s, "edit-back")
		x.await(t, "red is on again", is(0))
		write("{units: [1], colour: no such colour}")
		says(t, s, "cannot be taken")
		if words := s.post("/api/control/edit-now", nil); !strings.Contains(words, "no change of the files is offered") {
			t.Errorf("the page is told %q of what is not offered", words)
		}
		write(blue)
		for began := time.Now(); strings.Count(s.err.String(), "score.yaml changed. The run") < 2; time.Sleep(10 * time.Millisecond) {
			if time.Since(began) > 30*time.Second {
				t.Fatalf("the mended file is not offered: %s", s.err)
			}
		}
		order(t, s, "edit-at-cue")
		says(t, s, "is taken when the next cue begins")
		if !is(0)(x.slots()) {
			t.Errorf("it was taken before the cue: %v", x.slots()[:3])
		}
		order(t, s, "skip") // to cue 2
		x.await(t, "cue 2 is on", func(slots []byte) bool { return !is(0)(slots) || slots[1] > 50 })
		order(t, s, "skip")
		x.await(t, "blue is on", is(2))
		write(red)
		for began := time.Now(); strings.Count(s.err.String(), "score.yaml changed. The run") < 3; time.Sleep(10 * time.Millisecond) {
			if time.Since(began) > 30*time.Second {
				t.Fatalf("the next is not offered: %s", s.err)
			}
		}
		order(t, s, "edit-not")
		says(t, s, "is not taken tonight")
		if words := s.post("/api/control/edit-now", nil); !strings.Contains(words, "no change of the files is offered") {
			t.Errorf("the page is told %q of what was put off", words)
		}
		if !is(2)(x.slots()) {
			t.Errorf("what was put off was taken: %v", x.slots()[:3])
		}
		change := func(name, text string) {
			t.Helper()
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		// What a run takes over only as it begins, and no other reason.
		change("triggers.yaml", "triggers:\n  door: {source: key f1}\n")
		says(t, s, "triggers.yaml changed: other triggers. A run takes that over only as it begins")
		if err := os.Remove(filepath.Join(dir, "triggers.yaml")); err != nil {
			t.Fatal(err)
		}
		change("show.yaml", "sound: {device: hall}\n")
		says(t, s, "changed: another sound device or level. A run takes that over only as it begins")
		change("show.yaml", "outputs: [to: e131 127.0.0.1]\n") // which the command line has instead
		says(t, s, "note: show.yaml changed. The run goes on as it was")
		change("rig.yaml", "units:\n  - {unit: 1, type: colour par, address: 1}\n  - {unit: 2, type: colour par, address: 4}\n")
		says(t, s, "rig.yaml changed: other units. A run")
		nights, _ := filepath.Glob(filepath.Join(dir, "nights", "*.jsonl"))
		for _, text := range []string{"changed while it ran, and taken: score.yaml", "back to what ran before"} {
			night := ""
			for began := time.Now(); !strings.Contains(night, `"what":"version"`) || !strings.Contains(night, `"text":"`+text); time.Sleep(10 * time.Millisecond) {
				if len(nights) != 1 || time.Since(began) > 30*time.Second {
					t.Fatalf("%v do not say %q: %s", nights, text, night)
				}
				data, _ := os.ReadFile(nights[0])
				night = string(data)
			}
		}
	})
	t.Run("rehearsal", func(t *testing.T) {
		x := newTap(t)
		s, write := begin(t, x, "--rehearsal")
		x.await(t, "red is on", is(0))
		for i, look := range []string{green, blue} {
			write(look)
			x.await(t, fmt.Sprintf("change %d is on", i+1), is(1+i))
		}
		order(t, s, "edit-back")
		x.await(t, "green is on again", is(1))
	})
}

// What computes may fail while the folder holds something else than what runs: the run goes on
// with what was on the stage, and the change is offered again.
func TestFailureTakesNoEdit(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("rig.yaml", "units:\n  - {unit: 1, type: colour par, address: 1}\n")
	write("score.yaml", "looks:\n  one: {units: [1], colour: red, level: 80 %}\n")
	rec, words := record(t), &heardWords{}
	p := aNight(t, t.TempDir(), words, nil, nil, "run", dir, "--outputs", rec.output())
	red := rec.await(t, time.Time{}, "red", func(q *datagram) bool { return q.slots[0] == 204 })
	said := func(text string, times int) {
		t.Helper()
		p.until("saying "+text, func() bool { return strings.Count(words.String(), text) >= times })
	}
	for i, change := range []string{"looks:\n  one: {units: [1], colour: green, level: 80 %}\n", "looks: [\n"} {
		write("score.yaml", change)
		said("score.yaml changed", 2*i+1)
		run := p.run()
		killed := time.Now()
		if err := syscall.Kill(run, syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
		p.until("running again", func() bool { kids := p.children(); return len(kids) > 0 && kids[0] != run })
		said("score.yaml changed", 2*i+2) // it is offered, or told, again
		for _, q := range rec.since(killed) {
			up := q.slots[0] == 255 && q.slots[1] == 255 && q.slots[2] == 255 // a slow machine has it running again late
			if q.slots != red.slots && !up {
				t.Fatalf("after change %d and a failure the light is %v, was %v; %s", i+1, q.slots[:3], red.slots[:3], words)
			}
		}
	}
	_ = p.ends(os.Interrupt)
}
