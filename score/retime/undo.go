package retime

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"lampblack/folder"
)

// BeforeFile keeps the texts as they were before the last retime, so that it can be undone.
const BeforeFile = "before-retime.json"

// kept is what an edit changes, with what was there.
type kept struct {
	dir  *folder.Folder
	edit *folder.Edit

	Take  string   `json:"take"` // the soundtrack that came in
	Files []change `json:"files"`
}

// change is one text: nil is one that was not there, or is not afterwards.
type change struct {
	Name string  `json:"name"`
	Was  *string `json:"was"`
	Is   *string `json:"is"` // its SHA-256
}

// put changes a text; nil removes it.
func (b *kept) put(name string, data []byte) error {
	old, err := b.dir.Optional(name)
	if err != nil {
		return err
	}
	c := change{Name: name}
	if old != nil {
		text := string(old)
		c.Was = &text
	}
	if data == nil {
		b.edit.Remove(name)
	} else {
		is := sum(data)
		c.Is = &is
		b.edit.Put(name, data)
	}
	b.Files = append(b.Files, c)
	return nil
}

// keep adds what was there to the edit.
func (b *kept) keep() error {
	data, err := json.MarshalIndent(b, "", "  ")
	if err != nil {
		return err
	}
	if _, err := b.dir.Optional(BeforeFile); err != nil {
		return err
	}
	b.edit.Put(BeforeFile, append(data, '\n'))
	return nil
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// What may stand in the way of an undo.
var (
	ErrNothing = errors.New("there is no retime to undo")
	ErrEdited  = errors.New("changed since the retime, so that an undo would lose it")
)

// Undo takes the last retime back: every text is what it was before, all of them or none. No
// sound file is touched: the new take stays, and the old one was never taken away. It returns
// the names of the texts.
func Undo(dir *folder.Folder) (names []string, err error) {
	data, err := dir.Optional(BeforeFile)
	if err != nil {
		return nil, err
	}
	if data == nil {
		return nil, ErrNothing
	}
	var b kept
	if err := json.Unmarshal(data, &b); err != nil {
		return nil, fmt.Errorf("%s: %w", BeforeFile, err)
	}
	e := dir.Edit()
	var edited []string
	for _, c := range b.Files {
		if !fs.ValidPath(c.Name) || !strings.HasSuffix(c.Name, ".yaml") {
			return nil, fmt.Errorf("%s names %q, which is no text of a show", BeforeFile, c.Name)
		}
		now, err := dir.Optional(c.Name)
		if err != nil {
			return nil, err
		}
		if (now == nil) != (c.Is == nil) || c.Is != nil && sum(now) != *c.Is {
			edited = append(edited, c.Name)
		}
		if c.Was != nil {
			e.Put(c.Name, []byte(*c.Was))
		} else {
			e.Remove(c.Name)
		}
		names = append(names, c.Name)
	}
	if edited != nil {
		return nil, fmt.Errorf("%s: %w", strings.Join(edited, ", "), ErrEdited)
	}
	e.Remove(BeforeFile)
	return names, e.Commit()
}
