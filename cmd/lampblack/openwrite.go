package main

import (
	"context"
	"io"
	"io/fs"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/editing"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

// writes has the book's show open for changing by its pages, and by whatever else writes into its
// folder. Pages of one that is not to be written into only show.
func (b *book) writes(ctx context.Context, words io.Writer, l *loaded, found []finding.Finding) {
	b.tracks = &tracks{}
	o := editing.Options{
		Dir: l.folder.Dir(),
		Solve: func(ctx context.Context, over map[string][]byte, from *editing.Solved, quick bool) (*editing.Solved, error) {
			return b.solveOver(ctx, l.folder.Dir(), over, from, quick)
		},
		Changed: func(s *editing.Solved, found []finding.Finding, stale bool) {
			b.playable(l.folder.Dir(), s.Sound)
			b.server.Renew(s.Shown, found, stale)
		},
		Faulty: func(faults source.Faults) { sayFaulty(words, faults) },
		Told:   func(err error) { say(words, "warning", "the show changed and does not load: "+err.Error()) },
	}
	now := &editing.Solved{Files: l.files, Base: l.base, Shown: l.show, Turns: l.turns(), Sound: l.soundOf(b.piece()), Faults: l.faults}
	b.work = editing.New(o, now, found)
	b.playable(o.Dir, now.Sound)
	b.server.Pieces(&bookPieces{b, ctx})
	if !b.steered && l.packed == nil {
		b.nightly = &nightly{dir: o.Dir, words: words}
		b.server.Runs(b.nightly)
	}
	if l.packed != nil {
		return
	}
	if _, err := ledger.Note(ctx, o.Dir, ledger.Outside, ""); err != nil {
		say(words, "note", "the pages only show, and change nothing: "+err.Error())
		return
	}
	b.server.Writes(b.work)
}

// pieceSound is the sound of the book's piece.
type pieceSound struct {
	dir, name string
}

// Open opens it.
func (p pieceSound) Open(ctx context.Context) (io.ReadSeekCloser, string, error) {
	f, err := folder.Open(ctx, p.dir)
	if err != nil {
		return nil, "", err
	}
	defer f.Close() // what was opened in it stays open
	sound, err := f.OpenFile(p.name)
	if err != nil {
		return nil, "", err
	}
	return sound, p.name, nil
}

// playable lets the pages play a sound of the folder; "" is none.
func (b *book) playable(dir, sound string) {
	if sound == "" {
		b.server.Hears(nil)
		return
	}
	b.server.Hears(pieceSound{dir, sound})
}

// soundOf is the sound of a piece that has one of its own, "" for one that has none.
func (l *loaded) soundOf(piece string) string {
	if of, err := l.filesOf(piece); err == nil && piece != allPieces {
		return of.sound.Name
	}
	return ""
}

// sayFaulty tells of texts that do not make a show, as somebody has written them.
func sayFaulty(words io.Writer, faults source.Faults) {
	say(words, "warning", "the show changed and has faults; the book shows it as it was")
	for _, f := range finding.FromFaults(faults) {
		say(words, "fault", f.Place+": "+f.Text)
	}
}

// solveOver reads a folder with texts laid over it, and works the show out from what it was.
func (b *book) solveOver(ctx context.Context, dir string, over map[string][]byte, from *editing.Solved, quick bool) (*editing.Solved, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	next := &loaded{folder: f, from: from.Base, tracks: b.tracks}
	defer next.close()
	var texts fs.FS = f
	if len(over) > 0 {
		texts = &folder.Laid{FS: f, Texts: over}
	}
	files, faults := show.Read(texts)
	files.Out = from.Files.Out
	next.files = files
	out := &editing.Solved{Files: files, Faults: faults}
	if faults.Err() != nil || quick && (from.Base == nil || !from.Base.SameLight(files)) {
		return out, ctx.Err()
	}
	if _, err := next.solve(ctx, io.Discard, reading{out: files.Out}, faults); err != nil {
		return nil, err
	}
	out.Files, out.Faults = next.files, next.faults
	if next.show == nil {
		return out, nil
	}
	out.Base = next.base
	if err := next.pick(b.piece()); err != nil {
		var gone source.Faults
		gone.Add(source.Pos{File: show.OrderFile}, "", "%v", err)
		out.Base, out.Faults = nil, gone
		return out, nil
	}
	out.Shown, out.Turns, out.Sound = next.show, next.turns(), next.soundOf(b.piece())
	out.Check = func(ctx context.Context) ([]finding.Finding, error) { return next.checkAgain(ctx, dir) }
	return out, nil
}

// checkAgain checks a show whose folder was closed since.
func (l *loaded) checkAgain(ctx context.Context, dir string) (found []finding.Finding, err error) {
	if l.folder, err = folder.Open(ctx, dir); err != nil {
		return nil, err
	}
	defer l.close()
	if l.evening != nil || l.place != nil || l.picked {
		return l.ofPiece(ctx)
	}
	return l.check(ctx)
}

// watchFolder has the pages show what other programs write into the show's folder.
func (b *book) watchFolder(ctx context.Context, words io.Writer, dir string) {
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
		names := changedFiles(seen, now)
		if names == nil {
			continue
		}
		seen = now
		sounds := slices.ContainsFunc(names, func(name string) bool { return !ledger.Keeps(name) })
		if err := b.work.Foreign(ctx, sounds); err != nil && ctx.Err() == nil {
			say(words, "warning", "the show changed and does not load: "+err.Error())
		}
	}
}
