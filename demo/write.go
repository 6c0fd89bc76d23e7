package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"lampblack/folder"
	"lampblack/source"
)

//go:embed show start small made evening walk dance
var files embed.FS

// startSound is the soundtrack of a new show.
const startSound = "clicks.wav"

// ErrOccupied is what Write and New return for a folder that holds anything
// but what they would write.
var ErrOccupied = errors.New("the folder holds other things")

// Write writes the demo into dir, which is created when it is not there: all of it
// or nothing. A folder that holds anything else, or a file of the demo that was
// changed, is refused with ErrOccupied; files that are there already and right are
// left alone. Progress, when not nil, is called now and then with the share done.
func (d Demo) Write(ctx context.Context, dir string, progress func(done float64)) error {
	texts, err := texts(d.texts...)
	if err != nil {
		return err
	}
	sounds := map[string]making{}
	for i, r := range d.sounds {
		sounds[r.file] = func(name string) func(io.Writer) error {
			if hashOf(ctx, name) == r.hash {
				return nil
			}
			return func(w io.Writer) error { return Synthesise(w, r.plan(), part(progress, i, len(d.sounds))) }
		}
	}
	return write(ctx, dir, texts, sounds)
}

// part is the progress of one of several things that take alike long; nil of nil.
func part(progress func(float64), i, of int) func(float64) {
	if progress == nil {
		return nil
	}
	return func(done float64) { progress((float64(i) + done) / float64(of)) }
}

// New writes a small show to begin with into dir: two kinds of lamp, three
// units, a room, two looks, three cues and a click track, each explained by
// comments. Without a title it is named after the folder.
func New(ctx context.Context, dir, title string) error {
	texts, err := texts("start")
	if err != nil {
		return err
	}
	if title == "" {
		if title = filepath.Base(filepath.Clean(dir)); title == "." || title == string(filepath.Separator) {
			title = "A new show"
		}
	}
	bill := texts["show.yaml"]
	// A title may hold anything that a folder's name may: quoted, it is one value.
	texts["show.yaml"] = bytes.Replace(bill, []byte("TITLE"), []byte(strconv.Quote(title)), 1)
	return write(ctx, dir, texts, map[string]making{startSound: func(string) func(io.Writer) error {
		return func(w io.Writer) error { return Synthesise(w, clicks(), nil) }
	}})
}

// NewSmall writes the smallest show into dir: five units of a built-in type, and four
// looks that wait for go.
func NewSmall(ctx context.Context, dir string) error {
	texts, err := texts("small")
	if err != nil {
		return err
	}
	return write(ctx, dir, texts, nil)
}

// NewOf writes a show of texts that were made elsewhere into dir, as New does, with two looks that wait for
// go.
func NewOf(ctx context.Context, dir string, made map[string][]byte) error {
	texts, err := texts("made")
	if err != nil {
		return err
	}
	maps.Copy(texts, made)
	return write(ctx, dir, texts, nil)
}

// making gives what makes a sound, or nil when the file of the name is there and right.
type making func(name string) func(io.Writer) error

// write writes the texts and the sounds, by their names, as one edit.
func write(ctx context.Context, dir string, texts map[string][]byte, sounds map[string]making) error {
	f, err := folder.Create(ctx, dir)
	if err != nil {
		return fmt.Errorf("write into %s: %w", dir, err)
	}
	defer f.Close()
	if err := claim(f, texts, sounds); err != nil {
		return err
	}
	e := f.Edit()
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		if is, err := f.Optional(name); err != nil || !bytes.Equal(is, texts[name]) {
			e.Put(name, texts[name])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(sounds)) {
		if make := sounds[name](filepath.Join(dir, name)); make != nil {
			e.Stream(name, make)
		}
	}
	return e.Commit()
}

// texts returns embedded text files by the names that they get: those without their
// first folder. A root is one of the embedded folders, or something in it.
func texts(roots ...string) (map[string][]byte, error) {
	out := map[string][]byte{}
	for _, root := range roots {
		err := fs.WalkDir(files, root, func(name string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			data, err := files.ReadFile(name)
			_, short, _ := strings.Cut(name, "/")
			out[short] = data
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// claim looks whether dir may be written to. Names that begin with a dot are
// not looked at.
func claim(f *folder.Folder, texts map[string][]byte, sounds map[string]making) error {
	dir := f.Dir()
	known := map[string]bool{}
	for name := range sounds {
		known[name] = true
	}
	for name := range texts {
		for ; name != "."; name = path.Dir(name) {
			known[name] = true
		}
	}
	var strange []string
	err := filepath.WalkDir(dir, func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil || name == dir:
			return err
		case strings.HasPrefix(entry.Name(), "."):
			return skip(entry)
		}
		short, err := filepath.Rel(dir, name)
		short = filepath.ToSlash(short)
		if !known[short] {
			strange = append(strange, short)
			return skip(entry)
		}
		if want, text := texts[short]; text && err == nil {
			if got, err := f.ReadFile(short); err != nil || !bytes.Equal(got, want) {
				strange = append(strange, short+" (changed)")
			}
		}
		return err
	})
	if err != nil {
		return fmt.Errorf("write into %s: %w", dir, err)
	}
	if len(strange) > 0 {
		slices.Sort(strange)
		return fmt.Errorf("write into %s: %w: %s", dir, ErrOccupied, source.First(strange, 5))
	}
	return nil
}

// skip passes over an entry, and over all that a folder holds.
func skip(entry fs.DirEntry) error {
	if entry.IsDir() {
		return fs.SkipDir
	}
	return nil
}

// hashOf returns the SHA-256 of a file, or "" when it cannot be read.
func hashOf(ctx context.Context, name string) string {
	f, err := folder.OpenFile(ctx, name, folder.MaxSound)
	if err != nil {
		return ""
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return ""
	}
	return hex.EncodeToString(h.Sum(nil))
}
