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

// What is wrong with a pair is told on both machines: another word, two main machines, one that
// is not heard any more, other texts; and that it is over. A change that was taken on the main
// machine is taken by the other as soon as its folder has it.
func TestPairIsTold(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	folder := func() (dir string, write func(colour string)) {
		dir = t.TempDir()
		write = func(colour string) {
			t.Helper()
			if err := os.WriteFile(filepath.Join(dir, "score.yaml"), []byte("looks:\n  one: {units: [1], colour: "+colour+", level: 80 %}\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		for name, text := range map[string]string{"rig.yaml": "units:\n  - {unit: 1, type: colour par, address: 1}\n", "show.yaml": "title: Pair\n"} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		write("red")
		return dir, write
	}
	host, _ := os.Hostname()
	word := fmt.Sprintf("the word of process %d", os.Getpid())
	at, writeMain := folder()
	there, writeStandby := folder()
	says := func(who string, w *heardWords, text string, times int) {
		t.Helper()
		for began := time.Now(); strings.Count(w.String(), text) < times; time.Sleep(10 * time.Millisecond) {
			if time.Since(began) > time.Minute {
				t.Fatalf("%s does not say %q: %s", who, text, w)
			}
		}
	}
	green := func(slots []byte) bool { return slots[1] > slots[0] && slots[1] > slots[2] }
	x, y := newTap(t), newTap(t)
	main := serveRun(t, x, "open", at, "--run", "--pair", word)
	run := func(more ...string) (*process, *heardWords) {
		w := &heardWords{}
		return aNight(t, t.TempDir(), w, nil, nil, append([]string{"run", there, "--silent", "--outputs", "none", "--journal", "none"}, more...)...), w
	}

	p, w := run("--pair", "another word than that", "--standby")
	says("the one with another word", w, "another machine speaks of a pair with another word", 1)
	says("the main machine", main.err, "another machine speaks of a pair with another word", 1)
	_ = p.ends(os.Interrupt)

	p, w = run("--pair", word)
	says("the second main machine", w, "is a main machine with this word as well", 1)
	says("the main machine", main.err, "is a main machine with this word as well", 1)
	_ = p.ends(os.Interrupt)

	standby := serveRun(t, y, "open", there, "--run", "--pair", word, "--standby", "--journal", "none")
	says("the standby", standby.err, "standing by for", 1)
	writeMain("green")
	says("the main machine", main.err, "The run goes on as it was", 1)
	if words := main.post("/api/control/edit-now", nil); words != "" {
		t.Fatal(words)
	}
	says("the main machine", main.err, "stands by with other texts of this show", 1)
	says("the standby", standby.err, "runs other texts of this show", 1)
	writeStandby("green")
	y.await(t, "the standby has the change", green)
	says("the main machine", main.err, "s: the second machine: "+host+" stands by with other texts", 1)
	if words := main.post("/api/control/edit-back", nil); words != "" { // what ran before is there
		t.Fatal(words)
	}
	y.await(t, "the standby has gone back", func(slots []byte) bool { return slots[0] > slots[1] })

	for _, pid := range append((&process{standby.c, t}).children(), standby.c.Process.Pid) {
		_ = syscall.Kill(pid, syscall.SIGKILL)
	}
	says("the main machine", main.err, "which stands by, has not been heard for", 1)
	standby = serveRun(t, newTap(t), "open", there, "--run", "--pair", word, "--standby", "--journal", "none")
	says("the main machine", main.err, "warning: the second machine: "+host+" stands by with other texts", 2) // as it began with what its folder has
	_ = (&process{standby.c, t}).ends(os.Interrupt)
	says("the main machine", main.err, "was ended there, and stands by no more", 1)
}
