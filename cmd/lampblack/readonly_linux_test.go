package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"lampblack/demo"
)

// A show on a disk that takes no writing runs, with a cache that takes none either.
func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("left out: mounts a small disk, which only root may")
	}
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=8m"); err != nil {
		t.Skipf("left out: no small disk: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	dir := filepath.Join(disk, "show")
	if err := demo.New(t.Context(), dir, "small"); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("left out: no disk that takes no writing: %v", err)
	}
	t.Setenv("LAMPBLACK_CACHE", filepath.Join(disk, "cache"))
	t.Setenv("XDG_STATE_HOME", filepath.Join(disk, "state"))
	var out, words bytes.Buffer
	c := root()
	c.SetOut(&out)
	c.SetErr(&words)
	c.SetArgs([]string{"run", dir, "--silent", "--outputs", "none", "--for", "200ms"})
	if err := c.ExecuteContext(t.Context()); err != nil {
		t.Errorf("%v\n%s", err, &words)
	}
	if !strings.Contains(out.String(), "ended at") {
		t.Errorf("%s%s", &out, &words)
	}
}
