package source

import (
	"fmt"
	"os"
	"path/filepath"
)

// WriteFile writes a file whole or not at all: into a temporary file beside
// it, forced to the disk, then renamed over it. An existing file keeps its
// permissions.
func WriteFile(name string, data []byte) error {
	mode := os.FileMode(0o644)
	if info, err := os.Stat(name); err == nil {
		if info.IsDir() {
			return fmt.Errorf("write %s: this is a folder", name)
		}
		mode = info.Mode().Perm()
	}
	dir := filepath.Dir(name)
	f, err := os.CreateTemp(dir, "."+filepath.Base(name)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	defer os.Remove(f.Name()) // after the rename there is nothing to remove
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	return syncDir(dir)
}

// syncDir makes a rename survive a loss of power, where the system can.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil
	}
	defer d.Close()
	_ = d.Sync() // some systems cannot sync a folder
	return nil
}
