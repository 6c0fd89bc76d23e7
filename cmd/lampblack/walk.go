package main

import (
	"io/fs"
	"os"
	"strings"
	"time"
)

// eachFile calls f for the files of a show's folder, by their paths in it. What begins with a
// point is left out, as editors and other programs keep their own there, and so are the
// nights, which a run writes.
func eachFile(dir string, f func(path string, d fs.DirEntry)) {
	_ = fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		switch {
		case d == nil:
		case d.IsDir() && path != "." && (strings.HasPrefix(d.Name(), ".") || path == nightsDir):
			return fs.SkipDir
		case err == nil && !d.IsDir() && !strings.HasPrefix(d.Name(), "."):
			f(path, d)
		}
		return nil
	})
}

// stamp tells one writing of a file from another, but for one that keeps time and size.
type stamp struct {
	at   time.Time
	size int64
}

// stampsOf are the files of a show's folder that are to be looked at.
func stampsOf(dir string, which func(path string) bool) map[string]stamp {
	out := map[string]stamp{}
	eachFile(dir, func(path string, d fs.DirEntry) {
		if !which(path) {
			return
		}
		if info, err := d.Info(); err == nil {
			out[path] = stamp{info.ModTime(), info.Size()}
		}
	})
	return out
}

// lookEvery is how often files are looked at: a folder of a dozen small ones costs nothing to
// look at, on any system.
const lookEvery = 500 * time.Millisecond
