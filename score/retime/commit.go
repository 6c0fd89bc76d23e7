package retime

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"

	"lampblack/folder"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

// PrintEnding is what the name of a soundtrack's print ends in.
const PrintEnding = ".print"

// asideFiles are where each kind of thing is kept that was cut.
var asideFiles = map[Kind]struct{ file, key, head string }{
	Cue:      {"cut-cues.yaml", "cues", "# Cues whose moments were cut from the soundtrack. The show does not read this\n# file: copy a cue back into score.yaml when its place is known.\n"},
	Calm:     {"cut-calm.yaml", "calm", "# Calm spans that were cut from the soundtrack. The show does not read this\n# file: copy a span back into score.yaml when its place is known.\n"},
	Wait:     {"cut-waits.yaml", "waits", "# Waits whose places were cut from the soundtrack. The show does not read this\n# file: copy a wait back into score.yaml when its place is known.\n"},
	Section:  {"cut-sections.yaml", "sections", "# Sections of draft.yaml that were cut from the soundtrack. Nothing reads this\n# file: copy a section back into draft.yaml when its place is known.\n"},
	Decision: {"cut-decisions.yaml", "decisions", "# Decisions on moments that were cut from the soundtrack. Nothing reads this\n# file: copy a decision back into spotting.yaml when its place is known.\n"},
}

// AsideFile is the file that keeps things of a kind that were cut.
func AsideFile(k Kind) string { return asideFiles[k].file }

// String names what was moved: "cue 5", "calm span to 0:35.000", "section".
func (m Moved) String() string { return strings.TrimSpace(string(m.Kind) + " " + m.Name) }

// aside keeps the item of a list word for word, under a comment. Line ends become plain
// ones, as the file that takes the item is our own.
func (v *mover) aside(text *source.Text, key string, i int, moved Moved) error {
	item, err := text.Item(key, i, nil)
	if err != nil {
		return err
	}
	v.r.Aside[moved.Kind] += fmt.Sprintf("  # %s was at %s of the old take, which the new one does not hold\n%s",
		moved, si.FormatTime(moved.Old), strings.ReplaceAll(item, "\r\n", "\n"))
	return nil
}

// Take is the new take: a sound file that may lie anywhere, the name that it
// gets in the show's folder, and its print.
type Take struct {
	Path, Name string
	Print      *retake.Print
}

// ErrTaken is returned when the folder holds another file of the take's name.
var ErrTaken = errors.New("the show's folder already holds another file of that name")

// Commit writes the moved texts, what was kept aside, the take with its print, and the
// show's own file, which then names the take: all of it or nothing. The show's own file
// is put last only for the reader: package folder makes the whole edit at once or not
// at all.
func (r *Result) Commit(ctx context.Context, dir *folder.Folder, take Take) error {
	e := dir.Edit()
	if err := addTake(ctx, dir, e, take); err != nil {
		return err
	}
	b := &kept{dir: dir, edit: e, Take: take.Name}
	for _, name := range slices.Sorted(maps.Keys(r.Texts)) {
		if err := b.put(name, r.Texts[name]); err != nil {
			return err
		}
	}
	for _, kind := range []Kind{Cue, Calm, Wait, Section, Decision} {
		if err := keepAside(b, kind, r.Aside[kind]); err != nil {
			return err
		}
	}
	file := show.BillFile
	if r.piece != nil {
		file = r.piece.Order
	}
	text, err := rename(dir, file, r.piece, take.Name)
	if err == nil {
		err = b.put(file, text)
	}
	if err == nil {
		err = b.keep()
	}
	if err != nil {
		return err
	}
	return e.Commit()
}

// addTake adds the sound, unless the show's folder is where it lies, and its print. A
// file of that name that is the take itself is left where it is; any other is an error,
// as nobody's sound is written over.
func addTake(ctx context.Context, dir *folder.Folder, e *folder.Edit, take Take) error {
	there, err := dir.Stat(take.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := dir.Optional(take.Name); err != nil { // noted, so that nobody else's file is written over
			return err
		}
		e.Stream(take.Name, func(w io.Writer) error { return copyTake(ctx, w, take.Path) })
	case err != nil:
		return err
	default:
		here, err := os.Stat(take.Path)
		if err != nil {
			return err
		}
		if !os.SameFile(here, there) && !(here.Size() == there.Size() && alike(ctx, dir, take)) {
			return fmt.Errorf("%w: %s", ErrTaken, take.Name)
		}
	}
	return PutPrint(e, take.Name, take.Print)
}

// alike tells whether the folder's file of the take's name has the same bytes.
func alike(ctx context.Context, dir *folder.Folder, take Take) bool {
	h := sha256.New()
	if err := copyTake(ctx, h, take.Path); err != nil {
		return false
	}
	there, err := dir.Sum(take.Name)
	return err == nil && there == hex.EncodeToString(h.Sum(nil))
}

func copyTake(ctx context.Context, w io.Writer, path string) error {
	f, err := folder.OpenFile(ctx, path, folder.MaxSound)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(w, f)
	return err
}

// PutPrint adds the print of a soundtrack to an edit.
func PutPrint(e *folder.Edit, soundtrack string, p *retake.Print) error {
	data, err := p.MarshalBinary()
	if err == nil {
		e.Put(soundtrack+PrintEnding, data)
	}
	return err
}

// OldPrint returns the print of a soundtrack that lies in the folder no more. That is
// what makes a retake possible after the old sound file has been replaced.
func OldPrint(ctx context.Context, dir *folder.Folder, soundtrack string) (*retake.Print, error) {
	name := soundtrack + PrintEnding
	path, err := dir.Path(name)
	if err != nil {
		return nil, fmt.Errorf("neither the old soundtrack nor %s can be read: %w", name, err)
	}
	f, err := folder.OpenFile(ctx, path, folder.MaxSound)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return retake.ReadPrint(f)
}

// rename makes the show's own file name another soundtrack, or the running order another for
// a piece.
func rename(dir *folder.Folder, file string, piece *Piece, soundtrack string) ([]byte, error) {
	data, err := dir.ReadFile(file)
	if err != nil {
		return nil, err
	}
	text, faults := source.OpenText(file, data)
	if faults.Err() != nil {
		return nil, faults
	}
	if piece == nil {
		err = text.SetKey("soundtrack", source.Quote(soundtrack))
	} else {
		err = text.SetKey("soundtrack", source.Quote(soundtrack), "order", piece.Step)
	}
	if err != nil {
		return nil, err
	}
	return text.Bytes()
}

// keepAside adds what was cut to what was cut at earlier times. The file is only ever
// added to, so what was cut in an earlier take is still there.
func keepAside(b *kept, kind Kind, items string) error {
	if items == "" {
		return nil
	}
	a := asideFiles[kind]
	data, err := b.dir.Optional(a.file)
	if err != nil {
		return err
	}
	if data == nil {
		data = []byte(a.head + a.key + ":\n")
	}
	if len(data) > 0 && data[len(data)-1] != '\n' {
		data = append(data, '\n')
	}
	return b.put(a.file, append(slices.Clone(data), items...))
}
