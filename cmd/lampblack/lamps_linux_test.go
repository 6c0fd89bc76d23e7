package main

import (
	"fmt"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"lampblack/play/lamps/lampstest"
)

// lampShow is a folder with a rig of one lamp.
func lampShow(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "show")
	if err := start(t, nil, "new", dir, "--title", "First Light").Wait(); err != nil {
		t.Fatal(err)
	}
	return dir
}

// A lamp is set after a yes that is typed in whole, and after nothing else.
func TestLampsAreSetAfterAYes(t *testing.T) {
	t.Parallel()
	dir := lampShow(t)
	for answer, want := range map[string]int{"no\n": 21, "y\n": 21, "\n": 21, "\x04": 21, "yes\n": 11} {
		t.Run(fmt.Sprintf("%q", answer), func(t *testing.T) {
			t.Parallel()
			node, out, err := startLampNode()
			if err != nil {
				t.Fatal(err)
			}
			defer node.Close()
			lamp := node.Wires[1].Lamps[1]
			p, terminal := onTerminal(t, t.TempDir(), "lamps", dir, "--outputs", out, "--set", "front right")
			if _, err := terminal.WriteString(answer); err != nil {
				t.Fatal(err)
			}
			if err := p.Wait(); (err == nil) != (want == 11) {
				t.Error(err)
			}
			node.Wires[1].Do(func() {
				if lamp.Address != want {
					t.Errorf("address %d, want %d", lamp.Address, want)
				}
			})
		})
	}
}

// A lamp that shows itself ends that when the program is told to end.
func TestLampIsDarkAfterAnInterrupt(t *testing.T) {
	t.Parallel()
	node, out, err := startLampNode()
	if err != nil {
		t.Fatal(err)
	}
	defer node.Close()
	lit := func() (is bool) {
		node.Wires[1].Do(func() { is = is || anyLit(node.Wires[1].Lamps) })
		return is
	}
	p, _ := onTerminal(t, t.TempDir(), "lamps", lampShow(t), "--outputs", out, "--blink", "front left")
	for begun := time.Now(); !lit(); time.Sleep(10 * time.Millisecond) {
		if time.Since(begun) > 30*time.Second {
			t.Fatal("it never shows itself")
		}
	}
	if err := p.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	if err := p.Wait(); err == nil {
		t.Error("an interrupt is no failure")
	}
	if lit() {
		t.Error("it shows itself still")
	}
}

func anyLit(all []*lampstest.Lamp) bool {
	for _, l := range all {
		if l.Identifies {
			return true
		}
	}
	return false
}
