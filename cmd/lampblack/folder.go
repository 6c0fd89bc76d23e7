package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"lampblack/bundle"
	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

// loaded is a show as a command needs it: solved where its files allow, and checked.
// Whoever loads closes it; show and findings stay good after that.
type loaded struct {
	folder   *folder.Folder // as it was read; edits of it are made by this
	files    show.Files
	texts    map[string][]byte // that were read
	show     *show.Show        // nil when the files do not read
	evening  *show.Evening     // nil for a show of one piece
	place    *show.Place       // nil for a place that is one
	picked   bool              // show is that of another piece than the folder's own
	of       pieceFiles        // of the piece that is edited
	findings []finding.Finding
	heard    *soundtrack.Track // by retime, for bars
	packed   *bundle.Label     // as the bundle says that the show was read from; nil for a folder
	how      reading
	faults   source.Faults // as findings has them, when it was solved
	base     *show.Show    // of the folder itself, whichever piece is picked
	from     *show.Show    // as it was before the texts changed; nil for a show that is solved for the first time
	tracks   *tracks       // that were heard before; nil for none
}

// read reads the folder's files alone. While somebody else writes, it reads again, so
// that what it returns is one state. It goes on for as long as files change between two
// of its reads, or until ctx ends.
func read(ctx context.Context, words io.Writer, dir string) (*loaded, source.Faults, error) {
	for {
		f, err := folder.Open(ctx, dir)
		var packed *bundle.Label
		if errors.Is(err, folder.ErrFile) {
			var faults source.Faults
			if f, packed, faults, err = openPacked(ctx, words, dir); faults != nil {
				return nil, faults, nil
			}
		}
		switch {
		case errors.Is(err, bundle.ErrNone):
			return nil, nil, hinted{fmt.Errorf("read show: %s: %w", dir, err), "a show is a folder, which holds show.yaml, or a file that `lampblack pack` wrote"}
		case errors.Is(err, fs.ErrNotExist):
			return nil, nil, hinted{fmt.Errorf("read show: %w", err), "`lampblack new --small DIR` writes the smallest show, `lampblack new DIR` a fuller one"}
		case err != nil:
			return nil, nil, fmt.Errorf("read show: %w", err)
		}
		texts := &textRecorder{FS: pinnedTo(ctx, f), texts: map[string][]byte{}}
		files, faults := show.Read(texts)
		err = f.Unchanged()
		if err == nil && ctx.Err() == nil {
			for _, name := range f.Left() {
				say(words, "note", "an edit was cut off before it was whole, and a file was changed since: what the edit wanted to write is in "+name)
			}
			return &loaded{folder: f, files: files, texts: texts.texts, packed: packed}, faults, nil
		}
		f.Close()
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if !errors.Is(err, folder.ErrChanged) {
			return nil, nil, fmt.Errorf("read show: %w", err)
		}
	}
}

// close lets go of the folder.
func (l *loaded) close() {
	if l.folder != nil {
		_ = l.folder.Close()
	}
}

// readWell reads a show whose files have no fault; with one it returns the folder too,
// open, for whoever edits it in spite of that.
func readWell(c *cobra.Command, dir string) (*loaded, error) {
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err == nil {
		err = faults.Err()
	}
	return l, err
}

// load reads, listens, solves and checks. What is wrong with the show is in findings;
// the error is for what could not be done at all.
//
// Each step needs the last: files that do not read are not solved, a show whose sound
// cannot be heard is not solved, and a show with faults is not checked. So findings
// hold the faults of the first step that had any, or faults too mild to matter and what
// the checks found.
func load(ctx context.Context, words io.Writer, dir string) (*loaded, error) {
	return loadAs(ctx, words, dir, reading{})
}

func loadAs(ctx context.Context, words io.Writer, dir string, how reading) (*loaded, error) {
	wait := newWait(words, "opening "+dir)
	defer wait.done()
	l, err := solve(ctx, words, dir, how)
	if err != nil || l.show == nil {
		return l, err
	}
	wait.now("checking " + dir)
	found, err := l.check(ctx)
	if err != nil {
		return nil, fmt.Errorf("check show: %w", err)
	}
	l.findings = append(l.findings, found...)
	return l, nil
}

// solve is load without the checks.
func solve(ctx context.Context, words io.Writer, dir string, how reading) (*loaded, error) {
	l, faults, err := read(ctx, words, dir)
	if err != nil {
		return nil, err
	}
	if l == nil { // a bundle that is not opened
		return nil, faults
	}
	return l.solve(ctx, words, how, faults)
}

// solve listens and solves what was read, with the faults of its texts.
func (l *loaded) solve(ctx context.Context, words io.Writer, how reading, faults source.Faults) (*loaded, error) {
	l.files.Out, l.files.Kept, l.how = how.out, cacheDir(), how
	if how.night {
		faults = l.without(words, faults)
	}
	if faults.Err() != nil {
		return l.told(faults), nil
	}
	if l.files.Calendar != nil {
		faults = append(faults, l.files.Calendar.Ahead(time.Now())...)
	}
	track, err := l.listen(ctx, words, l.files.Bill.Soundtrack)
	if err != nil {
		var lost source.Faults
		if !errors.As(err, &lost) {
			return nil, err
		}
		return l.told(append(faults, lost...)), nil
	}
	s, more := l.lit(ctx, track)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	faults = append(faults, more...)
	if more.Err() == nil && (l.files.Order != nil || l.files.Zones != nil) {
		if more, err = l.gather(ctx, words, s); err != nil {
			return nil, err
		}
		faults = append(faults, more...)
	}
	l.told(faults)
	if more.Err() == nil {
		l.show, l.base = s, s
		l.sameAsPacked(words)
	}
	return l, nil
}

// told has faults among the findings.
func (l *loaded) told(faults source.Faults) *loaded {
	l.faults, l.findings = faults, finding.FromFaults(faults)
	return l
}

// lit is the show of the files, from what it was before where it was.
func (l *loaded) lit(ctx context.Context, track *soundtrack.Track) (*show.Show, source.Faults) {
	if l.from != nil {
		return l.from.Again(ctx, l.files, track)
	}
	return show.New(ctx, l.files, track)
}

// stage is the place that a run goes through: that of the zones, or one of the evening or of
// the show.
func (l *loaded) stage() *show.Place {
	if l.place != nil {
		return l.place
	}
	return l.show.Alone(l.evening)
}

// check checks how loud the sound comes to be, and the evening, or the show where that is all
// there is.
func (l *loaded) check(ctx context.Context) ([]finding.Finding, error) {
	loud, err := l.overloads(ctx)
	if err != nil {
		return nil, err
	}
	found, err := l.checkLight(ctx)
	return append(finding.FromFaults(loud), found...), err
}

func (l *loaded) checkLight(ctx context.Context) ([]finding.Finding, error) {
	switch {
	case l.place != nil:
		return check.Place(ctx, l.place, check.Options{Hours: l.files.Calendar, Triggers: l.files.Triggers, Today: time.Now()})
	case l.evening != nil:
		return check.Evening(ctx, l.evening, check.Options{Triggers: l.files.Triggers, Today: time.Now()})
	}
	return check.Run(ctx, l.show, check.Options{Triggers: l.files.Triggers, Today: time.Now()})
}

// ofPiece returns the findings of the piece that is looked at, with times on its own line, for
// the book, which shows that piece alone.
func (l *loaded) ofPiece(ctx context.Context) ([]finding.Finding, error) {
	if l.evening == nil && l.place == nil && !l.picked {
		return l.findings, nil
	}
	found, err := check.Run(ctx, l.show, check.Options{})
	if err != nil {
		return nil, fmt.Errorf("check show: %w", err)
	}
	return found, nil
}

// gather hears the soundtracks of other pieces than the folder's own, and makes the
// evening, or the place.
func (l *loaded) gather(ctx context.Context, words io.Writer, s *show.Show) (source.Faults, error) {
	tracks := map[string]*soundtrack.Track{}
	var faults source.Faults
	for _, o := range l.files.Orders() {
		for i := range o.Steps {
			ref := o.Steps[i].Soundtrack
			if ref.Name == "" || tracks[ref.Name] != nil {
				continue
			}
			t, err := l.listen(ctx, words, ref)
			var lost source.Faults
			switch {
			case errors.As(err, &lost):
				faults = append(faults, lost...)
			case err != nil:
				return nil, err
			default:
				tracks[ref.Name] = t
			}
		}
	}
	if faults.Err() != nil {
		return faults, nil
	}
	var more source.Faults
	if l.files.Zones != nil {
		l.place, more = s.Place(l.files.Zones, tracks)
	} else {
		l.evening, more = s.Evening(l.files.Order, tracks)
	}
	return append(faults, more...), nil
}

// listen hears a soundtrack, or takes what was heard before; of no soundtrack it hears nothing.
func (l *loaded) listen(ctx context.Context, words io.Writer, ref source.Ref) (*soundtrack.Track, error) {
	if ref.Name == "" {
		return nil, nil // an evening whose folder has no piece of its own, or one without sound
	}
	path, err := l.sound(ref)
	if err != nil {
		return l.lost(ctx, words, ref, err)
	}
	if t := l.tracks.of(path); t != nil {
		return t, nil
	}
	bar := newProgress(words, "listening to "+ref.Name)
	defer bar.done()
	t, err := soundtrack.Listen(ctx, path, cacheDir(), soundtrack.Options{Progress: bar.set, Brought: filepath.Join(l.folder.Dir(), bundle.HeardDir)})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		var faults source.Faults
		faults.Add(ref.Pos, "", "the soundtrack cannot be heard: %v", err)
		return l.lost(ctx, words, ref, faults)
	}
	l.tracks.keep(path, t)
	return t, err
}

// sounds returns an error where the piece that is edited has no soundtrack.
func (l *loaded) sounds() error {
	switch {
	case l.of.sound.Name != "":
		return nil
	case l.of.other != nil:
		return hinted{errors.New("this piece has no soundtrack"), "name one in " + l.of.other.Order + ": soundtrack: NAME"}
	}
	return hinted{errors.New("this folder has no soundtrack of its own"), "name one in " + show.BillFile + ": soundtrack: NAME; --piece names another piece"}
}

// sound returns the path of a soundtrack, which lies inside the folder even by way of
// links. A link that leads out of the folder is refused by package folder.
func (l *loaded) sound(ref source.Ref) (string, error) {
	var faults source.Faults
	path, err := l.folder.Path(ref.Name)
	switch {
	case err == nil:
		return path, nil
	case errors.Is(err, fs.ErrNotExist):
		faults.Add(ref.Pos, "copy it into the show's folder", "there is no soundtrack %q", ref.Name)
	case errors.Is(err, folder.ErrPlain) || errors.Is(err, folder.ErrFolder):
		faults.Add(ref.Pos, "", "the soundtrack %q is not a file", ref.Name)
	default:
		faults.Add(ref.Pos, "", "the soundtrack %q cannot be read: %v", ref.Name, err)
	}
	return "", faults
}

// usable returns the show, or errStops after printing why there is none.
func (l *loaded) usable(words io.Writer) (*show.Show, error) {
	if l.show == nil {
		writeFound(words, l.findings)
		return nil, errStops
	}
	return l.show, nil
}

// whole loads a show whose files read, and its evening; otherwise it prints why they do
// not.
func whole(c *cobra.Command, dir string) (*loaded, *show.Show, error) {
	return wholeAs(c, dir, reading{})
}

func wholeAs(c *cobra.Command, dir string, how reading) (*loaded, *show.Show, error) {
	l, err := loadAs(c.Context(), c.ErrOrStderr(), dir, how)
	if err != nil {
		return nil, nil, err
	}
	s, err := l.usable(c.ErrOrStderr())
	return l, s, err
}

// solved is whole for what looks at one piece: that which --piece names, or the folder's own,
// or the first of a folder that has none. It says so where there are others.
func solved(c *cobra.Command, dir string) (*loaded, *show.Show, error) {
	return solvedAs(c, dir, reading{})
}

func solvedAs(c *cobra.Command, dir string, how reading) (*loaded, *show.Show, error) {
	l, s, err := wholeAs(c, dir, how)
	if err != nil {
		return l, s, err
	}
	if name := pieceNamed(c); name != "" {
		err := l.pick(name)
		return l, l.show, err
	}
	file := show.OrderFile
	switch {
	case l.files.Order.Implied():
		_ = c.Flags().Set("piece", allPieces) // for what asks later which it is
		err := l.pick(allPieces)
		return l, l.show, err
	case l.place != nil:
		file = show.ZonesFile
	case l.evening == nil || len(l.evening.Steps) == 1:
		return l, s, nil
	}
	hint := ""
	if c.Flags().Lookup("piece") != nil {
		hint = "; --piece names another, or all"
	}
	if first := l.firstPiece(); first != "" {
		say(c.ErrOrStderr(), "note", file+" has several pieces: this is of "+source.Visible(first)+" alone"+hint)
		if hint != "" {
			_ = c.Flags().Set("piece", first) // for what asks later which it is
		}
		err := l.pick(first)
		return l, l.show, err
	}
	say(c.ErrOrStderr(), "note", file+" has other pieces: this is of the folder's own alone"+hint)
	return l, s, nil
}

// firstPiece is the first piece of a folder whose pieces all have files of their own, as
// --piece names it; "" for a folder with a piece of its own.
func (l *loaded) firstPiece() string {
	if l.files.Score.Cues != nil {
		return ""
	}
	first := func(e *show.Evening, prefix string) string {
		for i := range e.Steps {
			if !e.Steps[i].Stands() {
				return prefix + e.Steps[i].Name()
			}
		}
		return ""
	}
	if l.place == nil {
		return first(l.evening, "")
	}
	for i := range l.place.Zones {
		if name := first(l.place.Zones[i].Evening, l.place.Zones[i].Name+"/"); name != "" {
			return name
		}
	}
	return ""
}

// cacheDir is where listening keeps what it heard; "" for nowhere. LAMPBLACK_CACHE
// names another place; tests use it.
func cacheDir() string {
	if d := os.Getenv("LAMPBLACK_CACHE"); d != "" {
		return d
	}
	d, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(d, "lampblack")
}
