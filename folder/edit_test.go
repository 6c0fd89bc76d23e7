package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// state is all files that a person sees in a folder.
func state(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") {
			return err
		}
		data, err := os.ReadFile(name)
		short, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(short)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func hidden(t testing.TB, dir string) []string {
	t.Helper()
	var out []string
	_ = filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err == nil && strings.HasPrefix(d.Name(), ".") {
			out = append(out, name)
		}
		return nil
	})
	return out
}

func write(t testing.TB, dir string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		full := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(full), 0o755), os.WriteFile(full, []byte(text), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
}

var (
	before = map[string]string{"score.yaml": "old score", "show.yaml": "old show", "fixtures/par.yaml": "par", "cut.yaml": "cut"}
	after  = map[string]string{"score.yaml": "new score", "show.yaml": "new show", "fixtures/par.yaml": "par", "sounds/two/new.wav": strings.Repeat("sound", 1000)}
)

// change makes the edit from before to after.
func changeAll(ctx context.Context, dir string) error {
	f, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.ReadFile("score.yaml"); err != nil {
		return err
	}
	e := f.Edit()
	e.Stream("sounds/two/new.wav", func(w io.Writer) error {
		_, err := io.WriteString(w, after["sounds/two/new.wav"])
		return err
	})
	e.Put("score.yaml", []byte(after["score.yaml"]))
	e.Put("show.yaml", []byte(after["show.yaml"]))
	e.Remove("cut.yaml")
	return e.Commit()
}

var errDisk = errors.New("the disk is full")

// A fault at any step, once or from there on as when the process is killed,
// leaves the whole old or the whole new state for whoever opens the folder
// next, and nothing lying about after the next edit.
func TestFaultAtEveryStep(t *testing.T) {
	steps := 0
	for _, killed := range []bool{false, true} {
		for n := 0; ; n++ {
			dir := t.TempDir()
			write(t, dir, before)
			at, count := "", 0
			ctx := WithFaults(t.Context(), func(step, name string) error {
				count++
				if count-1 == n || killed && count > n {
					if at == "" {
						at = step + " " + name
					}
					return errDisk
				}
				return nil
			})
			err := changeAll(ctx, dir)
			if at == "" {
				if err != nil {
					t.Fatal(err)
				}
				steps = max(steps, n)
				break
			}
			f, openErr := Open(t.Context(), dir)
			if openErr != nil {
				t.Fatalf("fault at %s: open: %v", at, openErr)
			}
			f.Close()
			got := state(t, dir)
			isNew := maps.Equal(got, after)
			if !isNew && !maps.Equal(got, before) {
				t.Errorf("fault at %s, killed %v: neither old nor new: %v", at, killed, slices.Sorted(maps.Keys(got)))
			}
			if _, err := os.Stat(filepath.Join(dir, "sounds")); !isNew && !killed && err == nil {
				t.Errorf("fault at %s: left an empty folder", at)
			}
			if err == nil && !isNew {
				t.Errorf("fault at %s: said to be written, and is not", at)
			}
			if err := changeAll(t.Context(), dir); err != nil {
				t.Errorf("fault at %s: the next edit: %v", at, err)
			}
			if h := hidden(t, dir); len(h) > 0 {
				t.Errorf("fault at %s, killed %v: left %v", at, killed, h)
			}
		}
	}
	if steps < 20 {
		t.Errorf("only %d steps were tried", steps)
	}
}

// The new files and their names are on the disk before the journal counts, and
// the journal before anything is put in place (the order that a loss of power
// needs: rename(2) is atomic, and only fsync(2) makes it lasting).
func TestOrderOfSteps(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, before)
	var trace []string
	ctx := WithFaults(t.Context(), func(step, name string) error {
		trace = append(trace, step+" "+name)
		return nil
	})
	if err := changeAll(ctx, dir); err != nil {
		t.Fatal(err)
	}
	last := -1
	for _, want := range []string{
		"lock " + lockName,
		"write .score.yaml" + tempEnding, "sync .score.yaml" + tempEnding,
		"sync .",
		"write .." + strings.TrimPrefix(journalName, ".") + tempEnding, "sync .." + strings.TrimPrefix(journalName, ".") + tempEnding,
		"rename " + journalName, "sync .",
		"rename sounds/two/new.wav", "rename score.yaml", "rename show.yaml", "remove cut.yaml",
		"sync .", "remove " + journalName,
	} {
		i := slices.Index(trace[last+1:], want)
		if i < 0 {
			t.Fatalf("%q does not come after %q in\n%s", want, at(trace, last), strings.Join(trace, "\n"))
		}
		last += 1 + i
	}
	if i := slices.Index(trace, "sync sounds/two"); i < 0 || i > slices.Index(trace, "rename "+journalName) {
		t.Error("the name of the new sound is not on the disk before the journal")
	}
}

func at(list []string, i int) string {
	if i < 0 {
		return "the beginning"
	}
	return list[i]
}

// An edit of what somebody else changed meanwhile is refused, and what was read
// is part of it even when it is not written.
func TestChangedMeanwhile(t *testing.T) {
	for _, changed := range []string{"read.yaml", "written.yaml", "absent.yaml"} {
		dir := t.TempDir()
		write(t, dir, map[string]string{"read.yaml": "1", "written.yaml": "1"})
		f, err := Open(t.Context(), dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"read.yaml", "written.yaml", "absent.yaml"} {
			if _, err := f.Optional(name); err != nil {
				t.Fatal(err)
			}
		}
		write(t, dir, map[string]string{changed: "by hand"})
		e := f.Edit()
		e.Put("written.yaml", []byte("2"))
		if err := e.Commit(); !errors.Is(err, ErrChanged) {
			t.Errorf("%s changed: got %v", changed, err)
		}
		if got := state(t, dir)[changed]; got != "by hand" {
			t.Errorf("%s became %q", changed, got)
		}
		if err := f.Unchanged(); !errors.Is(err, ErrChanged) {
			t.Errorf("%s changed: the reader is told %v", changed, err)
		}
		f.Close()
	}
}

// killedAfter cuts the edit off at the first step that is asked for.
func killedAfter(t *testing.T, dir, step, name string) {
	t.Helper()
	dead := false
	ctx := WithFaults(t.Context(), func(s, n string) error {
		if dead = dead || s == step && n == name; dead {
			return errDisk
		}
		return nil
	})
	if err := changeAll(ctx, dir); err == nil {
		t.Fatal("the edit was not cut off")
	}
}

// What a person wrote after a cut is never written over.
func TestByHandAfterACut(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, before)
	killedAfter(t, dir, "rename", "sounds/two/new.wav") // counts, nothing in place
	write(t, dir, map[string]string{"score.yaml": "by hand"})
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	want := maps.Clone(before)
	want["score.yaml"] = "by hand"
	if got := state(t, dir); !maps.Equal(got, want) || len(hidden(t, dir)) > 0 {
		t.Errorf("nothing was in place: got %v, left %v", got, hidden(t, dir))
	}

	dir = t.TempDir()
	write(t, dir, before)
	killedAfter(t, dir, "rename", "show.yaml") // the score is in place
	write(t, dir, map[string]string{"show.yaml": "by hand"})
	if f, err = Open(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want = maps.Clone(after)
	want["show.yaml"], want["show.yaml.not-written"] = "by hand", after["show.yaml"]
	if got := state(t, dir); !maps.Equal(got, want) || !slices.Equal(f.Left(), []string{"show.yaml.not-written"}) {
		t.Errorf("the score was in place: got %v, told %v", got, f.Left())
	}
}

// Where an edit that counts cannot be put in place, as on read-only media, it
// is read as if it were.
func TestReadAsIfFinished(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, before)
	killedAfter(t, dir, "rename", "score.yaml")
	readOnly := WithFaults(t.Context(), func(string, string) error { return syscall.EROFS })
	f, err := Open(readOnly, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, name := range []string{"score.yaml", "show.yaml", "sounds/two/new.wav"} {
		if got, err := f.ReadFile(name); string(got) != after[name] {
			t.Errorf("%s reads %.20q, %v", name, got, err)
		}
	}
	if path, err := f.Path("sounds/two/new.wav"); err != nil || filepath.Base(path) != "new.wav" {
		t.Errorf("path %s, %v", path, err)
	}
	if err := f.Unchanged(); err != nil {
		t.Error(err)
	}
}

// No journal, however it came there, makes opening panic or reach outside, and
// one that is not ours is dropped.
func TestHostileJournal(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "precious")
	write(t, filepath.Dir(outside), map[string]string{"precious": "safe"})
	for _, text := range []string{
		"", "{", "[]", "null", `{"form":2}`,
		`{"form":1,"changes":[{"name":"../precious","old":"?","new":""}]}`,
		`{"form":1,"changes":[{"name":"` + outside + `","old":"","new":""}]}`,
		`{"form":1,"changes":[{"name":".lampblack-lock","old":"","new":"ab"}]}`,
		`{"form":1,"changes":[{"name":"link","old":"` + sumOf([]byte("safe")) + `","new":""}]}`,
		`{"form":1,"changes":[{"name":"score.yaml","old":"","new":"ab"},{"name":".","old":"?","new":""}]}`,
		`{"form":1,"changes":[` + strings.Repeat(`{"name":"a","old":"","new":""},`, 5000) + `{}]}`,
	} {
		dir := t.TempDir()
		write(t, dir, before)
		_ = os.Symlink(outside, filepath.Join(dir, "link"))
		if err := os.WriteFile(filepath.Join(dir, journalName), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		f, err := Open(t.Context(), dir)
		if err != nil {
			t.Errorf("%.60s: %v", text, err)
			continue
		}
		f.Close()
		_ = os.Remove(filepath.Join(dir, "link"))
		if got := state(t, dir); !maps.Equal(got, before) || len(hidden(t, dir)) > 0 {
			t.Errorf("%.60s: left %v %v", text, got, hidden(t, dir))
		}
	}
	if got, _ := os.ReadFile(outside); string(got) != "safe" {
		t.Error("a file outside was changed")
	}
}

// What a killed process left is swept by the next edit, whatever that is of;
// permissions stay; the names that are used here are nobody else's; and a
// reader sees that an edit is under way.
func TestEditsKeepHouse(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, before)
	write(t, dir, map[string]string{"rig.yaml": "rig"})
	if err := os.Chmod(filepath.Join(dir, "rig.yaml"), 0o640); err != nil {
		t.Fatal(err)
	}
	killedAfter(t, dir, "rename", journalName)
	if len(hidden(t, dir)) == 0 {
		t.Fatal("nothing was left to sweep")
	}
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e := f.Edit()
	e.Put("rig.yaml", []byte("new rig"))
	e.Put("sounds/two/x", []byte("x"))
	if err := e.Commit(); err != nil {
		t.Fatal(err)
	}
	if h := hidden(t, dir); len(h) > 0 {
		t.Errorf("left %v", h)
	}
	if info, _ := os.Stat(filepath.Join(dir, "rig.yaml")); info.Mode().Perm() != 0o640 {
		t.Errorf("permissions became %v", info.Mode())
	}
	for _, name := range []string{lockName, journalName, "fixtures/.x" + tempEnding, "../x", "/x", "."} {
		e := f.Edit()
		e.Put(name, nil)
		if err := e.Commit(); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if err := f.Unchanged(); err != nil {
		t.Error(err)
	}
	write(t, dir, map[string]string{journalName: "{}"})
	if err := f.Unchanged(); !errors.Is(err, ErrChanged) {
		t.Errorf("with an edit under way: %v", err)
	}
}

// A link inside the folder stays a link, one that leaves it is not followed.
func TestEditThroughLinks(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"texts/real.yaml": "old"})
	if err := os.Symlink("texts/real.yaml", filepath.Join(dir, "score.yaml")); err != nil {
		t.Skip(err)
	}
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e := f.Edit()
	e.Put("score.yaml", []byte("new"))
	if err := e.Commit(); err != nil {
		t.Fatal(err)
	}
	if info, _ := os.Lstat(filepath.Join(dir, "score.yaml")); info.Mode()&os.ModeSymlink == 0 || state(t, dir)["texts/real.yaml"] != "new" {
		t.Errorf("the link became %v, its file %q", info.Mode(), state(t, dir)["texts/real.yaml"])
	}
	for name, to := range map[string]string{"out.yaml": "../../out.yaml", "absolute.yaml": "/texts/real.yaml"} {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
		e = f.Edit()
		e.Put(name, []byte("newer"))
		if err := e.Commit(); err == nil || !strings.Contains(err.Error(), "leads out") {
			t.Errorf("a link to %s: %v", to, err)
		}
	}
	if got, err := os.ReadFile(filepath.Join(dir, "texts/real.yaml")); string(got) != "new" {
		t.Errorf("a link out of the folder changed a file in it to %q, %v", got, err)
	}
}

// TestMain lets the test binary be one of several processes that write.
func TestMain(m *testing.M) {
	if dir := os.Getenv("FOLDER_TEST_WRITER"); dir != "" {
		os.Exit(writer1(dir, os.Getenv("FOLDER_TEST_NAME")))
	}
	os.Exit(m.Run())
}

const rounds = 15

// writer1 adds its lines to two files that must stay alike, trying again when
// another was faster. After the sixth it may be killed, in the middle of an
// edit that does not yet count.
func writer1(dir, name string) int {
	for i := range rounds {
		for {
			err := addLine(dir, fmt.Sprintf("%s %d\n", name, i), name == "dies" && i == 6)
			if err == nil {
				break
			}
			if !errors.Is(err, ErrChanged) {
				fmt.Fprintln(os.Stderr, err)
				return 1
			}
		}
	}
	return 0
}

func addLine(dir, line string, die bool) error {
	ctx := context.Background()
	if die {
		ctx = WithFaults(ctx, func(step, name string) error {
			if step == "rename" && name == journalName {
				p, _ := os.FindProcess(os.Getpid())
				_ = p.Kill()
				select {}
			}
			return nil
		})
	}
	f, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	defer f.Close()
	e := f.Edit()
	for _, file := range []string{"a.yaml", "b.yaml"} {
		data, err := f.Optional(file)
		if err != nil {
			return err
		}
		e.Put(file, append(data, line...))
	}
	return e.Commit()
}

// Several processes that write at once, one of which is killed while it holds
// the lock, lose no line of each other's.
func TestManyWriters(t *testing.T) {
	dir := t.TempDir()
	names := []string{"first", "second", "third", "dies"}
	var all []*exec.Cmd
	for _, name := range names {
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), "FOLDER_TEST_WRITER="+dir, "FOLDER_TEST_NAME="+name)
		c.Stderr = os.Stderr
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		all = append(all, c)
	}
	for i, c := range all {
		if err := c.Wait(); (err != nil) != (names[i] == "dies") {
			t.Errorf("%s: %v", names[i], err)
		}
	}
	got := state(t, dir)
	if got["a.yaml"] != got["b.yaml"] {
		t.Error("the two files differ")
	}
	for _, name := range names {
		want := rounds
		if name == "dies" {
			want = 6
		}
		for i := range want {
			if n := strings.Count(got["a.yaml"], name+" "+strconv.Itoa(i)+"\n"); n != 1 {
				t.Errorf("%s %d stands there %d times", name, i, n)
			}
		}
	}
}
