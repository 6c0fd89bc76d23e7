package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// attack is a deed on the written folder dir of a show; what lies beside the
// folder must stay as it is. It says what it did.
type attack func(s *randomShow, dir string) (string, error)

// victim draws the path of a file in the folder.
func (s *randomShow) victim(dir string) string {
	all := append(sorted(s.texts), sorted(s.bytes)...)
	return filepath.Join(dir, pick(s.r, all...))
}

// swap puts something else in the place of a file.
func swap(what string, put func(s *randomShow, path string) error) attack {
	return func(s *randomShow, dir string) (string, error) {
		path := s.victim(dir)
		if one(s.r, 4) {
			path = filepath.Join(dir, pick(s.r, "draft.yaml", "spotting.yaml", "readings.yaml", "fixtures/more.yaml", "cut-cues.yaml", "track.wav.print", ".lampblack-lock", ".lampblack-journal", ".score.yaml.lampblack-new"))
		}
		if err := os.RemoveAll(path); err != nil {
			return "", err
		}
		rel, _ := filepath.Rel(dir, path)
		return rel + " is " + what, put(s, path)
	}
}

func content(what string, make func(s *randomShow) []byte) attack {
	return swap(what, func(s *randomShow, path string) error { return os.WriteFile(path, make(s), 0o644) })
}

// append to a text what a reader may stumble over
func addition(what, text string) attack {
	return func(s *randomShow, dir string) (string, error) {
		path := filepath.Join(dir, pick(s.r, sorted(s.texts)...))
		old, err := readPlain(path)
		if err != nil {
			return "", nil // something else stands there by now
		}
		rel, _ := filepath.Rel(dir, path)
		return rel + " with " + what, os.WriteFile(path, append(old, text...), 0o644)
	}
}

func junk(s *randomShow, n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(s.r.Uint32())
	}
	return b
}

var attacks = []attack{
	content("binary junk", func(s *randomShow) []byte { return junk(s, 1+s.r.IntN(5000)) }),
	content("empty", func(*randomShow) []byte { return nil }),
	content("only remarks", func(*randomShow) []byte { return []byte("# nothing\n# at all\n") }),
	content("a deep list", func(*randomShow) []byte { return bytes.Repeat([]byte("["), 200_000) }),
	content("a deep mapping", func(*randomShow) []byte { return bytes.Repeat([]byte("{a: "), 100_000) }),
	content("a deep block", func(*randomShow) []byte {
		var b bytes.Buffer
		for i := range 1500 {
			b.WriteString(strings.Repeat(" ", i) + "a:\n")
		}
		return b.Bytes()
	}),
	content("dashes", func(*randomShow) []byte { return bytes.Repeat([]byte("- "), 300_000) }),
	content("a long value", func(*randomShow) []byte { return append([]byte("title: "), bytes.Repeat([]byte("x"), 5<<20)...) }),
	content("many unknown keys", func(*randomShow) []byte {
		var b bytes.Buffer
		for i := range 100_000 {
			fmt.Fprintf(&b, "key %d: value\n", i)
		}
		return b.Bytes()
	}),
	content("9 MiB of remarks", func(*randomShow) []byte { return bytes.Repeat([]byte("# no\n"), 9<<20/5) }),
	content("7 MiB of remarks", func(*randomShow) []byte { return bytes.Repeat([]byte("# no\n"), 7<<20/5) }),
	content("a bomb of aliases", func(*randomShow) []byte {
		return []byte("a: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a]\nc: &c [*b, *b, *b, *b, *b, *b, *b, *b]\nd: &d [*c, *c, *c, *c, *c, *c, *c]\ne: [*d, *d, *d, *d, *d]\n")
	}),
	content("an alias of itself", func(*randomShow) []byte { return []byte("a: &a [*a]\n") }),
	content("UTF-16", func(*randomShow) []byte { return []byte("\xff\xfet\x00i\x00t\x00l\x00e\x00:\x00 \x00a\x00") }),
	content("a list on top", func(*randomShow) []byte { return []byte("- a\n- b\n") }),
	content("a word", func(*randomShow) []byte { return []byte("hello\n") }),
	content("two documents", func(*randomShow) []byte { return []byte("title: a\n---\ntitle: b\n") }),
	content("zeros", func(*randomShow) []byte { return make([]byte, 100_000) }),
	swap("a pipe", func(_ *randomShow, path string) error { return syscall.Mkfifo(path, 0o644) }),
	swap("a pipe", func(_ *randomShow, path string) error { return syscall.Mkfifo(path, 0o644) }),
	swap("a folder", func(_ *randomShow, path string) error { return os.Mkdir(path, 0o755) }),
	swap("a link out of the folder", func(s *randomShow, path string) error {
		return os.Symlink(pick(s.r, "../outside/secret.yaml", "../../outside/secret.yaml", "/etc/passwd", "../outside", "../outside/not yet.yaml"), path)
	}),
	swap("a link to itself", func(_ *randomShow, path string) error { return os.Symlink(filepath.Base(path), path) }),
	swap("a link to nothing", func(_ *randomShow, path string) error { return os.Symlink("nothing", path) }),
	swap("a link to another file of the folder", func(s *randomShow, path string) error { return os.Symlink("score.yaml", path) }),
	swap("a device", func(s *randomShow, path string) error {
		return os.Symlink(pick(s.r, "/dev/zero", "/dev/tty", "/dev/full", "/proc/self/mem"), path)
	}),
	swap("unreadable", func(_ *randomShow, path string) error { return os.WriteFile(path, []byte("a: b\n"), 0) }),
	func(s *randomShow, dir string) (string, error) { // the folder of fixtures
		path := filepath.Join(dir, "fixtures")
		if err := os.RemoveAll(path); err != nil {
			return "", err
		}
		switch s.r.IntN(5) {
		case 0:
			return "fixtures is a file", os.WriteFile(path, []byte("a: b\n"), 0o644)
		case 1:
			return "fixtures is a pipe", syscall.Mkfifo(path, 0o644)
		case 2:
			return "fixtures leads out", os.Symlink("../outside", path)
		case 3:
			return "fixtures leads to itself", os.Symlink("fixtures", path)
		}
		if err := os.Mkdir(path, 0o755); err != nil {
			return "", err
		}
		for i := range 1000 {
			if err := os.WriteFile(filepath.Join(path, fmt.Sprintf("x%d.yaml", i)), []byte("name: x\n"), 0o644); err != nil {
				return "", err
			}
		}
		return "fixtures holds 1000 bad types", nil
	},
	func(s *randomShow, dir string) (string, error) { // cut off, or a byte turned
		path := filepath.Join(dir, pick(s.r, sorted(s.texts)...))
		old, err := readPlain(path)
		if err != nil || len(old) == 0 {
			return "", nil
		}
		i := s.r.IntN(len(old))
		rel, _ := filepath.Rel(dir, path)
		if one(s.r, 2) {
			return rel + " is cut off", os.WriteFile(path, old[:i], 0o644)
		}
		old[i] ^= 1 << s.r.IntN(8)
		return fmt.Sprintf("%s has a bit turned at %d", rel, i), os.WriteFile(path, old, 0o644)
	},
	addition("a tab", "\n\tx: y\n"),
	addition("a tag", "\nplace: !!python/object:os.system x\n"),
	addition("a zero byte", "\nplace: a\x00b\n"),
	addition("no UTF-8", "\nplace: \xff\xfe\xc0\xaf\n"),
	addition("escape characters", "\n\"\\e[2J\\a\\x9b31m\": \"\\u202egnol\\u2066\"\n"),
	addition("a second document", "\n---\ntitle: other\n...\nrubbish\n"),
	addition("a merge key", "\n<<: {title: other}\n"),
	addition("an open bracket", "\nplace: [a, b\n"),
	addition("returns", "\rplace: a\rtitle: b\r"),
	func(s *randomShow, dir string) (string, error) { // control and direction characters in names
		for range 1 + s.r.IntN(4) {
			p, _, ok := s.anywhere(under("unit|name|like|look|system|systems|title|object|line|circuit|why|place|note|day|cue"))
			if !ok {
				return "", nil
			}
			p.node().text += pick(s.r, "\x1b[2J", "\a", "\u202egnol", "\u2066", "\r", "\n", "\x00", "\u200b", "\u0085", "\u2028", "\ufffe", "\U000e0041", "\x9b")
		}
		for _, file := range sorted(s.texts) {
			if err := os.WriteFile(filepath.Join(dir, file), []byte(s.texts[file].print(s.r)), 0o644); err != nil {
				return "", nil // something else stands there by now
			}
		}
		return "control characters in names", nil
	},
	func(s *randomShow, dir string) (string, error) { // far too much of one thing
		n := pick(s.r, 1000, 5000, 20_000)
		what := pick(s.r, "cues", "looks", "units", "surfaces", "audience", "calm", "paths", "chain")
		file := map[string]string{"units": "rig.yaml", "surfaces": "room.yaml", "audience": "room.yaml", "paths": "room.yaml"}[what]
		if file == "" {
			file = "score.yaml"
		}
		t := s.texts[file]
		if t == nil || len(s.units) == 0 {
			return "", nil
		}
		all := seq()
		group := m()
		for i := range n {
			switch what {
			case "cues":
				all.kids = append(all.kids, m("cue", fmt.Sprint(i+1), "at", fmt.Sprintf("%.4f s", float64(i)*s.track.seconds()/float64(n)), "look", pick(s.r, s.looks...), "up", "0 s", "returns", "0.1 s"))
			case "looks":
				group.set(fmt.Sprintf("look no %d", i), m("parts", seq(m("units", s.units[0].name, "colour", "#ffffff", "level", "10 %"))))
			case "chain":
				l := m()
				if i > 0 {
					l.set("like", vf("look no %d", i-1))
				} else {
					l.set("parts", seq(m("units", s.units[0].name, "colour", "#ffffff", "level", "10 %")))
				}
				group.set(fmt.Sprintf("look no %d", i), l)
			case "units":
				all.kids = append(all.kids, m("unit", fmt.Sprintf("no %d", i), "type", s.types[0].name, "mode", s.types[0].modes[0].name, "universe", fmt.Sprint(100+i), "address", "1", "at", seq(v("0 m"), v("0 m"), v("1 m")), "aim", seq(v("0.1 m"), v("0.5 m"), v("0.2 m"))))
			case "audience":
				all.kids = append(all.kids, m("name", fmt.Sprintf("no %d", i), "at", seq(v("0 m"), v("0 m"), v("1 m"))))
			case "surfaces":
				group.set(fmt.Sprintf("no %d", i), m("centre", seq(v("0 m"), v("0.5 m"), v("1 m")), "width", "0.2 m", "height", "0.2 m", "faces", seq(v("0 m"), v("-1 m"), v("0 m"))))
			case "paths":
				group.set(fmt.Sprintf("no %d", i), m("points", seq(seq(v("0 m"), v("0 m"), v("0 m")), seq(v("0.2 m"), v("0.5 m"), v("0 m")))))
			case "calm":
				all.kids = append(all.kids, m("from", fmt.Sprintf("%.4f s", float64(i)/float64(n)), "to", fmt.Sprintf("%.4f s", (float64(i)+0.5)/float64(n))))
			}
		}
		with := all
		key := what
		if len(group.kids) > 0 {
			with = group
		}
		if what == "chain" {
			key = "looks"
		}
		if old := t.get(key); old != nil && old.kind == with.kind {
			old.keys, old.kids = append(old.keys, with.keys...), append(old.kids, with.kids...)
		} else if old == nil {
			t.set(key, with)
		}
		if err := os.WriteFile(filepath.Join(dir, file), []byte(t.print(s.r)), 0o644); err != nil {
			return "", nil
		}
		return fmt.Sprintf("%d %s", n, what), nil
	},
	func(s *randomShow, dir string) (string, error) { // a broken soundtrack
		for _, track := range sorted(s.bytes) {
			if strings.HasSuffix(track, ".wav") {
				what, b := badWave(s)
				return track + " is " + what, os.WriteFile(filepath.Join(dir, track), b, 0o644)
			}
		}
		return "", nil
	},
	func(s *randomShow, dir string) (string, error) { // a broken new take
		what, b := badWave(s)
		return "the new take is " + what, os.WriteFile(filepath.Join(dir, "..", "take.wav"), b, 0o644)
	},
	func(s *randomShow, dir string) (string, error) { // a wrong print
		tracks := sorted(s.bytes)
		if len(tracks) == 0 {
			return "", nil
		}
		track := tracks[0]
		b := append([]byte("lampblack print 1\n"), junk(s, s.r.IntN(3000))...)
		if one(s.r, 3) {
			b = junk(s, 100)
		}
		if one(s.r, 2) { // the old take is gone: the print is all there is
			if err := os.Remove(filepath.Join(dir, track)); err != nil {
				return "", nil
			}
		}
		return track + ".print is wrong", os.WriteFile(filepath.Join(dir, track+".print"), b, 0o644)
	},
	leftJournal, leftJournal, leftJournal,
}

// leftJournal leaves what a cut-off edit leaves, or what looks like it.
func leftJournal(s *randomShow, dir string) (string, error) {
	sum := func(b []byte) string { return fmt.Sprintf("%x", sha256.Sum256(b)) }
	name := pick(s.r, "score.yaml", "rig.yaml", "../outside/secret.yaml", "/tmp/x", "fixtures/../../outside/secret.yaml", ".lampblack-journal", "", ".", "fixtures", "cut-cues.yaml", "-o")
	fresh := []byte("title: written by a journal\n")
	old, _ := readPlain(filepath.Join(dir, "score.yaml"))
	j := fmt.Sprintf(`{"form": %s, "changes": [{"name": %q, "old": %q, "new": %q}]}`,
		pick(s.r, "1", "1", "1", "2", `"x"`), name, pick(s.r, "", sum(old), "00"), pick(s.r, sum(fresh), sum(fresh), "00"))
	beside := filepath.Join(dir, filepath.Dir(name), "."+filepath.Base(name)+".lampblack-new")
	if rel, err := filepath.Rel(filepath.Dir(dir), beside); err == nil && !strings.HasPrefix(rel, "..") {
		switch s.r.IntN(4) {
		case 0:
			_ = syscall.Mkfifo(beside, 0o644)
		case 1:
			_ = os.Symlink("../outside/secret.yaml", beside)
		default:
			_ = os.WriteFile(beside, fresh, 0o644)
		}
	}
	b := []byte(j)
	switch s.r.IntN(6) {
	case 0:
		b = b[:s.r.IntN(len(b))]
	case 1:
		b = junk(s, 500)
	case 2:
		b = append(bytes.Repeat([]byte(`{"form":`), 100_000), b...)
	}
	return "a journal for " + name, os.WriteFile(filepath.Join(dir, ".lampblack-journal"), b, 0o644)
}

// badWave is a sound file that is broken, or odd beyond use.
func badWave(s *randomShow) (string, []byte) {
	b := s.track.wave()
	le := binary.LittleEndian
	switch s.r.IntN(16) {
	case 0:
		return "cut off", b[:s.r.IntN(len(b))]
	case 1:
		return "cut off in its head", b[:s.r.IntN(44)]
	case 2:
		x := s.track
		x.samples = x.samples[:1]
		return "one sample", x.wave()
	case 3:
		x := s.track
		x.samples = nil
		return "no sample", x.wave()
	case 4:
		x := s.track
		x.samples = make([]float64, len(x.samples))
		return "silence", x.wave()
	case 5:
		le.PutUint32(b[40:], 0xffffffff)
		return "declared as 4 GiB", b
	case 6:
		le.PutUint32(b[40:], 0x7ffffff0)
		le.PutUint32(b[4:], 0xfffffff0)
		return "declared as 2 GiB", b
	case 7:
		le.PutUint16(b[22:], 0)
		return "without a channel", b
	case 8:
		le.PutUint16(b[22:], 65535)
		return "of 65535 channels", b
	case 9:
		le.PutUint32(b[24:], 0)
		return "of 0 Hz", b
	case 10:
		le.PutUint32(b[24:], 0xffffffff)
		return "of 4 GHz", b
	case 11:
		le.PutUint32(b[24:], 1)
		return "of 1 Hz", b
	case 12:
		le.PutUint16(b[34:], uint16(pick(s.r, 0, 1, 64, 12)))
		return "of an odd number of bits", b
	case 13:
		le.PutUint32(b[16:], pick(s.r, uint32(0), 1, 0xffffffff))
		return "of an odd head", b
	case 14:
		le.PutUint16(b[20:], uint16(pick(s.r, 0, 2, 3, 0xfffe, 85)))
		return "of another coding", b
	}
	return "text", []byte("this is no sound\n")
}

// readPlain reads a file, and nothing that another attack has put there.
func readPlain(path string) ([]byte, error) {
	if info, err := os.Lstat(path); err != nil {
		return nil, err
	} else if !info.Mode().IsRegular() {
		return nil, fs.ErrExist
	}
	return os.ReadFile(path)
}
