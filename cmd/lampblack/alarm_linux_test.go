package main

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"lampblack/show"
)

// Outside check: a contact closes while the process that computes is stopped by the system, and
// the next packet on the wire has the light of the alarm; so it is while that process is dead,
// and when it is back. Logged, not judged, is how soon: it is this machine's, at this moment.
func TestAlarmOnTheWire(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: runs a show in real time")
	}
	wire, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 9), Port: 5568})
	if err != nil {
		t.Skipf("outside check left out: %v", err)
	}
	defer wire.Close()
	dir := filepath.Join(t.TempDir(), "show")
	lampblack(t, "new", dir)
	pipe := filepath.Join(t.TempDir(), "contact")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skipf("outside check left out: needs named pipes (%v)", err)
	}
	contact, err := os.OpenFile(pipe, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer contact.Close()
	bill, err := os.OpenFile(filepath.Join(dir, show.BillFile), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(bill, "\nalarm inputs: {stage door: {source: pipe %q}}\n", pipe)
	bill.Close()
	frame := lightsUpOf(t, dir)

	p := start(t, nil, "run", dir, "--silent", "--outputs", "e131 127.0.0.9", "--journal", filepath.Join(t.TempDir(), "night.jsonl"))
	packet := make([]byte, 2000)
	next := func() []byte {
		t.Helper()
		for {
			_ = wire.SetReadDeadline(time.Now().Add(time.Minute))
			n, err := wire.Read(packet)
			if err != nil {
				t.Fatal(err)
			}
			if n == 638 { // a full universe (ANSI E1.31-2018, table 4-1)
				return packet[126:n]
			}
		}
	}
	for range 20 {
		next()
	}
	runs := p.children()
	if len(runs) != 1 {
		t.Fatalf("it has %d processes", len(runs))
	}
	if err := syscall.Kill(runs[0], syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	p.until("listening", p.reads(pipe))
	closed := time.Now()
	if _, err := contact.WriteString("closed\n"); err != nil {
		t.Fatal(err)
	}
	for !bytes.Equal(next(), frame) { // what was on its way
		if time.Since(closed) > 900*time.Millisecond {
			t.Fatal("the light of the alarm does not come")
		}
	}
	t.Logf("%.1f ms after the contact closes, with the run stopped", 1e3*time.Since(closed).Seconds())
	if err := syscall.Kill(runs[0], syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	back := func() bool { now := p.children(); return len(now) == 1 && now[0] != runs[0] }
	for began := time.Now(); !back() || time.Since(began) < 3*time.Second; {
		if got := next(); !bytes.Equal(got, frame) {
			t.Fatalf("in the alarm it sends % x", got[:16])
		}
	}
	p.ends(os.Interrupt)
}

// lightsUpOf is the light of an alarm of a show in its first universe.
func lightsUpOf(t *testing.T, dir string) []byte {
	t.Helper()
	s := loadShow(t, dir)
	f := s.NewFrame()
	s.At(f, 0)
	s.LightsUp(f, 1)
	return f.Universes[0].Slots[:]
}
