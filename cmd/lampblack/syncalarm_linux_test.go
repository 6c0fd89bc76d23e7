package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"lampblack/play/output"
	"lampblack/show"
)

// A contact closes while units flash: the wire carries lights up from then on and no flash, the
// clicks end, nothing begins before a reset, and that is refused while the contact says alarm.
func TestAlarmWhileSeatsAreMeasured(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: flashes in real time")
	}
	dir := small(t)
	pipe := filepath.Join(t.TempDir(), "contact")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	contact, err := os.OpenFile(pipe, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer contact.Close()
	if err := os.WriteFile(filepath.Join(dir, show.BillFile), fmt.Appendf(nil, "title: Small\nalarm inputs: {stage door: {source: pipe %q}}\n", pipe), 0o644); err != nil {
		t.Fatal(err)
	}
	s := loadShow(t, dir)
	rec := record(t)
	sinks, err := openSinks([]string{rec.output()}, output.Open)
	if err != nil {
		t.Fatal(err)
	}
	wire := output.Own(sinks, syncRate)
	defer wire.Close(0)
	stage := newFlashed(s, wire, []int{0, 1})
	stage.rest()
	up := stage.up.Universes[0].Slots[:]
	m, clicks := testSeats(t.Context())
	m.flash = func(on bool) { clicks.flash(on); stage.flash(on) }
	m.rest = stage.rest
	words := &heardWords{}
	a, err := hearFlashAlarm(t.Context(), func(what, text string) { fmt.Fprintln(words, what, text) }, &s.Bill, wire, m)
	if err != nil {
		t.Fatal(err)
	}
	if err := m.Begin("centre seat", ""); err != nil {
		t.Fatal(err)
	}
	flashed := rec.await(t, time.Time{}, "a flash", func(p *datagram) bool { return bytes.Equal(p.slots[:], stage.lit.Universes[0].Slots[:]) }).came
	closed := time.Now()
	if _, err := contact.WriteString("closed\n"); err != nil {
		t.Fatal(err)
	}
	alarmed := rec.await(t, flashed, "lights up", func(p *datagram) bool { return bytes.Equal(p.slots[:], up) }).came
	t.Logf("%v after the contact closes", alarmed.Sub(closed))
	<-m.ended
	if wrong := m.Seats().Wrong; !strings.Contains(wrong, "ALARM") {
		t.Errorf("the page says %q", wrong)
	}
	if err := m.Begin("centre seat", ""); err == nil || !strings.Contains(err.Error(), "until it is reset") {
		t.Errorf("it begins: %v", err)
	}
	a.typed("r")
	if !a.watch.State().Stands || !strings.Contains(words.String(), "still says alarm") {
		t.Errorf("a reset is not refused: %s", words)
	}
	stage.flash(true) // whoever flashes does not know yet
	rec.await(t, time.Now(), "anything", func(*datagram) bool { return true })
	for _, p := range rec.since(alarmed) {
		if !bytes.Equal(p.slots[:], up) {
			t.Fatalf("in the alarm it sends %v", p.slots[:16])
		}
	}
	stage.rest()
	if _, err := contact.WriteString("open\n"); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(time.Minute); a.watch.State().Stands; time.Sleep(5 * time.Millisecond) {
		a.typed("r")
		if time.Now().After(end) {
			t.Fatalf("it cannot be reset: %s", words)
		}
	}
	for end := time.Now().Add(time.Minute); m.Begin("centre seat", "") != nil; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("nothing begins after the reset")
		}
	}
	rec.await(t, time.Now(), "a flash again", func(p *datagram) bool { return bytes.Equal(p.slots[:], stage.lit.Universes[0].Slots[:]) })
	_ = m.Stop()
	if err := a.close(); err != nil {
		t.Error(err)
	}
}
