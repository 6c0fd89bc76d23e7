package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"lampblack/play/hand"
	"lampblack/web"
)

// patient lets the lamps of a show keep their light for so long while nobody computes.
func patient(t *testing.T, dir, light, dark string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, "show.yaml"), fmt.Appendf(nil, "title: Small\nwhen the run fails: {light stands: %s, ultraviolet stands: %s}\n", light, dark), 0o644); err != nil {
		t.Fatal(err)
	}
}

// dies kills the process that computes, and waits until another answers pages.
func (s *served) dies() {
	s.t.Helper()
	p := &process{s.c, s.t}
	run := p.run()
	if err := syscall.Kill(run, syscall.SIGKILL); err != nil {
		s.t.Fatal(err)
	}
	p.until("another run", func() bool { kids := p.children(); return len(kids) > 0 && kids[0] != run })
	p.until("pages again", func() bool {
		r, err := s.ask("GET", "/api/lamps", nil)
		if err != nil {
			return false
		}
		defer r.Body.Close()
		var l web.Lamps
		return json.NewDecoder(r.Body).Decode(&l) == nil && l.Wrong == ""
	})
	s.tap.await(s.t, "a frame comes", func([]byte) bool { return true })
	s.tap.await(s.t, "a frame comes", func([]byte) bool { return true })
}

// filmed are the different lights that came after an instant, in their order.
func (x *tap) filmed(from time.Time) (all [][24]byte) {
	x.mu.Lock()
	defer x.mu.Unlock()
	for i := range x.film {
		if f := &x.film[i]; f.came.After(from) && (len(all) == 0 || all[len(all)-1] != f.slots) {
			all = append(all, f.slots)
		}
	}
	return all
}

// What a hand holds over a show is there from the first frame when the process that computes is
// killed: levels, trims, a unit that is out with its likes in its place, a look brought up, one lamp
// alone; though nothing of it could be written to the disk. No frame has another light.
func TestHandOutlastsTheRun(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir, x := small(t), newTap(t)
	patient(t, dir, "1 min", "1 min")
	if err := os.Mkdir(filepath.Join(dir, hand.TonightFile), 0o755); err != nil { // so that nothing is kept there
		t.Fatal(err)
	}
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	stands := func(what string, fits func(slots []byte) bool) {
		t.Helper()
		x.await(t, what, fits)
		var last []byte
		var since time.Time // longer than the light that stands is made anew for, a quarter of a second
		x.await(t, what+", and stands", func(slots []byte) bool {
			if !slices.Equal(slots, last) {
				last, since = slices.Clone(slots), time.Now()
			}
			return time.Since(since) > 600*time.Millisecond && fits(slots)
		})
		from := time.Now()
		s.dies()
		if all := x.filmed(from); len(all) != 1 || !slices.Equal(all[0][:], last[:24]) {
			t.Errorf("%s: after the run was killed there came\n%v, want %v alone\n%s", what, all, last[:24], s.err)
		}
	}
	s.order(hand.Order{Do: hand.TrimTo, Units: []string{"2"}, Level: .5})
	s.order(hand.Order{Do: hand.TakeOut, Units: []string{"3"}, Why: "flickers"})
	s.order(hand.Order{Do: hand.Set, Units: []string{"5"}, Colour: "#0000ff", Level: .25})
	stands("unit 3 is dark, unit 5 blue, and unit 1 brighter than unit 2, which is trimmed", func(slots []byte) bool {
		return slots[6] == 0 && slots[14] > 0 && slots[12] < slots[14]/2 && slots[0] > slots[3]+20
	})
	s.order(hand.Order{Do: hand.Bring, Look: "red"})
	stands("the look red is up", func(slots []byte) bool { return slots[0] > 0 && slots[1] < slots[0]/4 })
	s.order(hand.Order{Do: hand.OneAlone, Units: []string{"2"}})
	stands("unit 2 is alone", func(slots []byte) bool { return slots[0] == 0 && slots[3] == 255 && slots[12] == 0 })
	if l := s.lamps(); l.Look != "red" || l.Focus.Unit != "2" || len(l.Trims) != 1 || len(l.Outs) != 1 || l.Outs[0].Why != "flickers" || len(l.Held) != 1 {
		t.Errorf("it holds %+v", l)
	}
}

// Light that a hand has sent on its way over a long time goes on where it would be.
func TestHandsFadeOutlastsTheRun(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir, x := small(t), newTap(t)
	patient(t, dir, "1 min", "1 min")
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	s.order(hand.Order{Do: hand.Set, Units: []string{"1"}, Colour: "#ff0000", Level: .01, Over: .05})
	x.await(t, "unit 1 is nearly dark", func(slots []byte) bool { return slots[0] < 4 })
	const over = 120
	began := time.Now()
	s.order(hand.Order{Do: hand.Set, Units: []string{"1"}, Colour: "#ff0000", Level: 1, Over: over})
	x.await(t, "unit 1 is on its way", func(slots []byte) bool { return slots[0] > 5 })
	from := time.Now()
	s.dies()
	last := byte(0)
	for _, f := range x.filmed(from) {
		if f[0] < last {
			t.Errorf("it goes back from %d to %d", last, f[0])
		}
		last = f[0]
	}
	if most := 255*time.Since(began).Seconds()/over + 6; float64(last) > most {
		t.Errorf("it has leapt to %d, want %.0f at most", last, most)
	}
	if now := s.lamps(); len(now.Held) != 1 || now.Held[0].Level != 1 {
		t.Errorf("it holds %+v", now.Held)
	}
}

// Black light that was set by hand does not come back by itself once the lamps were left to
// themselves for longer than it may stand; what can be taken back still can.
func TestBlackLightByHandStaysOff(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	for dark, stays := range map[string]bool{"1 min": true, "0.2 s": false} {
		dir, x := small(t), newTap(t)
		patient(t, dir, "1 min", dark)
		rig := filepath.Join(dir, "rig.yaml")
		text, err := os.ReadFile(rig)
		if err == nil {
			err = os.WriteFile(rig, append(text, "  - {unit: 6, type: black light flood, address: 20}\n"...), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		s := serveRun(t, x, "open", dir, "--run", "--silent")
		s.order(hand.Order{Do: hand.Set, Units: []string{"1"}, Colour: "#0000ff", Level: .5})
		s.order(hand.Order{Do: hand.Set, Units: []string{"6"}, Dark: true, Level: .5})
		x.await(t, "black light", func(slots []byte) bool { return slots[19] > 0 })
		if words := s.post("/api/keep", web.Kept{Look: "night", Held: []hand.Held{{Units: []string{"1"}, Colour: "#0000ff", Level: .5}}}); words != "" {
			t.Fatal(words)
		}
		if !stays { // the keeper takes it away before anybody computes again
			if err := syscall.Kill((&process{s.c, t}).run(), syscall.SIGSTOP); err != nil {
				t.Fatal(err)
			}
			stopped := time.Now()
			x.await(t, "no black light", func(slots []byte) bool {
				return slots[19] == 0 && time.Since(stopped) > 500*time.Millisecond // and not yet the light of before it was up
			})
		}
		s.dies()
		if got := x.slots(); got[19] > 0 != stays || got[2] == 0 {
			t.Errorf("%s: after the run was killed there is %v", dark, got[:24])
		}
		if said := strings.Contains(s.err.String(), "black light that was set by hand stays off"); said == stays {
			t.Errorf("%s: it says %s", dark, s.err)
		}
		if words := s.post("/api/undo", nil); words != "" {
			t.Errorf("what was kept cannot be taken back: %s", words)
		}
		if !stays {
			continue
		}
		// The program itself is killed: what takes the run up has all but the black light.
		run := (&process{s.c, t}).run()
		_ = s.c.Process.Kill()
		_ = syscall.Kill(run, syscall.SIGKILL)
		_ = s.c.Wait()
		s = serveRun(t, x, "open", dir, "--run", "--silent", "--resume")
		x.await(t, "unit 1 is blue", func(slots []byte) bool { return slots[2] > 2*slots[0] })
		if got := x.slots(); got[19] > 0 || !strings.Contains(s.err.String(), "black light that was set by hand stays off") {
			t.Errorf("a run that is taken up has %v; %s", got[:24], s.err)
		}
	}
}

// A code that waits, and a device that is paired, outlast the process that computes: at the same
// address.
func TestPairingOutlastsTheRun(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir, x := small(t), newTap(t)
	t.Setenv("LAMPBLACK_STATE", filepath.Join(t.TempDir(), "state"))
	s := serveRun(t, x, "open", dir, "--run", "--silent", "--phone=127.0.0.1:0", "--phone-may", "go")
	r, err := s.ask("POST", "/api/devices/invite", []byte(`{"right": "go"}`))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	var i web.Invitation
	if err := json.NewDecoder(r.Body).Decode(&i); err != nil || i.Link == "" {
		t.Fatalf("%v %+v", err, i)
	}
	s.dies()
	_, sign := phoneOf(t, i.Link)
	hold := func() int {
		r := sign("POST", "/api/control/hold", "")
		r.Close = true
		a, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		a.Body.Close()
		return a.StatusCode
	}
	if got := hold(); got != http.StatusNoContent {
		t.Errorf("hold: %d", got)
	}
	s.dies()
	if r, err = s.ask("GET", "/api/devices", nil); err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	var p web.Paired
	if err := json.NewDecoder(r.Body).Decode(&p); err != nil || len(p.Devices) != 1 || !strings.HasPrefix(i.Link, "http://"+p.Address+"/") {
		t.Errorf("%v: after another failure there are %+v at %s, and the link was %s", err, p.Devices, p.Address, i.Link)
	}
	if len(p.Codes) != 1 { // that which the program has printed
		t.Errorf("%d codes wait", len(p.Codes))
	}
}
