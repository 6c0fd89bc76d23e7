package main

import (
	"context"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"
)

// watch loads the show again when its files change. It looks twice a second: a folder
// of a dozen small files costs nothing to look at, on any system. Two writes in quick
// succession make two loads, or one. A show with faults leaves the book as it was, and
// tells them on standard error.
func (b *book) watch(ctx context.Context, words io.Writer, dir, piece string) {
	tick := time.NewTicker(500 * time.Millisecond)
	defer tick.Stop()
	seen := stamp(dir)
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now := stamp(dir)
		if now == seen {
			continue
		}
		seen = now
		l, err := load(ctx, words, dir)
		if err == nil {
			l.close()
			if l.show != nil {
				err = l.pick(piece)
			}
		}
		switch {
		case err != nil:
			say(words, "warning", "the show changed and does not load: "+err.Error())
		case l.show == nil:
			say(words, "warning", "the show changed and has faults; the book shows it as it was")
			for _, f := range l.findings {
				say(words, "fault", f.Place+": "+f.Text)
			}
		default:
			if findings, err := l.ofPiece(ctx); err == nil { // else it was stopped
				b.server.Replace(l.show, findings)
			}
		}
	}
}

// stamp changes when a text of the show does, or a sound of its folder. It is sums of times
// and sizes, and misses a change that keeps both. Files whose names begin with a point are left
// out, as editors keep their own there, and so are the nights, which a run writes; other
// folders are looked into.
func stamp(dir string) [2]int64 {
	var s [2]int64
	_ = fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err == nil && d.IsDir() && path == nightsDir:
			return fs.SkipDir
		case err != nil || d.IsDir() || strings.HasPrefix(d.Name(), "."):
			return nil
		}
		if info, err := d.Info(); err == nil {
			s[0] += info.ModTime().UnixNano()
			s[1] += info.Size() + 1
		}
		return nil
	})
	return s
}
