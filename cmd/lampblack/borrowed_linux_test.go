package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// borrowed is a machine that has nothing: a file system with this program and one file in
// it, another user without a name or a home, no network, no other programs. It is made of
// namespaces (user_namespaces(7), chroot(2)).
type borrowed struct{ root string }

func borrow(t *testing.T) *borrowed {
	t.Helper()
	b := &borrowed{t.TempDir()}
	dir := filepath.Join(t.TempDir(), "build")
	program := filepath.Join(b.root, "stick", "lampblack")
	if err := os.MkdirAll(filepath.Dir(program), 0o755); err != nil {
		t.Fatal(err)
	}
	// One that needs no libraries: there are none.
	build := exec.Command("go", "build", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0", "TMPDIR="+dir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if out, err := build.CombinedOutput(); err != nil {
		t.Skipf("check left out: the program cannot be built here: %v %s", err, out)
	}
	for _, d := range []string{"tmp", "guest"} {
		if err := os.MkdirAll(filepath.Join(b.root, d), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := b.run("version"); err != nil {
		t.Skipf("check left out: this system makes no namespaces for this user: %v %s", err, out)
	}
	return b
}

// run runs the program there, as user and group 1234.
func (b *borrowed) run(args ...string) ([]byte, error) {
	c := exec.Command("/stick/lampblack", args...)
	c.Dir = "/guest"
	c.Env = []string{"HOME=/guest", "PATH=/nowhere"}
	c.SysProcAttr = &syscall.SysProcAttr{
		Chroot:      b.root,
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNET | syscall.CLONE_NEWNS | syscall.CLONE_NEWIPC | syscall.CLONE_NEWUTS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 1234, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 1234, HostID: os.Getgid(), Size: 1}},
	}
	return c.CombinedOutput()
}

// A small show, or the three examples, packed here, make the same frames there, byte for byte, and run.
func TestBorrowedMachine(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and solves a show five times")
	}
	b := borrow(t)
	here := t.TempDir()
	shows := []struct{ name, piece string }{{"small", ""}}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		shows = []struct{ name, piece string }{{"evening", "all"}, {"fish", ""}, {"walk", "corridor/all"}}
	}
	for _, d := range shows {
		dir := filepath.Join(here, d.name)
		if d.name == "small" {
			lampblack(t, "new", dir)
		} else {
			lampblack(t, "demo", "--of", d.name, "--write", dir)
		}
		lampblack(t, "pack", dir, filepath.Join(b.root, "stick", d.name+".zip"))
		args := []string{"export", "frames", dir, "-o", filepath.Join(here, d.name+".capture")}
		if d.piece != "" {
			args = append(args, "--piece", d.piece)
		}
		lampblack(t, args...)
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}

		args[2], args[4] = "/stick/"+d.name+".zip", "/guest/"+d.name+".capture"
		if out, err := b.run(args...); err != nil {
			t.Fatalf("%s: %v %s", d.name, err, out)
		}
		want, err := os.ReadFile(filepath.Join(here, d.name+".capture"))
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(b.root, "guest", d.name+".capture"))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: other frames there (%d bytes, %d here): %v", d.name, len(got), len(want), err)
		}
		if out, err := b.run("run", "/stick/"+d.name+".zip", "--silent", "--outputs", "none", "--for", "300ms"); err != nil || !strings.Contains(string(out), "frames") {
			t.Errorf("%s: does not run there: %v %s", d.name, err, out)
		}
		if kept, _ := filepath.Glob(filepath.Join(b.root, "guest", ".cache", "lampblack", "*.heard")); len(kept) > 0 {
			t.Errorf("%s: the sound was listened to again there", d.name)
		}
		if os.Getenv("LAMPBLACK_LONG") == "" {
			continue
		}
		if out, err := b.run("verify", "/stick/"+d.name+".zip"); err != nil || !strings.Contains(string(out), "the same light comes out") {
			t.Errorf("%s: %v %s", d.name, err, out)
		}
	}
}
