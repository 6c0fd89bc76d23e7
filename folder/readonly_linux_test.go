package folder

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// A folder on read-only media reads, with an edit that was cut off and without,
// and nothing can be written into it.
func TestReadOnlyMedia(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("left out: mounts a small disk, which only root may")
	}
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("left out: no small disk: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	plain, cut := filepath.Join(disk, "plain"), filepath.Join(disk, "cut")
	write(t, plain, before)
	write(t, cut, before)
	killedAfter(t, cut, "rename", "score.yaml")
	if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skip(err)
	}
	for dir, want := range map[string]string{plain: before["score.yaml"], cut: after["score.yaml"]} {
		f, err := Open(t.Context(), dir)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if got, err := f.ReadFile("score.yaml"); string(got) != want || err != nil {
			t.Errorf("%s: read %q, %v", dir, got, err)
		}
		if err := f.Unchanged(); err != nil {
			t.Errorf("%s: %v", dir, err)
		}
		e := f.Edit()
		e.Put("score.yaml", []byte("x"))
		if err := e.Commit(); err == nil {
			t.Errorf("%s was written to", dir)
		}
	}
}
