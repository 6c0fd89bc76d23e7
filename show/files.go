package show

import (
	"errors"
	"io/fs"
	"path"
	"strings"
	"time"

	"lampblack/calendar"
	"lampblack/play/line"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
	"lampblack/source"
)

// Names of a show's files.
const (
	BillFile  = "show.yaml"
	RigFile   = "rig.yaml"
	RoomFile  = "room.yaml"
	ScoreFile = "score.yaml"
	TypesDir  = "fixtures"
	// ReadingsFile holds what was measured in the room; a show may do without.
	ReadingsFile = "readings.yaml"
	// CalendarFile says when a place is open; a show may do without.
	CalendarFile = "calendar.yaml"
)

// mostTypes bounds the kinds of lamp of one show, and with them what is read.
const mostTypes = 500

// Files is a show's folder as read: what its texts say, not yet solved.
type Files struct {
	Bill  Bill
	Rig   *rig.Rig
	Room  *room.Room
	Score *score.Score

	Readings *measure.Sheet // nil when nothing was measured

	Order *Order // nil for a show of one piece
	Zones *Zones // nil for a place that is one

	Calendar *calendar.Calendar // nil for a show that somebody starts

	Triggers *Triggers // nil for a show that none starts

	Trims *Trims // nil where no hall has any

	// Out are the units that are out tonight, by name: looks are worked out without them.
	// No file of the show says so, so it is for the caller to set.
	Out []string

	// Kept is the folder in which the light of rooms is kept that were solved; "" for none.
	Kept string

	before *room.Transport // of the same things in the same room, with other lamps; nil for none
	texts  string          // the sum of all that was read
	built  string          // the sum of the types, the rig and the room
	stands string          // the sum of the types and the room
	lamps  string          // the sum of the types, the room and of the rig what makes light in it, and where
	taken  string          // the sum of what was measured in the room
	spread bool            // looks without cues, to come at even shares of the soundtrack
}

// Read reads all texts of a show's folder and returns everything that is wrong with
// them. A Files with faults is whole as far as it could be understood, and New takes
// it.
func Read(dir fs.FS) (Files, source.Faults) {
	var f Files
	var faults source.Faults
	read, built, lamps := newSum(), newSum(), newSum()
	text := func(dir fs.FS, name string, faults *source.Faults) ([]byte, bool) {
		data, ok := text(dir, name, faults)
		read.add(name, data)
		if name != BillFile {
			built.add(name, data)
			if name != RigFile {
				lamps.add(name, data)
			}
		}
		return data, ok
	}
	if there(dir, BillFile) {
		if data, ok := text(dir, BillFile, &faults); ok {
			faults = append(faults, source.Decode(BillFile, data, &f.Bill)...)
			f.Bill.check(&faults)
		}
	}
	if f.Bill.Title == "" {
		f.Bill.Title = titleOf(dir)
	}
	types := readTypes(dir, text, &faults)
	if data, ok := text(dir, RigFile, &faults); ok {
		var more source.Faults
		f.Rig, more = rig.Read(RigFile, data, types)
		faults = append(faults, more...)
	}
	if !there(dir, RoomFile) {
		f.Room = room.Unsaid()
	} else if data, ok := text(dir, RoomFile, &faults); ok {
		var more source.Faults
		f.Room, more = room.Read(RoomFile, data)
		faults = append(faults, more...)
	}
	if f.Room != nil && f.Rig != nil {
		f.Room.Suppose(f.Rig)
	}
	f.built = string(built.Sum(nil)) // of what was read until here
	f.stands = string(lamps.Sum(nil))
	if f.Rig != nil {
		lamps.add(RigFile, lampsOf(f.Rig))
	}
	f.lamps = string(lamps.Sum(nil))
	if data, ok := text(dir, ScoreFile, &faults); ok {
		var more source.Faults
		f.Score, more = score.Read(ScoreFile, data)
		faults = append(faults, more...)
	}
	// An empty file is what a shell leaves that was told to write the list here.
	if info, err := fs.Stat(dir, ReadingsFile); err == nil && (info.Size() > 0 || !info.Mode().IsRegular()) {
		if data, ok := text(dir, ReadingsFile, &faults); ok {
			var more source.Faults
			f.Readings, more = measure.Read(ReadingsFile, data)
			f.taken = string(data)
			faults = append(faults, more...)
		}
	}
	if f.Score != nil {
		own := f.readOrders(dir, text, &faults)
		if f.Bill.Soundtrack.Name == "" {
			unheard(f.Score, &faults)
		}
		f.needsCues(own, there(dir, OrderFile) || there(dir, ZonesFile), &faults)
	}
	if _, err := fs.Stat(dir, CalendarFile); err == nil {
		f.Calendar = readCalendar(dir, text, f.Score, &faults)
	}
	f.Triggers = readTriggers(dir, text, &faults)
	if f.Triggers != nil && f.Rig != nil {
		f.Triggers.checkSystems(f.Rig, &faults)
	}
	f.checkAwaited(&faults)
	f.Bill.Sound.check(there(dir, ZonesFile), f.Bill.Soundtrack.Name != "", &faults)
	f.checkExtras(dir, &faults)
	f.Bill.Silence.check(&faults)
	f.checkAlarm(&faults)
	f.checkTimecode(&faults)
	f.checkLive(&faults)
	f.Trims = readTrims(dir, &faults) // not part of the show: a run that is taken up may find others
	faults.Sort()
	f.texts = string(read.Sum(nil))
	return f, faults
}

// readCalendar reads when the place is open. Its looks are those of the score, which may
// not have been read.
func readCalendar(dir fs.FS, text reader, sc *score.Score, faults *source.Faults) *calendar.Calendar {
	data, ok := text(dir, CalendarFile, faults)
	if !ok {
		return nil
	}
	var looks []string
	if sc != nil {
		looks = source.Names(sc.Looks)
	}
	c, more := calendar.Read(CalendarFile, data, looks)
	*faults = append(*faults, more...)
	return c
}

// reader reads one text of a folder, and tells what is wrong with it.
type reader = func(dir fs.FS, name string, faults *source.Faults) ([]byte, bool)

// text reads one file, whole, if it is a file of a sane size. The size is asked before
// the file is read, so that a disk image by mistake in its place is told, not loaded.
func text(dir fs.FS, name string, faults *source.Faults) ([]byte, bool) {
	at := source.Pos{File: name}
	info, err := fs.Stat(dir, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		faults.Add(at, "a show's folder holds it; `lampblack new --small DIR` writes the smallest", "the file is missing")
	case err != nil:
		faults.Add(at, "", "the file cannot be read: %s", reason(err))
	case info.IsDir():
		faults.Add(at, "", "this is a folder, not a file")
	case !info.Mode().IsRegular():
		faults.Add(at, "", "this is not a plain file")
	case info.Size() > source.MaxBytes:
		faults.Add(at, "a show is text written by hand; is this the right file?", "the file is larger than %d MiB", source.MaxBytes>>20)
	default:
		data, err := fs.ReadFile(dir, name)
		if err == nil {
			return data, true
		}
		faults.Add(at, "", "the file cannot be read: %s", reason(err))
	}
	return nil, false
}

// reason is the innermost text of an error about a file.
func reason(err error) string {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err.Error()
	}
	return err.Error()
}

// readTypes reads every fixture type of the folder, in the order of names.
func readTypes(dir fs.FS, text reader, faults *source.Faults) source.Named[*rig.Type] {
	var types source.Named[*rig.Type]
	entries, err := fs.ReadDir(dir, TypesDir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // units are of built-in types, or have their faults
	}
	if err != nil {
		faults.Add(source.Pos{File: TypesDir}, "one file for each kind of lamp, as fixtures/par.yaml", "the folder of fixture types cannot be read: %s", reason(err))
		return nil
	}
	for _, e := range entries {
		if len(types) == mostTypes {
			faults.Add(source.Pos{File: TypesDir}, "", "the folder holds more than %d fixture types", mostTypes)
			break
		}
		id, isYAML := strings.CutSuffix(e.Name(), ".yaml")
		if !isYAML || strings.HasPrefix(id, ".") {
			continue
		}
		name := path.Join(TypesDir, e.Name())
		data, ok := text(dir, name, faults)
		if !ok {
			continue
		}
		t, more := rig.ReadType(id, name, data)
		if t.Table.Name != "" {
			table := path.Join(TypesDir, t.Table.Name)
			if _, err := fs.Stat(dir, table); errors.Is(err, fs.ErrNotExist) {
				more.Add(t.Table.Pos, "put it beside the type's file, or say beam: {half: 25°}", "the intensity table %s is not there", table)
			} else if data, ok := text(dir, table, &more); ok {
				more = append(more, t.ReadIntensity(table, data)...)
			}
		}
		*faults = append(*faults, more...)
		types = append(types, source.Entry[*rig.Type]{Name: id, Pos: source.Pos{File: name, Line: 1}, Value: t})
	}
	return types
}

func (b *Bill) check(faults *source.Faults) {
	if g := b.GoOnce; g != nil && (*g < 0 || time.Duration(*g) > 5*time.Second) {
		faults.Add(b.Pos, "as 0.3 s", "presses of go count as one for 0 s to 5 s")
	}
	b.checkDays(faults)
	for _, o := range b.Outputs {
		if _, err := line.ParseOut(o.Spec()); err != nil && o.To != "" {
			faults.Add(o.Pos, "as \"e131 multicast\", \"e131 192.168.1.20\", \"artnet nodes\" or \"widget /dev/ttyUSB0\"", "the output cannot be read: %v", err)
		}
	}
	name := b.Soundtrack.Name
	if name == "" {
		return
	}
	if !fs.ValidPath(strings.ReplaceAll(name, `\`, "/")) || strings.ContainsAny(name, `\:`) {
		faults.Add(b.Soundtrack.Pos, "give a name inside the show's folder", "the soundtrack %q leaves the show's folder", name)
		b.Soundtrack.Name = ""
	}
}
