package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The unit of the releases is the same unit, for shows in /srv/lampblack.
func TestReleasedUnitIsTheSame(t *testing.T) {
	want, err := unitText(serviceUnit{Show: "the show in /srv/lampblack/NAME", Name: "%i", Program: "/usr/local/bin/lampblack", Dir: "/srv/lampblack/%i", Instance: true})
	if err != nil {
		t.Fatal(err)
	}
	name := "../../release/lampblack@.service"
	if os.Getenv("LAMPBLACK_WRITE") != "" {
		if err := os.WriteFile(name, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(name); err != nil || string(got) != want {
		t.Errorf("release/lampblack@.service differs: LAMPBLACK_WRITE=1 go test -run ReleasedUnit ./cmd/lampblack writes it (%v)", err)
	}
}

// Units with hostile names are units all the same, by systemd's own judgement.
func TestUnitIsOne(t *testing.T) {
	program, err := exec.LookPath("true")
	if err != nil {
		t.Skip("no program to name in a unit")
	}
	verify, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("outside check left out: needs systemd-analyze (Debian package systemd)")
	}
	for _, dir := range []string{"/srv/plain", "/srv/a b %i $HOME \"x\" \\ 'y'", "/srv/ä\tö"} {
		text, err := unitText(serviceUnit{Show: "a show", Name: strings.Map(safeName, filepath.Base(dir)), Program: program, Dir: dir, Options: []string{"--outputs", "e131 multicast; %n"}})
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), "show.service")
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(verify, "verify", "--recursive-errors=no", "--man=no", name).CombinedOutput()
		if err != nil || strings.Contains(string(out), "show.service") {
			t.Errorf("%s: %v\n%s", dir, err, out)
		}
	}
}
