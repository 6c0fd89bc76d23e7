package ledger

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"lampblack/folder"
)

// texts reads a folder's texts as any program would.
func texts(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(name) != ".yaml" {
			return err
		}
		data, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func write(t testing.TB, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// put is an edit that gives one file a text.
func put(name, text string) func(*Texts) (string, error) {
	return func(t *Texts) (string, error) {
		if text == "" {
			t.Put(name, nil)
		} else {
			t.Put(name, []byte(text))
		}
		return "wrote " + name, nil
	}
}

// A model that keeps whole states on two heaps, undone and done, is held against the ledger
// through random edits by the page, by others, undos and redos, over many files of edits.
func TestLikeAModel(t *testing.T) {
	defer func(was int) { partSize = was }(partSize)
	partSize = 300
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "ledger")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		ctx := context.Background()
		tb := t
		now := map[string]string{"score.yaml": "looks: {}\n"}
		writeRapid(tb, dir, "score.yaml", now["score.yaml"])
		if _, err := Note(ctx, dir, "start", ""); err != nil {
			t.Fatal(err)
		}
		var done, undone []map[string]string
		names := []string{"score.yaml", "room.yaml", "fixtures/par.yaml"}
		foreign := false
		change := func(to map[string]string) {
			done, undone, now = append(done, now), nil, to
		}
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			name := rapid.SampledFrom(names).Draw(t, "name")
			text := rapid.SampledFrom([]string{"", "a\n", "a\nb\n", "é\n", "è\n", "\xff\n", strings.Repeat("x", 200)}).Draw(t, "text")
			next := maps.Clone(now)
			if next[name] = text; text == "" {
				delete(next, name)
			}
			switch do := rapid.SampledFrom([]string{"make", "make", "make", "foreign", "undo", "undo", "redo"}).Draw(t, "do"); do {
			case "make":
				e, err := Make(ctx, dir, "page", put(name, text))
				if foreign && !errors.Is(err, ErrUnchanged) && len(e.Files) != 1 {
					t.Fatalf("an edit of one file is %v, %v", e.Files, err)
				}
				if (next[name] == now[name]) != errors.Is(err, ErrUnchanged) {
					t.Fatalf("%q over %q: %v", next[name], now[name], err)
				}
				if err == nil {
					change(next)
				}
				foreign = false
			case "foreign":
				if next[name] == now[name] || foreign {
					continue
				}
				writeRapid(tb, dir, name, text)
				change(next)
				foreign = true
			case "undo":
				e, err := Undo(ctx, dir, "page")
				if (len(done) == 0) != errors.Is(err, ErrNothing) || len(done) > 0 && err != nil {
					t.Fatalf("undo of %d: %v", len(done), err)
				}
				if err == nil {
					if foreign && !strings.HasPrefix(e.What, "changed ") {
						t.Fatalf("what is taken back of somebody else's is %q", e.What)
					}
					undone, done, now = append(undone, now), done[:len(done)-1], done[len(done)-1]
				}
				foreign = false
			case "redo":
				_, err := Redo(ctx, dir, "page")
				if (len(undone) == 0) != errors.Is(err, ErrNotUndone) || len(undone) > 0 && err != nil {
					t.Fatalf("redo of %d: %v", len(undone), err)
				}
				if err == nil {
					done, undone, now = append(done, now), undone[:len(undone)-1], undone[len(undone)-1]
				}
				foreign = false
			}
			if got := textsRapid(tb, dir); !maps.Equal(got, now) {
				t.Fatalf("the texts are %q, and should be %q", got, now)
			}
			log, err := Read(ctx, dir, 1000)
			if err != nil || log.Broken != "" || (log.Undo == nil) != (len(done) == 0) || (log.Redo == nil) != (len(undone) == 0) {
				t.Fatalf("the log says undo %v, redo %v, broken %q, %v; there are %d and %d", log.Undo, log.Redo, log.Broken, err, len(done), len(undone))
			}
		}
	})
}

func writeRapid(t *rapid.T, dir, name, text string) {
	path := filepath.Join(dir, name)
	err := os.MkdirAll(filepath.Dir(path), 0o755)
	if err == nil && text == "" {
		err = os.Remove(path)
	} else if err == nil {
		err = os.WriteFile(path, []byte(text), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func textsRapid(t *rapid.T, dir string) map[string]string {
	out := map[string]string{}
	for _, name := range []string{"score.yaml", "room.yaml", "fixtures/par.yaml"} {
		if data, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			out[name] = string(data)
		} else if !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
	}
	return out
}

// Two pages and an editor on one folder, at once, a thousand edits: none is lost, and undo
// leads back to the first bytes. Every edit adds a line of its own, so that what is lost is seen.
func TestNothingIsLost(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	write(t, dir, "score.yaml", "looks:\n")
	write(t, dir, "rig.yaml", "units:\n")
	first := texts(t, dir)
	if _, err := Note(ctx, dir, "start", ""); err != nil {
		t.Fatal(err)
	}
	const each = 160
	var all sync.WaitGroup
	for k, who := range []string{"one page", "another page"} {
		all.Go(func() {
			random := rand.New(rand.NewPCG(7, uint64(k)))
			for i := range each {
				name := []string{"score.yaml", "rig.yaml"}[random.IntN(2)]
				_, err := Make(ctx, dir, who, func(t *Texts) (string, error) {
					t.Put(name, fmt.Appendf(t.Read(name), "# %s %d\n", who, i))
					return fmt.Sprintf("line %d", i), nil
				})
				if err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	// An editor as people's are: it reads, and puts a new file in the place of the old one if that
	// is still as it was read.
	all.Go(func() {
		for i := 0; i < each/2; {
			f, err := folder.Open(ctx, dir)
			if err != nil {
				t.Error(err)
				return
			}
			data, err := f.ReadFile("score.yaml")
			e := f.Edit()
			e.Put("score.yaml", fmt.Appendf(data, "# editor %d\n", i))
			if err == nil {
				err = e.Commit()
			}
			f.Close()
			if err == nil {
				i++
			} else if !errors.Is(err, folder.ErrChanged) {
				t.Error(err)
				return
			}
		}
	})
	all.Wait()
	lines := 0
	for _, text := range texts(t, dir) {
		lines += strings.Count(text, "\n#")
	}
	if lines != 2*each+each/2 {
		t.Fatalf("%d of %d edits are in the texts", lines, 2*each+each/2)
	}
	for {
		if _, err := Undo(ctx, dir, "one page"); errors.Is(err, ErrNothing) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if got := texts(t, dir); !maps.Equal(got, first) {
		t.Errorf("undo led back to %q", got)
	}
}

// Whose edit is taken back is said, and what another program wrote is one entry.
func TestWhose(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	write(t, dir, "score.yaml", "a\n")
	if _, err := Note(ctx, dir, "start", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := Make(ctx, dir, "phone of Ada", put("score.yaml", "b\n")); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "score.yaml", "c\n")
	write(t, dir, "room.yaml", "d\n")
	log, err := Read(ctx, dir, 10)
	if err != nil || log.Undo == nil || log.Undo.Who != Outside || log.Undo.What != "changed room.yaml, score.yaml" {
		t.Fatalf("undo would take back %+v, %v", log.Undo, err)
	}
	if e, err := Undo(ctx, dir, "page"); err != nil || !slices.Equal(e.Names(), []string{"room.yaml", "score.yaml"}) {
		t.Fatalf("taken back: %v %v", e.Names(), err)
	}
	if log, err = Read(ctx, dir, 10); err != nil || log.Undo.Who != "phone of Ada" || log.Redo.Who != Outside {
		t.Fatalf("%+v %v", log, err)
	}
}

// A ledger that was damaged loses what was before; the texts stay, and edits go on.
func TestDamaged(t *testing.T) {
	for name, damage := range map[string]func([]byte) []byte{
		"empty":    func([]byte) []byte { return nil },
		"noise":    func([]byte) []byte { return []byte("\x00\x01 not a ledger\n") },
		"cut":      func(d []byte) []byte { return d[:len(d)-20] },
		"altered":  func(d []byte) []byte { return bytes.Replace(d, []byte(`"at":0`), []byte(`"at":1`), 1) },
		"its head": func(d []byte) []byte { return d[bytes.IndexByte(d, '\n')+1:] },
		"negative": func(d []byte) []byte { return bytes.Replace(d, []byte(`"at":0`), []byte(`"at":-9`), 1) },
	} {
		t.Run(name, func(t *testing.T) {
			dir, ctx := t.TempDir(), context.Background()
			write(t, dir, "score.yaml", "a\n")
			for _, text := range []string{"b\n", "c\n"} {
				if _, err := Make(ctx, dir, "page", put("score.yaml", text)); err != nil {
					t.Fatal(err)
				}
			}
			path := filepath.Join(dir, filepath.FromSlash(partName(1)))
			data, err := os.ReadFile(path)
			if err == nil {
				err = os.WriteFile(path, damage(data), 0o644)
			}
			if err != nil {
				t.Fatal(err)
			}
			log, err := Read(ctx, dir, 10)
			if err != nil || log.Broken == "" || log.Undo != nil {
				t.Errorf("the damage is told as %q, undo %v, %v", log.Broken, log.Undo, err)
			}
			if _, err := Undo(ctx, dir, "page"); !errors.Is(err, ErrNothing) {
				t.Errorf("undo: %v", err)
			}
			if _, err := Make(ctx, dir, "page", put("score.yaml", "d\n")); err != nil {
				t.Fatal(err)
			}
			if _, err := Undo(ctx, dir, "page"); err != nil {
				t.Fatal(err)
			}
			if got := texts(t, dir)["score.yaml"]; got != "c\n" {
				t.Errorf("the text is %q", got)
			}
		})
	}
}

// What is no text of a show is not written, wherever it leads.
func TestOtherFiles(t *testing.T) {
	dir, ctx := t.TempDir(), context.Background()
	write(t, dir, "score.yaml", "a\n")
	for _, name := range []string{"../out.yaml", "/etc/out.yaml", "track.wav", ".hidden.yaml", ".lampblack-edits/x.yaml", "tonight.yaml", "a/b/c/d/e.yaml", "a/.b/c.yaml"} {
		if _, err := Make(ctx, dir, "page", put(name, "x\n")); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if got := texts(t, dir); len(got) != 1 {
		t.Errorf("there are %v", got)
	}
}

func FuzzReadPart(f *testing.F) {
	f.Add([]byte(`{"form":1,"texts":{"a.yaml":"YQ=="},"after":{}}` + "\n" + `{"n":1,"files":[{"name":"a.yaml","was":"","is":"","at":0}]}`))
	f.Add([]byte(`{}`))
	f.Fuzz(func(_ *testing.T, data []byte) {
		if p, err := readPart(1, data); err == nil {
			_, _ = p.texts()
		}
	})
}
