package rig

import (
	"embed"
	"path"
	"strings"
	"sync"

	"lampblack/source"
)

// The files of built-in types are named as fixtures/*.yaml are: by what units call them.
//
//go:embed generic
var genericFiles embed.FS

// GenericFile is where findings say that a built-in type stands.
const GenericFile = "built-in types"

// Generic lists the fixture types that are built in, by name: typical cheap lamps, whose
// beams are common practice and whose outputs are intervals wide enough for most that
// are sold (no source). Their slot tables are the layouts that are met most (from
// memory). The types are shared and must not be changed.
var Generic = sync.OnceValue(func() source.Named[*Type] {
	var out source.Named[*Type]
	entries, err := genericFiles.ReadDir("generic")
	for _, e := range entries {
		var data []byte
		if data, err = genericFiles.ReadFile(path.Join("generic", e.Name())); err != nil {
			break
		}
		t, faults := ReadType(strings.TrimSuffix(e.Name(), ".yaml"), GenericFile, data)
		if err = faults.Err(); err != nil {
			break
		}
		t.generic = true
		out = append(out, source.Entry[*Type]{Name: t.ID, Pos: source.Pos{File: GenericFile}, Value: t})
	}
	if err != nil {
		panic("rig: built-in types: " + err.Error())
	}
	return out
})

// Generic tells whether the type is a built-in one, so that its beam, its outputs and
// its supply are guesses.
func (t *Type) Generic() bool { return t.generic }
