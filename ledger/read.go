package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"lampblack/folder"
)

// Dir is where the edits of a folder are kept.
const Dir = ".lampblack-edits"

const (
	form   = 1
	ending = ".jsonl"
	// mostTexts bounds the texts of a folder that are kept, and mostFiles how many they are.
	mostTexts = 3 << 20
	mostFiles = 1000
)

// partSize is how large a file of edits may get beyond the texts at its beginning. Tests make it
// smaller.
var partSize = 64 << 10

// head is the first line of a file of edits.
type head struct {
	Form  int   `json:"form"`
	Texts state `json:"texts"` // before its first edit
	After after `json:"after"`
}

// part is one file of edits, read.
type part struct {
	first   int // the number of its first edit
	head    head
	entries []Entry
	size    int
}

func partName(first int) string { return path.Join(Dir, fmt.Sprintf("%09d%s", first, ending)) }

// read reads a file of edits. One that was damaged tells all that lies before the damage.
func readPart(first int, data []byte) (*part, error) {
	p := &part{first: first, size: len(data)}
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&p.head); err != nil || p.head.Form != form {
		return nil, fmt.Errorf("%s is damaged, or of another version of the program", partName(first))
	}
	for d.More() {
		var e Entry
		if err := d.Decode(&e); err != nil || e.Number < first || len(p.entries) > 0 && e.Number <= p.last() {
			return p, fmt.Errorf("%s is damaged behind its entry %d", partName(first), len(p.entries))
		}
		p.entries = append(p.entries, e)
	}
	return p, nil
}

// last is the number of the last edit, or the one before the first where there is none.
func (p *part) last() int {
	if len(p.entries) == 0 {
		return p.first - 1
	}
	return p.entries[len(p.entries)-1].Number
}

// after is what can be undone and redone behind all of it.
func (p *part) after() after {
	if len(p.entries) == 0 {
		return p.head.After
	}
	return p.entries[len(p.entries)-1].After
}

// texts are the texts behind all of it.
func (p *part) texts() (state, error) {
	s := state{}
	for name, text := range p.head.Texts {
		s[name] = text
	}
	for i := range p.entries {
		if err := s.make(p.entries[i].Files); err != nil {
			return nil, fmt.Errorf("%s: entry %d: %w", partName(p.first), p.entries[i].Number, err)
		}
	}
	return s, nil
}

// parts are the numbers of the first edits of all files, in order.
func parts(f *folder.Folder) ([]int, error) {
	entries, err := f.ReadDir(Dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []int
	for _, e := range entries {
		if n, err := strconv.Atoi(strings.TrimSuffix(e.Name(), ending)); err == nil && n > 0 && e.Name() == path.Base(partName(n)) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out, err
}

// deepest is how many folders below the folder edits are kept of.
const deepest = 3

// kept reads the texts of a folder that edits are kept of: see [Keeps].
func kept(f *folder.Folder) (state, error) {
	s, size := state{}, 0
	names, err := textsIn(f, ".")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		data, err := f.ReadFile(name)
		switch {
		case errors.Is(err, fs.ErrNotExist), errors.Is(err, folder.ErrPlain), errors.Is(err, folder.ErrFolder):
			continue
		case err != nil:
			return nil, err
		}
		if size += len(data); size > mostTexts || len(s) == mostFiles {
			return nil, fmt.Errorf("the texts of %s are more than %d MiB or %d files: such are changed with an editor alone", f.Dir(), mostTexts>>20, mostFiles)
		}
		s[name] = append([]byte{}, data...)
	}
	return s, nil
}

// textsIn lists the texts in a folder and below.
func textsIn(f *folder.Folder, dir string) (out []string, err error) {
	entries, err := f.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		name := path.Join(dir, e.Name())
		switch {
		case e.IsDir() && strings.Count(name, "/") < deepest:
			below, err := textsIn(f, name)
			if err == nil { // else nothing of it can be read, and nothing of it is changed
				out = append(out, below...)
			}
		case !e.IsDir() && Keeps(name):
			out = append(out, name)
		}
	}
	return out, nil
}

// ofTheNight are texts that a run writes for itself.
var ofTheNight = []string{"tonight.yaml", "focus.yaml"}

// Keeps tells whether edits of a file are kept: of the YAML texts of a folder and of folders in
// it, but for those that a run writes for itself, and those that a name with a dot hides.
func Keeps(name string) bool {
	hidden := strings.HasPrefix(name, ".") || strings.Contains(name, "/.")
	return path.Ext(name) == ".yaml" && fs.ValidPath(name) && strings.Count(name, "/") <= deepest && !hidden && !slices.Contains(ofTheNight, name)
}
