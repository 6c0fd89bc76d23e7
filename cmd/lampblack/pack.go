package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"lampblack/bundle"
	"lampblack/check/finding"
	"lampblack/export"
	"lampblack/folder"
	"lampblack/score/retime"
	"lampblack/sheet"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

const packHelp = `Put a whole show into one file, to be taken to a machine that has nothing of it
and no network: all its texts, fixture types, readings and trims, its sounds, and
what listening found in them, so that nothing is listened to again.

The file is a plain zip file that any system opens, with a list of SHA-256 sums
inside (BagIt, RFC 8493) and a text that says what to do with it. The same show
gives the same file. It is named by its title and its contents if FILE is absent.

After writing, it is read back from the disk: every sum is compared, the show is
opened and solved from it alone, and every frame of its light compared. Only then
does the file take its name.

Every command that takes a folder takes such a file as well:

  lampblack pack my-show
  lampblack open my-show-1f0c6a9e2b7d4835.zip --run

With --programs, Lampblack itself goes along, for each system of which there is a
program in that folder, or an archive of a release, and this program for its own
system.`

// packFlags are the options of pack.
type packFlags struct {
	programs string
	own      bool
	all      bool
}

func packCmd() *cobra.Command {
	var f packFlags
	c := &cobra.Command{
		Use:   "pack DIR [FILE]",
		Short: "put a whole show into one file, for another machine",
		Long:  packHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			return pack(c, args, f)
		},
	}
	c.Flags().StringVar(&f.programs, "programs", "", "a folder with Lampblack for other systems, which goes along")
	c.Flags().BoolVar(&f.own, "program", false, "this program goes along, for systems like this one")
	c.Flags().BoolVar(&f.all, "all", false, "all files of the folder go along, also those that the show does not name")
	return c
}

// pack gathers, writes, and reads back.
func pack(c *cobra.Command, args []string, f packFlags) error {
	l, _, err := whole(c, args[0])
	if err != nil {
		return err
	}
	defer l.close()
	words := c.ErrOrStderr()
	contents, err := l.contents(c.Context(), words, f)
	if err != nil {
		return err
	}
	if n := len(finding.Stops(l.findings)); n > 0 {
		say(words, "note", si.Count(n, "finding that stops", "findings that stop")+" a run goes along: `lampblack check` tells")
	}
	if contents.Light, err = l.light(c.Context(), words); err != nil {
		return err
	}
	var name string
	if len(args) == 2 {
		name = args[1]
	} else if name, err = contents.Name(); err != nil {
		return err
	} else {
		name += ".zip"
	}
	err = folder.WriteStream(c.Context(), name, func(w io.Writer) error { return bundle.Write(w, contents) }, func(path string) error {
		b, faults, err := bundle.Open(c.Context(), path)
		if err == nil {
			err = faults.Err()
		}
		if err != nil {
			return fmt.Errorf("read back: %w", err)
		}
		defer b.Close()
		return readBack(c.Context(), words, b, contents.Label)
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.OutOrStdout(), "%s\n", name)
	fmt.Fprintf(words, "packed %s and %s; read back: every sum is right, and the same light comes out\n", si.Count(len(contents.Files), "file", "files"), si.Count(len(contents.Programs), "program", "programs"))
	return nil
}

// contents gathers all that goes along.
func (l *loaded) contents(ctx context.Context, words io.Writer, f packFlags) (bundle.Contents, error) {
	c := bundle.Contents{Label: bundle.Label{Title: l.files.Bill.Title, Version: string(l.show.Version()), Program: "Lampblack " + ownVersion()}}
	names, left, nights, err := l.takenAlong(f.all)
	if err != nil {
		return c, err
	}
	for _, name := range names {
		c.Files = append(c.Files, bundle.Source{Name: name, Open: func() (io.ReadCloser, error) { return l.folder.OpenFile(name) }})
	}
	for _, ref := range l.files.Sounds() {
		heard, err := l.heardIn(ctx, ref)
		if err != nil {
			return c, err
		}
		if !slices.ContainsFunc(c.Files, func(s bundle.Source) bool { return s.Name == heard.Name }) { // one sound under two names
			c.Files = append(c.Files, heard)
		}
	}
	if c.Programs, err = f.gather(ctx, words); err != nil {
		return c, err
	}
	if faults := c.Faults(); faults.Err() != nil {
		return c, faults
	}
	if len(left) > 0 {
		say(words, "note", "not named by the show, and left here: "+source.First(left, 6)+"; --all takes all")
	}
	if nights {
		say(words, "note", "what is written down of the nights here stays here, as it says who asked for what: "+nightsDir)
	}
	return c, nil
}

// takenAlong are the files of the folder that go along: what was read, every other text
// of a show's kind, the sounds, and what is remembered of them; not what is written down of nights, which it tells.
func (l *loaded) takenAlong(all bool) (names, left []string, nights bool, err error) {
	names = l.folder.Texts()
	for _, ref := range append(l.files.Sounds(), l.files.Extras()...) {
		if _, err := l.sound(ref); err != nil {
			return nil, nil, false, err // told before anything is written
		}
		names = append(names, ref.Name)
	}
	err = fs.WalkDir(l.folder, ".", func(name string, d fs.DirEntry, err error) error {
		switch info, e := l.folder.Stat(name); {
		case err != nil:
			return err
		case e != nil || info.IsDir() && name == bundle.HeardDir: // a link that leads out; made anew
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case info.IsDir() && name == nightsDir: // they are the place's own: who asked for what, and when
			nights = true
			return fs.SkipDir
		case !info.Mode().IsRegular() || slices.Contains(names, name):
		case all || path.Ext(name) == ".yaml" || path.Ext(name) == retime.PrintEnding || name == sheet.RecordFile:
			names = append(names, name)
		default:
			left = append(left, name)
		}
		return nil
	})
	slices.Sort(names)
	return slices.Compact(names), left, nights, err
}

// heardIn is what listening found in a sound, as a file that goes along.
func (l *loaded) heardIn(ctx context.Context, ref source.Ref) (bundle.Source, error) {
	file, err := l.sound(ref)
	if err != nil {
		return bundle.Source{}, err
	}
	name, data, err := soundtrack.Take(ctx, file, cacheDir(), soundtrack.Options{Brought: filepath.Join(l.folder.Dir(), bundle.HeardDir)})
	if err != nil {
		return bundle.Source{}, err
	}
	return bundle.Text(path.Join(bundle.HeardDir, name), data), nil
}

// light sums up the frames of the whole show: of each zone, of the evening as it usually
// lasts, or of the one piece.
func (l *loaded) light(ctx context.Context, words io.Writer) ([]bundle.Light, error) {
	var pieces []string
	switch {
	case l.place != nil:
		for i := range l.place.Zones {
			pieces = append(pieces, l.place.Zones[i].Name+"/"+allPieces)
		}
	case l.evening != nil:
		pieces = append(pieces, allPieces)
	default:
		pieces = append(pieces, "")
	}
	bar := newProgress(words, "adding up the light")
	defer bar.done()
	var out []bundle.Light
	for i, name := range pieces {
		s := l.show
		if name != "" {
			var err error
			if s, err = l.piece(name); err != nil {
				return nil, err
			}
		}
		sum, err := export.Sum(ctx, s)
		if err != nil {
			return nil, err
		}
		out = append(out, bundle.Light{Piece: name, Sum: sum})
		bar.set(float64(i+1) / float64(len(pieces)))
	}
	return out, nil
}

// readBack reads a bundle as a machine would that has nothing of the show, and compares.
func readBack(ctx context.Context, words io.Writer, b *bundle.Bundle, want bundle.Label) error {
	bar := newProgress(words, "reading back")
	faults, err := b.Check(bar.set)
	bar.done()
	if err == nil {
		err = faults.Err()
	}
	if err != nil {
		return fmt.Errorf("read back: %w", err)
	}
	got, err := solvedFrom(ctx, words, b)
	if err != nil {
		return fmt.Errorf("read back: %w", err)
	}
	if got.Version != want.Version {
		return fmt.Errorf("read back: the show is another: version %s, and %s before", got.Version, want.Version)
	}
	return sameLight(got.Light, want.Light)
}

// sameLight compares what comes out of two machines, or of two openings.
func sameLight(got, want []bundle.Light) error {
	for i := range want {
		if i >= len(got) || got[i] != want[i] {
			what := "other light comes out than when the show was packed"
			if want[i].Piece != "" {
				what += ", in " + want[i].Piece
			}
			return hinted{errors.New(what), "another version of Lampblack may solve looks otherwise: use the one that packed it"}
		}
	}
	return nil
}

// solvedFrom unpacks a bundle into a folder of its own, solves its show, and sums up its
// light. The folder goes again.
func solvedFrom(ctx context.Context, words io.Writer, b *bundle.Bundle) (bundle.Label, error) {
	var label bundle.Label
	beside := cacheDir()
	if beside != "" && os.MkdirAll(beside, 0o755) != nil {
		beside = "" // then where the system puts such things
	}
	dir, err := os.MkdirTemp(beside, "read-back-*")
	if err != nil {
		return label, err
	}
	defer os.RemoveAll(dir)
	into, err := folder.Open(ctx, dir)
	if err != nil {
		return label, err
	}
	err = b.Unpack(into)
	into.Close()
	if err != nil {
		return label, err
	}
	l, err := solve(ctx, words, dir, reading{})
	if err != nil {
		return label, err
	}
	defer l.close()
	if l.show == nil {
		writeFound(words, l.findings)
		return label, errors.New("the show does not open from it")
	}
	label = bundle.Label{Title: l.files.Bill.Title, Version: string(l.show.Version())}
	label.Light, err = l.light(ctx, words)
	return label, err
}

// sameAsPacked says when the show that came out of a bundle is not the one that went in.
func (l *loaded) sameAsPacked(words io.Writer) {
	if l.packed == nil || l.packed.Version == "" || l.packed.Version == string(l.show.Version()) {
		return
	}
	say(words, "warning", fmt.Sprintf("this program (%s) makes another show of the bundle than %s, which packed it: its light may differ (version %s then, %s now)",
		ownVersion(), source.Visible(l.packed.Program), source.Visible(l.packed.Version), l.show.Version()))
	say(words, "hint", "`lampblack verify` compares every frame; the program that packed it makes the same light")
}
