package bundle

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lampblack/folder"
)

// small is a show, as far as this package looks at one.
func small() Contents {
	return Contents{
		Label: Label{Title: "The Owl’s\nNight", Version: "0123456789abcdef", Program: "Lampblack v1", Light: []Light{{"", "00ff"}, {"walk/all", "11ee"}}},
		Files: []Source{
			Text("show.yaml", []byte("title: The Owl's Night\n")), Text("fixtures/par 100%.yaml", []byte("name: par\n")),
			Text("größe.wav", bytes.Repeat([]byte("sound"), 300)), Text("empty.yaml", nil),
		},
		Programs: []Source{Text("linux-amd64/lampblack", []byte("\x7fELF"))},
	}
}

func packed(t testing.TB, c Contents) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// put writes bytes into a file of the test's own.
func put(t testing.TB, data []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "show.zip")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// unpacked opens, checks and unpacks, and returns what came out, or what was wrong.
func unpacked(t testing.TB, name string) (map[string]string, error) {
	t.Helper()
	b, faults, err := Open(t.Context(), name)
	if err != nil {
		return nil, err
	}
	if faults.Err() != nil {
		return nil, faults.Err()
	}
	defer b.Close()
	checked, err := b.Check(nil)
	if err != nil {
		return nil, err
	}
	dir := t.TempDir()
	into, err := folder.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	err = b.Unpack(into)
	out := map[string]string{}
	walked := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if walked != nil {
		t.Fatal(walked)
	}
	if err != nil && len(out) > 0 {
		t.Errorf("unpacking failed (%v) and left %d files", err, len(out))
	}
	if err == nil {
		err = checked.Err()
	}
	return out, err
}

func contentsOf(t testing.TB, c Contents) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, f := range c.Files {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, _ := io.ReadAll(r)
		out[f.Name] = string(data)
	}
	return out
}

func same(a, b map[string]string) bool { return fmt.Sprint(a) == fmt.Sprint(b) } // maps print in order

// What goes in comes out; the order in which it is given does not show in the bytes.
func TestRoundTrip(t *testing.T) {
	c := small()
	data := packed(t, c)
	slices.Reverse(c.Files)
	if !bytes.Equal(data, packed(t, c)) {
		t.Error("another order gives other bytes")
	}
	name := put(t, data)
	got, err := unpacked(t, name)
	if err != nil {
		t.Fatal(err)
	}
	if !same(got, contentsOf(t, c)) {
		t.Errorf("came out as %q", got)
	}
	b, _, err := Open(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	want := c.Label
	want.Title = "The Owl’s Night"
	if fmt.Sprint(b.Label) != fmt.Sprint(want) {
		t.Errorf("the label is %+v", b.Label)
	}
	if own, _ := c.Name(); own != "the-owls-night-"+b.ID {
		t.Errorf("it is called %s, and names itself %s", own, b.ID)
	}
	if len(b.Programs) != 1 || b.Programs[0].Name != "linux-amd64/lampblack" {
		t.Errorf("programs %+v", b.Programs)
	}
}

// A bundle that is named by its contents reads each file twice, and holds what it is named by:
// a file that changes in between ends the work.
func TestNamedByWhatIsWritten(t *testing.T) {
	c, reads, text := small(), 0, "what listening heard"
	c.Files = append(c.Files, Source{"heard/a.bin", func() (io.ReadCloser, error) {
		reads++
		return io.NopCloser(strings.NewReader(text)), nil
	}})
	name, err := c.Name()
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := Open(t.Context(), put(t, packed(t, c)))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if name != "the-owls-night-"+b.ID || reads != 2 {
		t.Errorf("named %s, it is %s; read %d times", name, b.ID, reads)
	}
	text = "something else by now"
	if err := Write(io.Discard, c); err == nil {
		t.Error("it was written under the name of what was there before")
	}
}

// Who stops waits for no large file that is read.
func TestUnpackEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	b, _, err := Open(ctx, put(t, packed(t, small())))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	into, err := folder.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	cancel()
	if err := b.Unpack(into); !errors.Is(err, context.Canceled) {
		t.Errorf("unpacking ended with %v", err)
	}
}

// Unpacking over an older state makes it the new one, but for what is to be kept.
func TestUnpackOver(t *testing.T) {
	c := small()
	c.Files = append(c.Files, Text("tonight.yaml", []byte("trims of the night before")), Text("hall.yaml", []byte("hall")))
	name := put(t, packed(t, c))
	dir := t.TempDir()
	for file, text := range map[string]string{"show.yaml": "title: old\n", "more.yaml": "x", "tonight.yaml": "trims"} {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	b, _, err := Open(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	into, err := folder.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	if err := b.Unpack(into, "tonight.yaml", "hall.yaml"); err != nil {
		t.Fatal(err)
	}
	var names []string
	_ = fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, _ error) error {
		if !d.IsDir() {
			names = append(names, name)
		}
		return nil
	})
	if want := []string{"empty.yaml", "fixtures/par 100%.yaml", "größe.wav", "hall.yaml", "show.yaml", "tonight.yaml"}; !slices.Equal(names, want) {
		t.Errorf("the folder holds %q", names)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "show.yaml")); string(text) != "title: The Owl's Night\n" {
		t.Errorf("show.yaml is %q", text)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "tonight.yaml")); string(text) != "trims" {
		t.Errorf("what was set for tonight is %q", text)
	}
}

// The profile of ISO/IEC 21320-1:2015 (from memory): version needed at most 4.5, methods 0
// and 8, of the flags only bits 1, 2, 3 and 11, the last wherever a name is not ASCII.
func TestPlainZip(t *testing.T) {
	data := packed(t, small())
	at, entries := 0, 0
	for binary.LittleEndian.Uint32(data[at:]) == 0x04034b50 { // a local file header
		version, flags, method := binary.LittleEndian.Uint16(data[at+4:]), binary.LittleEndian.Uint16(data[at+6:]), binary.LittleEndian.Uint16(data[at+8:])
		size := int(binary.LittleEndian.Uint32(data[at+18:]))
		name := string(data[at+30:][:binary.LittleEndian.Uint16(data[at+26:])])
		extra := int(binary.LittleEndian.Uint16(data[at+28:]))
		ascii := strings.IndexFunc(name, func(r rune) bool { return r > 127 }) < 0
		if version > 45 || method != 0 || flags&^0x800 != 0 || (flags == 0x800) == ascii {
			t.Errorf("%s: version %d, flags %x, method %d", name, version, flags, method)
		}
		at += 30 + len(name) + extra + size
		entries++
	}
	if entries != 10 {
		t.Errorf("%d entries", entries)
	}
}

// The names and forms of RFC 8493, sections 2.1 and 2.2.
func TestBag(t *testing.T) {
	z, err := zip.NewReader(bytes.NewReader(packed(t, small())), int64(len(packed(t, small()))))
	if err != nil {
		t.Fatal(err)
	}
	text := func(name string) string {
		f, err := z.Open("the-owls-night/" + name)
		if err != nil {
			t.Fatal(err)
		}
		data, _ := io.ReadAll(f)
		return string(data)
	}
	if got := text("bagit.txt"); got != "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n" {
		t.Errorf("bagit.txt is %q", got)
	}
	list := text("manifest-sha256.txt")
	// SHA-256 of no bytes: FIPS 180-4 gives the function, NIST's CAVS vectors this value.
	if want := "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  data/empty.yaml\n"; !strings.Contains(list, want) {
		t.Errorf("the list lacks %q: %s", want, list)
	}
	if !strings.Contains(list, "  data/fixtures/par 100%25.yaml\n") {
		t.Errorf("a per cent sign is to be written %%25: %s", list)
	}
	if !strings.Contains(text("bag-info.txt"), "Payload-Oxum: 1533.4\n") {
		t.Errorf("bag-info.txt is %s", text("bag-info.txt"))
	}
}

// Programs of others unpack it and find every sum right.
func TestCommonProgramsOpenIt(t *testing.T) {
	name := put(t, packed(t, small()))
	for _, p := range []string{"unzip", "sha256sum"} {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("outside check left out: needs %s", p)
		}
	}
	dir := t.TempDir()
	if out, err := exec.Command("unzip", "-q", name, "-d", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	check := exec.Command("sha256sum", "--check", "--strict", "tagmanifest-sha256.txt")
	check.Dir = filepath.Join(dir, "the-owls-night")
	if out, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
	if info, err := os.Stat(filepath.Join(check.Dir, "programs/linux-amd64/lampblack")); err != nil || info.Mode()&0o111 == 0 {
		t.Errorf("the program cannot be run: %v %v", info.Mode(), err)
	}
}

// One byte that is another, anywhere, or an end that is missing: it is told, or what comes
// out is what went in. Nothing panics, and nothing is left half unpacked.
func TestDamagedAnywhere(t *testing.T) {
	c := small()
	whole := packed(t, c)
	want := contentsOf(t, c)
	dice := rand.New(rand.NewPCG(13, 8))
	name := put(t, whole)
	rounds := 250
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds = 20000
	}
	told := 0
	for range rounds {
		data := bytes.Clone(whole)
		at := dice.IntN(len(data))
		what := fmt.Sprintf("byte %d changed", at)
		if dice.IntN(4) == 0 {
			data, what = data[:at], fmt.Sprintf("cut at byte %d", at)
		} else {
			data[at] ^= byte(1 + dice.IntN(255))
		}
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		got, err := unpacked(t, name)
		if err != nil {
			told++
		} else if !same(got, want) {
			t.Errorf("%s: something else came out and nothing was said", what)
		}
	}
	if told < rounds*3/4 {
		t.Errorf("%d of %d were told", told, rounds)
	}
}

// made is a zip file of any entries at all.
func made(t testing.TB, entries ...zip.FileHeader) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, h := range entries {
		text := h.Comment // which these tests use for the contents
		h.Comment = ""
		w, err := z.CreateHeader(&h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// rewritten packs the entries of a bundle once more, as change leaves them.
func rewritten(t testing.TB, change func(name string, data []byte) (string, []byte)) []byte {
	t.Helper()
	whole := packed(t, small())
	z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	var list []zip.FileHeader
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, _ := io.ReadAll(r)
		name, data := change(strings.TrimPrefix(f.Name, "the-owls-night/"), data)
		if name != "" {
			list = append(list, zip.FileHeader{Name: "the-owls-night/" + name, Method: zip.Deflate, Comment: string(data)})
		}
	}
	return made(t, list...)
}

func TestHostile(t *testing.T) {
	entry := func(name, text string) zip.FileHeader { return zip.FileHeader{Name: name, Comment: text} }
	link := entry("a/data/link", "/etc/passwd")
	link.SetMode(fs.ModeSymlink | 0o777)
	secret := entry("a/data/x", "x")
	secret.Flags = 1
	except := func(which, becomes string) []byte {
		return rewritten(t, func(name string, data []byte) (string, []byte) {
			if name == which {
				return becomes, data
			}
			return name, data
		})
	}
	edited := func(which, old, becomes string) []byte {
		return rewritten(t, func(name string, data []byte) (string, []byte) {
			if name == which {
				return name, bytes.Replace(data, []byte(old), []byte(becomes), 1)
			}
			return name, data
		})
	}
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"nothing", ErrNone.Error(), nil},
		{"something else", ErrNone.Error(), []byte("title: a show\n")},
		{"another zip file", "this zip file is no bundle", made(t, entry("a/x.txt", "x"))},
		{"out of the folder", "it leads out of the folder", made(t, entry("a/../../x", "x"))},
		{"absolute", "it leads out of the folder", made(t, entry("/etc/x", "x"))},
		{"backslashes", "one of the characters", made(t, entry(`a\..\x`, "x"))},
		{"a drive", "one of the characters", made(t, entry(`a/C:x`, "x"))},
		{"a device of Windows", "Windows keeps this name", made(t, entry("a/data/aux.yaml", "x"))},
		{"hidden", "it begins with a point", made(t, entry("a/data/.lampblack-journal", "x"))},
		{"a control character", "cannot be seen", made(t, entry("a/data/x\x1b[2J", "x"))},
		{"a link", "it is a link", made(t, link)},
		{"encrypted", "it is encrypted", made(t, secret)},
		{"twice", "stands twice", made(t, entry("a/data/x", "x"), entry("a/data/x", "y"))},
		{"small and capital", "stands twice", made(t, entry("a/data/x", "x"), entry("a/data/X", "y"))},
		{"a file and a folder", "stands twice", made(t, entry("a/data/x", "x"), entry("a/data/x/y", "y"))},
		{"two folders", "holds one folder", made(t, entry("a/data/x", "x"), entry("b/data/x", "y"))},
		{"one that is listed is gone", "is listed and is not there", except("data/show.yaml", "")},
		{"one that is not listed", "in no list", except("READ-ME-FIRST.txt", "data/more.yaml")},
		{"a program that is not listed", "in no list", except("READ-ME-FIRST.txt", "programs/x/lampblack")},
		{"no list", "the file is missing", except("manifest-sha256.txt", "")},
		{"no bag", "the file is missing", except("bagit.txt", "")},
		{"files to be fetched", "nothing is fetched", except("READ-ME-FIRST.txt", "fetch.txt")},
		{"another bag", "not a bag of version 1.0", edited("bagit.txt", "1.0", "7.0")},
		{"a text that was changed", "does not hold what its list says", edited("data/show.yaml", "Owl", "Cat")},
		{"a sum that was changed too, but not its list's", "does not hold what its list says", edited("manifest-sha256.txt", "e3b0", "e3b1")},
		{"a line that is none", "no sum and a name", edited("tagmanifest-sha256.txt", "  bag-info", "bag-info")},
		{"a size that was changed", "bag-info.txt", edited("bag-info.txt", "1533.4", "1533.5")},
		{"a title that was changed", "does not hold what its list says", edited("bag-info.txt", "Owl", "Cat")},
	} {
		name := put(t, c.data)
		_, err := unpacked(t, name)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// Files that are made to fill a disk: one that shrinks a thousandfold, and many that are
// all the same bytes (D. Fifield, "A better zip bomb", USENIX WOOT 2019).
func TestBombs(t *testing.T) {
	zeros := strings.Repeat("\x00", 100<<20)
	_, err := unpacked(t, put(t, made(t, zip.FileHeader{Name: "a/data/x", Method: zip.Deflate, Comment: "x"}, bomb(zeros))))
	if err == nil || !strings.Contains(err.Error(), "it would unpack to") {
		t.Errorf("a file that shrinks a thousandfold: %v", err)
	}
	data := made(t, zip.FileHeader{Name: "a/data/x", Comment: "first"}, zip.FileHeader{Name: "a/data/y", Comment: "other"})
	// The second entry of the list leads to the first one's bytes: bytes 42 to 45 of it.
	second := bytes.LastIndex(data, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(data[second+42:], 0)
	if _, err := unpacked(t, put(t, data)); err == nil || !strings.Contains(err.Error(), "shares bytes") {
		t.Errorf("two files that are the same bytes: %v", err)
	}
	// A size that the list of entries makes up.
	data = made(t, zip.FileHeader{Name: "a/bagit.txt", Comment: "x"})
	list := bytes.LastIndex(data, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(data[list+24:], 1<<31)
	if _, err := unpacked(t, put(t, data)); err == nil || !strings.Contains(err.Error(), "it would unpack to") {
		t.Errorf("a size that is made up: %v", err)
	}
}

func bomb(contents string) zip.FileHeader {
	return zip.FileHeader{Name: "a/data/zeros", Method: zip.Deflate, Comment: contents}
}

// What was packed again by hand, compressed, opens all the same.
func TestPackedAgain(t *testing.T) {
	data := rewritten(t, func(name string, data []byte) (string, []byte) { return name, data })
	got, err := unpacked(t, put(t, data))
	if err != nil || !same(got, contentsOf(t, small())) {
		t.Errorf("%v: %q", err, got)
	}
}

// Names that one system or another cannot hold are told before anything is written.
func TestNames(t *testing.T) {
	c := Contents{}
	for _, name := range []string{"good.yaml", "con.wav", "what?.wav", "Good.YAML", "x. ", "a/b", "A/c", strings.Repeat("x", 200)} {
		c.Files = append(c.Files, Text(name, nil))
	}
	faults := c.Faults()
	if len(faults) != 6 {
		t.Errorf("%d faults: %v", len(faults), faults)
	}
}

// A file that changes between its sum and its bytes is told, and no bundle comes about.
func TestChangedWhilePacked(t *testing.T) {
	n := 0
	c := Contents{Files: []Source{{"x.wav", func() (io.ReadCloser, error) {
		n++
		return io.NopCloser(strings.NewReader(fmt.Sprint("take ", n))), nil
	}}}}
	if err := Write(io.Discard, c); err == nil || !strings.Contains(err.Error(), "changed while it was read") {
		t.Error(err)
	}
}

// Whatever the bytes, opening returns.
func FuzzOpen(f *testing.F) {
	f.Add(packed(f, small()))
	f.Add([]byte("PK\x03\x04"))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Fuzz(func(t *testing.T, data []byte) {
		name := put(t, data)
		b, faults, err := Open(t.Context(), name)
		if b == nil {
			if err == nil && faults.Err() == nil {
				t.Error("neither a bundle nor what is wrong with it")
			}
			return
		}
		defer b.Close()
		if _, err := b.Check(nil); err != nil && !errors.Is(err, fs.ErrClosed) {
			t.Error(err)
		}
		for _, file := range b.Files {
			if unheld(file.Name) != "" {
				t.Errorf("a file called %q", file.Name)
			}
		}
	})
}
