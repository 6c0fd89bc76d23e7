package described

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"lampblack/rig"
	"lampblack/source"
	"lampblack/wire/gdtf"
)

// kind finds the type of a unit, and reads its description the first time.
func (h *hanger) kind(spec string) *hungType {
	file, data := h.file(spec)
	if t, ok := h.types[file]; ok {
		return t
	}
	t := &hungType{id: stranger, kind: rig.Generic()[rig.Generic().Index(stranger)].Value}
	h.types[file] = t
	if data == nil {
		h.note("%s: its description is not in the scene: taken as %q, a built-in type, until you say what it is", called(spec), stranger)
		return t
	}
	d, err := gdtf.Parse(data)
	if err == nil {
		t.reading, err = Read(d)
	}
	if err != nil {
		t.reading = nil
		h.note("%s: %v: taken as %q, a built-in type", called(spec), err, stranger)
		return t
	}
	id := FileName(d.Name)
	for n := 2; slices.ContainsFunc(h.order, func(o *hungType) bool { return strings.EqualFold(o.id, id) }); n++ {
		id = fmt.Sprintf("%s %d", FileName(d.Name), n)
	}
	t.id = id
	name := "fixtures/" + id + ".yaml"
	text := t.reading.YAML()
	kind, faults := rig.ReadType(id, name, text)
	if err := faults.Err(); err != nil {
		h.note("%s: %v: taken as %q, a built-in type", called(spec), err, stranger)
		t.id, t.reading = stranger, nil
		return t
	}
	t.kind = kind
	h.order = append(h.order, t)
	h.out.Texts[name] = text
	for _, n := range t.reading.Notes {
		h.note("%s: %v", id, n)
	}
	return t
}

func called(spec string) string {
	if spec == "" {
		return "a lamp without a type"
	}
	return source.Visible(spec)
}

// file finds a description by its name, which programs write with its ending or without; one that is not
// there keeps its own name.
func (h *hanger) file(spec string) (name string, data []byte) {
	for _, name := range slices.Sorted(maps.Keys(h.scene.Files)) {
		if spec != "" && (strings.EqualFold(name, spec) || strings.EqualFold(name, spec+".gdtf")) {
			return name, h.scene.Files[name]
		}
	}
	return spec, nil
}

// FileName makes a name one that a type's file can have everywhere.
func FileName(name string) string {
	clean := strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || strings.ContainsRune(`/\:*?"<>|`, r) {
			return ' '
		}
		return r
	}, name)
	clean = strings.Join(strings.Fields(clean), " ")
	if r := []rune(clean); len(r) > 60 {
		clean = strings.TrimSpace(string(r[:60]))
	}
	clean = strings.TrimLeft(clean, ".")
	if clean == "" {
		return "lamp"
	}
	return clean
}
