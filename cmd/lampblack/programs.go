package main

import (
	"bytes"
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
		s, err := program(ctx, path)
		if err == nil && s.Name != "" && !slices.ContainsFunc(out, func(o bundle.Source) bool { return o.Name == s.Name }) {
			out = append(out, s)
		}
		return err
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
			say(words, "hint", "put the archives of a release into one folder, and name that")
		}
	}
}

// program is the Lampblack in a file, or in an archive of a release; one without a name is
// none.
func program(ctx context.Context, path string) (bundle.Source, error) {
	file, err := folder.OpenFile(ctx, path, mostProgram)
	if err != nil {
		return bundle.Source{}, err
	}
	defer file.Close()
	if name := platform(file); name != "" {
		return bundle.Source{Name: name, Open: func() (io.ReadCloser, error) { return folder.OpenFile(ctx, path, mostProgram) }}, nil
	}
	data, err := programIn(ctx, path)
	if data == nil || err != nil {
		return bundle.Source{}, err
	}
	return bundle.Text(platform(bytes.NewReader(data)), data), nil
}

// platform is the name of a program in a bundle, as linux-amd64/lampblack; "" for what is
// no Lampblack.
func platform(file io.ReaderAt) string {
	info, err := buildinfo.Read(file)
	if err != nil || info.Path != ownPath {
		return ""
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
		return ""
	}
	name := "lampblack"
	if system == "windows" {
		name += ".exe"
	}
	return system + "-" + processor + "/" + name
}
