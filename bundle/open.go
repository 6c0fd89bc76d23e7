package bundle

import (
	"archive/zip"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"lampblack/folder"
	"lampblack/source"
)

// Bounds of what is opened.
const (
	mostBundle    = 64 << 30
	mostDirectory = 16 << 20 // bytes of a zip file's list of entries
	// mostGrowth is how many times its own size a bundle may unpack to. Ours are stored;
	// sound that somebody packed again shrinks to a half or a quarter.
	mostGrowth = 20
	smallFile  = 64 << 20
)

// ErrNone says that a file is no bundle at all.
var ErrNone = errors.New("this is no show: neither a folder nor a bundle that `lampblack pack` wrote")

// Bundle is an open bundle, whose lists agree with what is in it.
type Bundle struct {
	Label
	ID       string // the same for the same show
	Files    []File // of the show, by their names inside its folder, in order
	Programs []File

	name string
	ctx  context.Context
	file *folder.File
}

// File is one that is in a bundle.
type File struct {
	Name string
	Size int64
	sum  sum
	zip  *zip.File
}

// Sum is the SHA-256 that the bundle says the file has, in hex.
func (f *File) Sum() string { return f.sum.String() }

// Open opens a bundle and holds its lists against what is in it. It does not read the
// show's files yet: Check does, and Unpack. A bundle with faults is not returned.
func Open(ctx context.Context, name string) (*Bundle, source.Faults, error) {
	file, err := folder.OpenFile(ctx, name, mostBundle)
	if err != nil {
		return nil, nil, err
	}
	b := &Bundle{name: name, ctx: ctx, file: file}
	faults, err := b.read()
	if err != nil || faults.Err() != nil {
		file.Close()
		return nil, faults, err
	}
	return b, nil, nil
}

// Close closes the file.
func (b *Bundle) Close() error { return b.file.Close() }

// sparing reads a zip file's list of entries, and no more than one can be: a made up one
// may name a thousand million.
type sparing struct {
	io.ReaderAt
	left int64
}

var errDirectory = errors.New("it lists more files than a show has")

func (s *sparing) ReadAt(p []byte, at int64) (int, error) {
	if s.left -= int64(len(p)); s.left < 0 {
		return 0, errDirectory
	}
	return s.ReaderAt.ReadAt(p, at)
}

// read reads the entries and the lists.
func (b *Bundle) read() (faults source.Faults, err error) {
	info, err := b.file.Stat()
	if err != nil {
		return nil, err
	}
	guard := &sparing{b.file, mostDirectory}
	z, err := zip.NewReader(guard, info.Size())
	switch {
	case errors.Is(err, zip.ErrFormat) && !b.startsAsZip():
		return nil, ErrNone
	case err != nil:
		b.add(&faults, "", "copy it once more from where it came", "the zip file cannot be read: %s", plain(err))
		return faults, nil
	case len(z.File) > mostFiles:
		b.add(&faults, "", "", "%d files are more than the %d of one bundle", len(z.File), mostFiles)
		return faults, nil
	}
	guard.left = 1 << 62 // what is read from here on has bounds of its own
	entries := b.entries(z, info.Size(), &faults)
	if faults.Err() != nil {
		return faults, nil
	}
	b.bag(entries, &faults)
	return faults, nil
}

// startsAsZip tells a damaged zip file from something else.
func (b *Bundle) startsAsZip() bool {
	var head [4]byte
	_, err := b.file.ReadAt(head[:], 0)
	return err == nil && string(head[:]) == "PK\x03\x04"
}

// add tells a fault of a file in the bundle.
func (b *Bundle) add(faults *source.Faults, name, hint, format string, args ...any) {
	at := b.name
	if name != "" {
		at += ": " + name
	}
	faults.Add(source.Pos{File: at}, hint, format, args...)
}

// plain is what went wrong, without the name of what found it.
func plain(err error) string { return strings.TrimPrefix(err.Error(), "zip: ") }

const again = "copy it once more from where it came, or pack the show anew"

// entries are the files of the zip file by their names inside its one folder.
func (b *Bundle) entries(z *zip.Reader, size int64, faults *source.Faults) map[string]*zip.File {
	out := map[string]*zip.File{}
	seen := names{}
	base := ""
	total := uint64(0)
	for _, f := range z.File {
		if strings.HasSuffix(f.Name, "/") && f.UncompressedSize64 == 0 {
			continue // a folder, which packing a bundle again by hand adds
		}
		top, name, ok := strings.Cut(f.Name, "/")
		if why := odd(f); why != "" {
			b.add(faults, f.Name, again, "this is not taken: %s", why)
			continue
		}
		if other := seen.add(f.Name); other != "" {
			b.add(faults, f.Name, again, "this stands twice in the bundle, or is the same file as %q on some systems", other)
			continue
		}
		if base = cmp.Or(base, top); !ok || top != base {
			b.add(faults, f.Name, again, "a bundle holds one folder, and this lies beside %q", base)
			continue
		}
		out[name] = f
		total += min(f.UncompressedSize64, mostUnpacked)
	}
	if total > mostUnpacked || total > uint64(size)*mostGrowth+smallFile {
		b.add(faults, "", "do not open it; ask whoever made it", "it would unpack to %d MiB, far more than its own %d MiB", total>>20, size>>20)
	}
	b.overlaps(out, faults)
	return out
}

// odd says why an entry is not one that a bundle has.
func odd(f *zip.File) string {
	const allowed = 1<<1 | 1<<2 | 1<<3 | 1<<11 // how hard it was packed, sizes behind it, a name in UTF-8
	switch {
	case f.Flags&^allowed != 0:
		return "it is encrypted, or packed in a way that is not plain (ISO/IEC 21320-1)"
	case f.Method != zip.Store && f.Method != zip.Deflate:
		return "it is packed in a way that is not plain (ISO/IEC 21320-1)"
	case !f.Mode().IsRegular():
		return "it is a link or a device, not a plain file"
	case f.UncompressedSize64 > mostUnpacked:
		return "it is too large"
	}
	if why := unheld(f.Name); why != "" {
		return "its name cannot be that of a file: " + why
	}
	return ""
}

// overlaps finds entries that share bytes of the file.
func (b *Bundle) overlaps(entries map[string]*zip.File, faults *source.Faults) {
	type span struct {
		name     string
		from, to int64
	}
	var spans []span
	for name, f := range entries {
		from, err := f.DataOffset()
		if err != nil {
			b.add(faults, name, again, "the file is damaged: %s", plain(err))
			continue
		}
		spans = append(spans, span{name, from, from + int64(f.CompressedSize64)})
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.name, b.name)) })
	for i := 1; i < len(spans); i++ {
		if spans[i].from < spans[i-1].to || spans[i].to < spans[i].from {
			b.add(faults, spans[i].name, "do not open it; ask whoever made it", "it shares bytes with %q, as files made to fill a disk do", spans[i-1].name)
		}
	}
}

// bag reads the lists, and holds them against the entries: each file stands in one of
// them, and each that is listed is there.
func (b *Bundle) bag(entries map[string]*zip.File, faults *source.Faults) {
	text := func(name string) string {
		f := entries[name]
		if f == nil {
			b.add(faults, name, "`lampblack pack` writes a show that can be taken along", "the file is missing: this zip file is no bundle, or not all of one")
			return ""
		}
		data, _, err := b.all(&File{Name: name, Size: int64(f.UncompressedSize64), zip: f}, mostTag)
		if err != nil {
			b.add(faults, name, again, "the file is damaged: %s", plain(err))
		}
		return string(data)
	}
	if bag := text(bagFile); faults.Err() == nil && !strings.HasPrefix(bag, "BagIt-Version: 1.0") && !strings.HasPrefix(bag, "BagIt-Version: 0.97") {
		b.add(faults, bagFile, "", "this is not a bag of version 1.0 (RFC 8493)")
	}
	info, list, tags := text(infoFile), text(listFile), text(tagListFile)
	if faults.Err() != nil {
		return
	}
	size := ""
	b.Label, size = readLabel(info)
	b.ID = identity(list)
	if entries["fetch.txt"] != nil {
		b.add(faults, "fetch.txt", "pack the show anew", "it names files that would be fetched from elsewhere, and nothing is fetched")
	}
	b.Files = b.hold(list, listFile, entries, faults)
	other := b.hold(tags, tagListFile, entries, faults)
	for i := range other {
		if name, ok := strings.CutPrefix(other[i].Name, programsDir+"/"); ok {
			other[i].Name = name
			b.Programs = append(b.Programs, other[i])
			continue
		}
		b.verify(&other[i], faults)
	}
	b.unlisted(entries, faults)
	total := int64(0)
	for i := range b.Files {
		b.Files[i].Name = strings.TrimPrefix(b.Files[i].Name, showDir+"/")
		total += b.Files[i].Size
	}
	if is := fmt.Sprintf("%d.%d", total, len(b.Files)); size != "" && size != is && faults.Err() == nil {
		b.add(faults, infoFile, again, "it says that the show is %s bytes and files, and it is %s", size, is)
	}
}

// hold holds a list of sums against the entries.
func (b *Bundle) hold(text, from string, entries map[string]*zip.File, faults *source.Faults) []File {
	list, bad := readManifest(text)
	if bad > 0 {
		b.add(faults, from, again, "%d lines are no sum and a name", bad)
	}
	show := from == listFile
	var out []File
	seen := map[string]bool{}
	for _, l := range list {
		f := entries[l.name]
		switch {
		case seen[l.name]:
			b.add(faults, from, again, "%q is listed twice", l.name)
		case show != strings.HasPrefix(l.name, showDir+"/"):
			b.add(faults, from, again, "%q does not belong into this list", l.name)
		case f == nil:
			b.add(faults, l.name, again, "the file is listed and is not there")
		default:
			out = append(out, File{Name: l.name, Size: int64(f.UncompressedSize64), sum: l.sum, zip: f})
		}
		seen[l.name] = true
	}
	slices.SortFunc(out, func(a, b File) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// unlisted finds files of the show, and programs, that no list has. Others, which an
// archive may add beside them, are left alone: nothing reads them.
func (b *Bundle) unlisted(entries map[string]*zip.File, faults *source.Faults) {
	known := map[string]bool{}
	for _, f := range b.Files {
		known[f.Name] = true
	}
	for _, f := range b.Programs {
		known[path.Join(programsDir, f.Name)] = true
	}
	for name := range entries {
		top, _, _ := strings.Cut(name, "/")
		if (top == showDir || top == programsDir) && !known[name] {
			b.add(faults, name, again, "the file is in the bundle and in no list: somebody put it there")
		}
	}
	faults.Sort()
}

// all reads a file that is small, and its sum.
func (b *Bundle) all(f *File, most int64) ([]byte, sum, error) {
	if f.Size > most {
		return nil, sum{}, folder.TooLarge{Most: most}
	}
	var data strings.Builder
	s, err := b.copy(&data, f)
	return []byte(data.String()), s, err
}

// copy writes what a file holds, and returns its sum. No file brings more bytes than it
// said, and none goes on when the context is done: the file below sees to it.
func (b *Bundle) copy(w io.Writer, f *File) (sum, error) {
	r, err := f.zip.Open()
	if err != nil {
		return sum{}, err
	}
	defer r.Close()
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(w, h), io.LimitReader(r, f.Size+1))
	if err == nil && n != f.Size {
		err = errors.New("its size is another than was said")
	}
	return sum(h.Sum(nil)), err
}

// verify reads a file and holds it against its sum.
func (b *Bundle) verify(f *File, faults *source.Faults) {
	s, err := b.copy(io.Discard, f)
	switch {
	case err != nil:
		b.add(faults, f.Name, again, "the file is damaged: %s", plain(err))
	case s != f.sum:
		b.add(faults, f.Name, again, "it does not hold what its list says: it was changed or damaged on the way")
	}
}

// Check reads everything, and holds it against its sums. progress is called with the
// share that is done; it may be nil.
func (b *Bundle) Check(progress func(done float64)) (source.Faults, error) {
	var faults source.Faults
	total, done := int64(1), int64(0)
	for _, list := range [][]File{b.Files, b.Programs} {
		for i := range list {
			total += list[i].Size
		}
	}
	for _, list := range [][]File{b.Files, b.Programs} {
		for i := range list {
			b.verify(&list[i], &faults)
			if done += list[i].Size; progress != nil {
				progress(float64(done) / float64(total))
			}
			if err := b.ctx.Err(); err != nil {
				return nil, err
			}
		}
	}
	return faults, nil
}
