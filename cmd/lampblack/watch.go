package main

import (
	"context"
	"io"
	"maps"
	"time"
)

// watch loads the show again when its files change. Two writes in quick succession make two
// loads, or one. A show with faults leaves the book as it was, and
// tells them on standard error.
func (b *book) watch(ctx context.Context, words io.Writer, dir, piece string) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	all := func(string) bool { return true }
	seen := stampsOf(dir, all)
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now := stampsOf(dir, all)
		if maps.Equal(now, seen) {
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
