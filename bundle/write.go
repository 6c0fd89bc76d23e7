package bundle

import (
	"archive/zip"
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"path"
	"slices"
	"time"
	"unicode/utf8"

	"lampblack/source"
)

// Names inside a bundle.
const (
	bagFile      = "bagit.txt"
	infoFile     = "bag-info.txt"
	readMeFile   = "READ-ME-FIRST.txt"
	listFile     = "manifest-sha256.txt"
	tagListFile  = "tagmanifest-sha256.txt"
	showDir      = "data"
	programsDir  = "programs"
	bagText      = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
	mostShow     = 2000 // files, as one edit of a folder takes
	mostFiles    = 3 * mostShow
	mostTag      = 8 << 20 // bytes of a list
	mostUnpacked = 64 << 30
)

// HeardDir is the folder, inside a show's own, with what listening found: a machine that
// it came to needs not listen again.
const HeardDir = "heard"

// date stands for all dates: the first that a zip file can hold.
var date = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Contents is what goes into a bundle.
type Contents struct {
	Label
	Files    []Source // of the show, by their names inside its folder
	Programs []Source // as linux-amd64/lampblack

	files []entry // Files, once they were read for their sums
}

// Source is a file that goes in. It is read twice: for its sum, and for its bytes, which are
// to be the same.
type Source struct {
	Name string
	Open func() (io.ReadCloser, error)
}

// Text is a Source that is held.
func Text(name string, data []byte) Source {
	return Source{name, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}
}

// Faults finds names that cannot be taken to every system.
func (c *Contents) Faults() source.Faults {
	var faults source.Faults
	seen := names{}
	for _, f := range c.Files {
		at := source.Pos{File: f.Name}
		if why := unheld(f.Name); why != "" {
			faults.Add(at, "give the file another name, here and where the show names it", "this name cannot be taken to every system: %s", why)
		} else if other := seen.add(f.Name); other != "" {
			faults.Add(at, "give one of them another name", "on some systems this is the same file as %q", other)
		}
	}
	if len(c.Files) > mostShow {
		faults.Add(source.Pos{}, "", "%d files are more than the %d of one bundle", len(c.Files), mostShow)
	}
	faults.Sort()
	return faults
}

// Name is the name that a bundle has by its title and its contents, without an ending.
// Files are no more changed after it.
func (c *Contents) Name() (string, error) {
	if err := c.measure(); err != nil {
		return "", err
	}
	return slug(c.Title) + "-" + identity(manifest(lists(c.files))), nil
}

// measure reads the show's files for their sums, once: a name holds for what is written
// under it.
func (c *Contents) measure() (err error) {
	if c.files == nil {
		c.files, err = measured(c.Files, showDir)
	}
	return err
}

// identity names a show by the sums of its files.
func identity(list string) string {
	s := sum(sha256.Sum256([]byte(list)))
	return s.String()[:16]
}

// entry is a file on its way into the zip file.
type entry struct {
	Source
	size int64
	sum  sum
	crc  uint32
	mode fs.FileMode
}

// Write writes a bundle. The same contents give the same bytes.
func Write(w io.Writer, c Contents) error {
	if err := c.measure(); err != nil {
		return err
	}
	programs, err := measured(c.Programs, programsDir)
	if err != nil {
		return err
	}
	for i := range programs {
		programs[i].mode = 0o755
	}
	size := int64(0)
	for _, f := range c.files {
		size += f.size
	}
	tags, err := measured([]Source{
		Text(bagFile, []byte(bagText)),
		Text(infoFile, []byte(c.text(size, len(c.files)))),
		Text(readMeFile, []byte(readMe(&c))),
		Text(listFile, []byte(manifest(lists(c.files)))),
	}, "")
	if err != nil {
		return err
	}
	more, err := measured([]Source{Text(tagListFile, []byte(manifest(lists(append(slices.Clone(tags), programs...)))))}, "")
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, e := range slices.Concat(tags, more, c.files, programs) {
		if err := e.write(z, slug(c.Title)); err != nil {
			return err
		}
	}
	return z.Close()
}

// measured reads files for their sums, in the order of their names.
func measured(files []Source, dir string) ([]entry, error) {
	var out []entry
	for _, f := range files {
		e := entry{Source: f, mode: 0o644}
		e.Name = path.Join(dir, f.Name)
		h, crc := sha256.New(), crc32.NewIEEE()
		var err error
		if e.size, err = copied(io.MultiWriter(h, crc), f); err != nil {
			return nil, err
		}
		e.sum, e.crc = sum(h.Sum(nil)), crc.Sum32()
		out = append(out, e)
	}
	slices.SortFunc(out, func(a, b entry) int { return cmp.Compare(a.Name, b.Name) })
	return out, nil
}

// copied copies what a source holds.
func copied(w io.Writer, f Source) (int64, error) {
	r, err := f.Open()
	if err != nil {
		return 0, err
	}
	n, err := io.Copy(w, r)
	if e := r.Close(); err == nil {
		err = e
	}
	return n, err
}

func lists(entries []entry) []listed {
	var out []listed
	for _, e := range entries {
		out = append(out, listed{e.Name, e.sum})
	}
	return out
}

// write writes the file as it is, with its size and sum before it: nothing is left for
// behind. One that changed since it was measured ends the work.
func (e *entry) write(z *zip.Writer, base string) error {
	h := &zip.FileHeader{Name: path.Join(base, e.Name), Method: zip.Store, CRC32: e.crc,
		CompressedSize64: uint64(e.size), UncompressedSize64: uint64(e.size)}
	h.SetMode(e.mode)
	//lint:ignore SA1019 what is written raw takes its date from here alone
	h.SetModTime(date)
	if len(h.Name) != utf8.RuneCountInString(h.Name) {
		h.Flags |= 0x800 // the name is UTF-8 (ISO/IEC 21320-1 has it so where it is not ASCII)
	}
	w, err := z.CreateRaw(h)
	if err != nil {
		return err
	}
	sha := sha256.New()
	n, err := copied(io.MultiWriter(w, sha), e.Source)
	if err == nil && (n != e.size || sum(sha.Sum(nil)) != e.sum) {
		err = fmt.Errorf("pack %s: it was changed while it was read", e.Name)
	}
	return err
}
