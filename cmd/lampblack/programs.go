package main

import (
	"context"
	"debug/buildinfo"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lampblack/bundle"
	"lampblack/folder"
)

const (
	// mostProgram bounds a program that goes along.
	mostProgram = 512 << 20
	// ownPath is what a build of this command is called by its compiler.
	ownPath = "lampblack/cmd/lampblack"
)

// systems are those that a borrowed machine may have, by the names of Go.
var systems = map[string]string{"linux": "Linux", "darwin": "macOS", "windows": "Windows"}

// gather finds the programs that go along. What a file is, it says itself: Go writes into
// each program what it was built from and for.
func (f packFlags) gather(ctx context.Context, words io.Writer) ([]bundle.Source, error) {
	var out []bundle.Source
	add := func(path string) error {
		name, err := platform(ctx, path)
		if name == "" || err != nil {
			return err
		}
		if !slices.ContainsFunc(out, func(s bundle.Source) bool { return s.Name == name }) {
			out = append(out, bundle.Source{Name: name, Open: func() (io.ReadCloser, error) { return folder.OpenFile(ctx, path, mostProgram) }})
		}
		return nil
	}
	if f.programs != "" {
		err := filepath.WalkDir(f.programs, func(path string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() {
				return err
			}
			return add(path)
		})
		if err != nil {
			return nil, fmt.Errorf("gather programs: %w", err)
		}
	}
	if f.own || f.programs != "" {
		path, err := os.Executable()
		if err == nil {
			err = add(path)
		}
		if err != nil {
			return nil, fmt.Errorf("gather programs: %w", err)
		}
		if len(out) == 0 {
			say(words, "warning", "this program does not go along: it does not say for which system it was built")
		}
	}
	if f.programs != "" {
		missing(words, out, f.programs)
	}
	slices.SortFunc(out, func(a, b bundle.Source) int { return strings.Compare(a.Name, b.Name) })
	return out, ctx.Err()
}

// missing says for which systems nothing was found.
func missing(words io.Writer, found []bundle.Source, where string) {
	for _, system := range slices.Sorted(maps.Keys(systems)) {
		if !slices.ContainsFunc(found, func(s bundle.Source) bool { return strings.HasPrefix(s.Name, system+"-") }) {
			say(words, "warning", "no program for "+systems[system]+" goes along: there is none in "+where)
			say(words, "hint", "unpack the archives of a release into one folder, and name that")
		}
	}
}

// platform is the name of a program in a bundle, as linux-amd64/lampblack; "" for a file
// that is no Lampblack.
func platform(ctx context.Context, path string) (string, error) {
	file, err := folder.OpenFile(ctx, path, mostProgram)
	if err != nil {
		return "", err
	}
	defer file.Close()
	info, err := buildinfo.Read(file)
	if err != nil || info.Path != ownPath {
		return "", nil
	}
	system, processor := "", ""
	for _, s := range info.Settings {
		switch s.Key {
		case "GOOS":
			system = s.Value
		case "GOARCH":
			processor = s.Value
		}
	}
	if systems[system] == "" || processor == "" {
		return "", nil
	}
	name := "lampblack"
	if system == "windows" {
		name += ".exe"
	}
	return system + "-" + processor + "/" + name, nil
}
