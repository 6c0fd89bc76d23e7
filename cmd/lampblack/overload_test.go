package main

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lampblack/check/finding"
	"lampblack/demo"
)

// That sound may be cut is found by who checks. Who only works looks out, as when a lamp is
// taken out while people watch, hears no sound file again.
func TestOverloadsAreChecked(t *testing.T) {
	t.Setenv("LAMPBLACK_CACHE", filepath.Join(t.TempDir(), "cache"))
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.New(t.Context(), dir, ""); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "show.yaml")
	bill, err := os.ReadFile(name)
	if err == nil {
		err = os.WriteFile(name, append(bill, "\nsound: {level: 20 dB}\n"...), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	l, err := solve(t.Context(), io.Discard, dir, reading{})
	if err != nil || l.show == nil {
		t.Fatalf("%v, %v", err, l.findings)
	}
	defer l.close()
	tells := func(list []finding.Finding) bool {
		return slices.ContainsFunc(list, func(f finding.Finding) bool { return strings.Contains(f.Text, "above full scale") })
	}
	if tells(l.findings) {
		t.Error("the sound was heard though nothing is checked")
	}
	found, err := l.check(t.Context())
	if err != nil || !tells(found) {
		t.Errorf("%v: no word of what is cut: %v", err, found)
	}
}
