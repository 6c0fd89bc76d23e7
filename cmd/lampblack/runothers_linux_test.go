package main

import (
	"path/filepath"
	"strings"
	"testing"
)

// Two runs that send to one program of their own computer are told of each other, also where that
// is in no network and has no address but the loopback's.
func TestRunsOfOneComputer(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: network namespaces")
	}
	dir, _ := ticking(t)
	s := newSpaces(t, "alone")
	s.ip("alone", "link", "del", "eth0")
	begin := func(name string) (*process, *heardWords) {
		w := &heardWords{}
		env := []string{"LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE=" + filepath.Join(t.TempDir(), name)}
		return s.start("alone", w, env, "run", dir, "--outputs", "e131 127.0.0.1 port 6000", "--journal", "none"), w
	}
	p, one := begin("one")
	_, two := begin("two")
	for _, w := range []*heardWords{one, two} {
		p.until("told of the other", func() bool {
			return strings.Contains(w.String(), `another run sends universe 1 too, "Ticks" on this computer (process `)
		})
	}
}
