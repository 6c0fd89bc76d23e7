package score

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lampblack/source"
)

// Kept is light as a hand has set it, to be written into a look: a colour and a level of
// units, or levels of emitters by name.
type Kept struct {
	System   string   // or
	Units    []string // names
	Colour   string   // "" for all the light to be seen that the units have
	Level    float64  // 0..1
	Emitters []string // of black light; then Level is theirs, and Colour is not used
	// Overlaps tells whether a part has any drive that this light is to have.
	Overlaps func(p *Part) bool
}

// whom is the kept light's units as a part names them.
func (k *Kept) whom() string {
	if k.System != "" {
		return "system: " + source.Quote(k.System)
	}
	names := make([]string, len(k.Units))
	for i, u := range k.Units {
		names[i] = source.Quote(u)
	}
	return "units: [" + strings.Join(names, ", ") + "]"
}

// Percent is a share as files write it.
func Percent(v float64) string { return strconv.FormatFloat(v*100, 'f', -1, 32) + " %" }

// emitters are levels of emitters as files write them.
func (k *Kept) emitters() string {
	list := make([]string, len(k.Emitters))
	for i, e := range k.Emitters {
		list[i] = source.Quote(e) + ": " + Percent(k.Level)
	}
	return "{" + strings.Join(list, ", ") + "}"
}

// part is the kept light as a part.
func (k *Kept) part() string {
	switch {
	case len(k.Emitters) > 0:
		return "{" + k.whom() + ", emitters: " + k.emitters() + "}"
	case k.Colour == "":
		return "{" + k.whom() + ", level: " + Percent(k.Level) + "}"
	}
	return "{" + k.whom() + ", colour: " + source.Quote(k.Colour) + ", level: " + Percent(k.Level) + "}"
}

// same tells whether a part speaks of the same units, and the same kind of light.
func (k *Kept) same(p *Part) bool {
	if len(p.Cells) > 0 || p.Glow != nil || (len(p.Emitters) > 0) != (len(k.Emitters) > 0) || p.System.Name != k.System {
		return false
	}
	var units []string
	for _, ref := range p.Units {
		units = append(units, ref.Name)
	}
	return slices.Equal(units, k.Units)
}

// errNoLook is that a look to be changed is not in the file.
var errNoLook = errors.New("score.yaml has no such look")

// Keep writes light into a look of a score's text: into the part that it replaces, where the
// look has such a one, else as a part of its own at the end, so that it has the last word.
// Everything else in the file stays as it is.
func Keep(file string, data []byte, look string, kept []Kept) ([]byte, error) {
	for i := range kept {
		var err error
		if data, err = keep(file, data, look, &kept[i]); err != nil {
			return nil, fmt.Errorf("keep in look %s: %w", look, err)
		}
	}
	return data, nil
}

func keep(file string, data []byte, look string, k *Kept) ([]byte, error) {
	s, faults := Read(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	l := s.Looks.Get(look)
	if l == nil {
		return nil, errNoLook
	}
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for i := len(l.Parts) - 1; i >= 0; i-- {
		p := &l.Parts[i]
		if k.same(p) {
			return k.replace(file, t, append([]any{"looks", look}, l.Path(i)...)...)
		}
		if k.Overlaps == nil || k.Overlaps(p) {
			break
		}
	}
	if err := AddPart(t, look, k.part()); err != nil {
		return nil, err
	}
	return t.Bytes()
}

// AddPart adds a part, written in braces, to a look of a score's text.
func AddPart(t *source.Text, look, part string) error {
	if _, there := t.Find("looks", look, "parts"); there {
		return t.AppendTo([]string{part}, "looks", look, "parts")
	}
	return t.SetKey("parts", "["+part+"]", "looks", look)
}

// replace puts the light into a part that stands there: what it sets first, then away with
// what else said how much light there was to be.
func (k *Kept) replace(file string, t *source.Text, path ...any) ([]byte, error) {
	gone := []string{"lux", "on", "glow", "flash"}
	var err error
	if len(k.Emitters) > 0 {
		// The levels of other emitters stay.
		for _, e := range k.Emitters {
			if err == nil {
				err = t.SetKey(source.Quote(e), Percent(k.Level), append(slices.Clone(path), "emitters")...)
			}
		}
	} else {
		if k.Colour == "" {
			gone = append(gone, "colour")
		} else {
			err = t.SetKey("colour", source.Quote(k.Colour), path...)
		}
		if err == nil {
			err = t.SetKey("level", Percent(k.Level), path...)
		}
	}
	if err != nil {
		return nil, err
	}
	data, err := t.Bytes()
	if err != nil {
		return nil, err
	}
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	gone = slices.DeleteFunc(gone, func(key string) bool {
		_, there := t.Find(append(slices.Clone(path), key)...)
		return !there
	})
	if len(gone) > 0 {
		if err := t.RemoveKeys(gone, path...); err != nil {
			return nil, err
		}
	}
	return t.Bytes()
}
