package ledger

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"time"
)

// Outside is who made an edit that was found and not made here.
const Outside = "another program"

// Entry is one edit of a folder's texts.
type Entry struct {
	Number int       `json:"n"` // rising; not every number is there
	When   time.Time `json:"when"`
	Who    string    `json:"who"`
	What   string    `json:"what"` // in words
	// Back is the edit that this one takes back, Again the one that it does again; 0 for none.
	Back  int     `json:"back,omitempty"`
	Again int     `json:"again,omitempty"`
	Files []patch `json:"files"`
	// Under is what Undo, or of an undo what Redo, would have taken before.
	Under int   `json:"under,omitempty"`
	After after `json:"after"`
}

// after is what can be taken back and done again behind an entry.
type after struct {
	Undo int `json:"undo"` // the edit
	Redo int `json:"redo"` // the undo that is taken back
}

// Names are the files that it changes.
func (e *Entry) Names() (out []string) {
	for _, p := range e.Files {
		out = append(out, p.Name)
	}
	return out
}

// patch is the change of one file: at a place some bytes go and others come. Sums are SHA-256 in
// hex, "" where there is no file.
type patch struct {
	Name string `json:"name"`
	Was  string `json:"was"`
	Is   string `json:"is"`
	At   int    `json:"at"`
	Out  []byte `json:"out,omitempty"`
	In   []byte `json:"in,omitempty"`
}

// patchOf is the change from one text to another; nil is no file.
func patchOf(name string, was, is []byte) patch {
	n := min(len(was), len(is))
	from := 0
	for from < n && was[from] == is[from] {
		from++
	}
	end := 0
	for end < n-from && was[len(was)-1-end] == is[len(is)-1-end] {
		end++
	}
	return patch{name, sumOf(was), sumOf(is), from, was[from : len(was)-end], is[from : len(is)-end]}
}

// reversed is the way back.
func (p patch) reversed() patch { return patch{p.Name, p.Is, p.Was, p.At, p.In, p.Out} }

// on makes the change to a text that must be what it was made from.
func (p patch) on(was []byte) ([]byte, error) {
	end := p.At + len(p.Out)
	if sumOf(was) != p.Was || p.At < 0 || end > len(was) || !bytes.Equal(was[p.At:end], p.Out) {
		return nil, fmt.Errorf("%s: it is not what it was", p.Name)
	}
	if p.Is == "" {
		return nil, nil
	}
	is := slices.Concat(was[:p.At], p.In, was[end:])
	if is == nil {
		is = []byte{}
	}
	if sumOf(is) != p.Is {
		return nil, fmt.Errorf("%s: the change does not come to what it came to", p.Name)
	}
	return is, nil
}

func sumOf(data []byte) string {
	if data == nil {
		return ""
	}
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// state is texts by their names.
type state map[string][]byte

// to lists the changes from one state to another.
func (s state) to(other state) (out []patch) {
	names := slices.Collect(maps.Keys(s))
	for name := range other {
		if _, known := s[name]; !known {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range names {
		was, is := s[name], other[name]
		if (was == nil) != (is == nil) || !bytes.Equal(was, is) {
			out = append(out, patchOf(name, was, is))
		}
	}
	return out
}

// make makes changes to the state, all of them or none.
func (s state) make(files []patch) error {
	next := state{}
	for _, p := range files {
		is, err := p.on(s[p.Name])
		if err != nil {
			return err
		}
		next[p.Name] = is
	}
	for name, is := range next {
		if is == nil {
			delete(s, name)
		} else {
			s[name] = is
		}
	}
	return nil
}
