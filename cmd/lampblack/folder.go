package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"lampblack/check"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

// loaded is a show as a command needs it: solved where its files allow, and
// checked.
type loaded struct {
	dir      string
	files    show.Files
	show     *show.Show // nil when the files do not read
	findings []check.Finding
}

// read reads the folder's files alone.
func read(dir string) (show.Files, source.Faults, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return show.Files{}, nil, hinted{fmt.Errorf("read show: %w", err), "`lampblack new DIR` writes a small show"}
	}
	if !info.IsDir() {
		return show.Files{}, nil, hinted{fmt.Errorf("read show: %s is a file", dir), "a show is a folder; name the folder that holds show.yaml"}
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		return show.Files{}, nil, fmt.Errorf("read show: %w", err)
	}
	defer folder.Close()
	f, faults := show.Read(folder.FS())
	return f, faults, nil
}

// load reads, listens, solves and checks. What is wrong with the show is in
// findings; the error is for what could not be done at all.
func load(ctx context.Context, words io.Writer, dir string) (*loaded, error) {
	f, faults, err := read(dir)
	if err != nil {
		return nil, err
	}
	l := &loaded{dir: dir, files: f}
	if faults.Err() != nil {
		l.findings = check.FromFaults(faults)
		return l, nil
	}
	track, err := l.listen(ctx, words)
	if err != nil {
		var lost source.Faults
		if !errors.As(err, &lost) {
			return nil, err
		}
		l.findings = check.FromFaults(append(faults, lost...))
		return l, nil
	}
	s, more := show.New(ctx, f, track)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	faults = append(faults, more...)
	if more.Err() != nil {
		l.findings = check.FromFaults(faults)
		return l, nil
	}
	l.show = s
	found, err := check.Run(ctx, s, check.Options{})
	if err != nil {
		return nil, fmt.Errorf("check show: %w", err)
	}
	l.findings = append(check.FromFaults(faults), found...)
	return l, nil
}

// listen hears the show's soundtrack, or takes what was heard before.
func (l *loaded) listen(ctx context.Context, words io.Writer) (*soundtrack.Track, error) {
	path, err := l.soundtrack()
	if err != nil {
		return nil, err
	}
	bar := newProgress(words, "listening to "+l.files.Bill.Soundtrack.Name)
	defer bar.done()
	t, err := soundtrack.Listen(ctx, path, cacheDir(), soundtrack.Options{Progress: bar.set})
	if err != nil && ctx.Err() == nil {
		var faults source.Faults
		faults.Add(l.files.Bill.Soundtrack.Pos, "", "the soundtrack cannot be heard: %v", err)
		return nil, faults
	}
	return t, err
}

// soundtrack returns the path of the soundtrack, which lies inside the folder
// even by way of links.
func (l *loaded) soundtrack() (string, error) {
	ref := l.files.Bill.Soundtrack
	var faults source.Faults
	folder, err := os.OpenRoot(l.dir)
	if err != nil {
		return "", fmt.Errorf("read show: %w", err)
	}
	defer folder.Close()
	info, err := folder.Stat(ref.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		faults.Add(ref.Pos, "copy it into the show's folder", "there is no soundtrack %q", ref.Name)
	case err != nil:
		faults.Add(ref.Pos, "", "the soundtrack %q cannot be read: %v", ref.Name, err)
	case !info.Mode().IsRegular():
		faults.Add(ref.Pos, "", "the soundtrack %q is not a file", ref.Name)
	default:
		return filepath.Join(l.dir, filepath.FromSlash(ref.Name)), nil
	}
	return "", faults
}

// usable returns the show, or errStops after printing why there is none.
func (l *loaded) usable(words io.Writer) (*show.Show, error) {
	if l.show == nil {
		check.WriteText(words, l.findings, width(words), colours(words))
		return nil, errStops
	}
	return l.show, nil
}

// solved loads a show whose files read; otherwise it prints why they do not.
func solved(c *cobra.Command, dir string) (*loaded, *show.Show, error) {
	l, err := load(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return nil, nil, err
	}
	s, err := l.usable(c.ErrOrStderr())
	return l, s, err
}

// cacheDir is where listening keeps what it heard; "" for nowhere.
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
