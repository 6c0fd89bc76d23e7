package show

import (
	"context"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lampblack/folder"
	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// keptLight ends the names of files that hold the light of a rig in a room.
const keptLight = ".light"

// mostKeptLight bounds such a file, and keptRooms how many there are: those that were asked
// for last.
const (
	mostKeptLight = 1 << 30
	keptRooms     = 24
)

// carry solves the room, or takes what was solved before of the same rig in the same room
// by the same program: a run that was cut off is to go on within the second. What cannot be
// kept is solved again; a show needs no disk to be solved.
func (f *Files) carry(ctx context.Context) (*room.Transport, source.Faults) {
	f.Room.Loosen(f.coming())
	f.Room.Divide(f.divided())
	return f.carryIn(ctx, f.allOpen())
}

// carryIn is carry with the room in a setting.
func (f *Files) carryIn(ctx context.Context, setting room.Setting) (*room.Transport, source.Faults) {
	in := f.Room.In(setting)
	name := f.keptName(setting)
	if name == "" {
		return in.SolveAfter(ctx, f.Rig, f.before)
	}
	if data, err := folder.ReadFile(ctx, name, mostKeptLight); err == nil {
		if t, faults, err := in.Restore(ctx, f.Rig, data); err == nil {
			_ = os.Chtimes(name, time.Time{}, time.Now()) // asked for
			return t, faults
		}
	}
	t, faults := in.SolveAfter(ctx, f.Rig, f.before)
	if faults.Err() == nil && ctx.Err() == nil {
		keepLight(ctx, name, t)
	}
	return t, faults
}

// keptName is the file of this rig in this room, "" where nothing is kept. Another program
// may come to other light of the same texts, so it is part of the name.
func (f *Files) keptName(setting room.Setting) string {
	program := programStamp()
	if f.Kept == "" || f.built == "" || program == "" {
		return ""
	}
	h := newSum()
	h.add("texts", []byte(f.lamps))
	h.add("program", []byte(program))
	h.add("coming", []byte(strings.Join(f.coming(), "\n")))
	h.add("divided", fmt.Append(nil, f.divided()))
	h.add("setting", []byte(setting.String()))
	return filepath.Join(f.Kept, hex.EncodeToString(h.Sum(nil)[:16])+keptLight)
}

// coming are the things that come, go or move in any piece, by name: they only receive
// light. Who carries them does not matter to the light.
func (f *Files) coming() []string {
	moved := map[string]bool{}
	for _, s := range f.scores() {
		for i := range s.Stage {
			moved[s.Stage[i].Name] = true
		}
		for i := range s.Crosses {
			moved[s.Crosses[i].Name] = true
		}
	}
	var out []string
	for i := range f.Room.Objects {
		o := &f.Room.Objects[i]
		if moved[o.Name] || moved[o.Value.Carried.Name] {
			out = append(out, o.Name)
		}
	}
	return out
}

// divided is where all that opens, comes or goes in any piece is to be known.
func (f *Files) divided() map[string][]float64 { return openings(f.Room, f.scores()) }

// scores are those of all pieces.
func (f *Files) scores() (out []*score.Score) {
	if f.Score != nil {
		out = append(out, f.Score)
	}
	for _, o := range f.Orders() {
		for i := range o.Steps {
			if s := o.Steps[i].score; s != nil {
				out = append(out, s)
			}
		}
	}
	return out
}

// programStamp tells one make of this program from another: where it lies, and when it was
// written.
func programStamp() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return info.ModTime().UTC().Format(time.RFC3339Nano) + " " + path
}

// keepLight writes the numbers of a room, and lets go of those that nobody has asked for
// longest.
func keepLight(ctx context.Context, name string, t *room.Transport) {
	data, err := t.Keep()
	if err != nil || os.MkdirAll(filepath.Dir(name), 0o755) != nil || folder.WriteFile(ctx, name, data) != nil {
		return
	}
	names, _ := filepath.Glob(filepath.Join(filepath.Dir(name), "*"+keptLight))
	asked := func(name string) time.Time {
		if info, err := os.Stat(name); err == nil {
			return info.ModTime()
		}
		return time.Time{}
	}
	slices.SortFunc(names, func(a, b string) int { return asked(b).Compare(asked(a)) })
	for _, old := range names[min(len(names), keptRooms):] {
		_ = os.Remove(old)
	}
}
