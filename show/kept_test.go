package show_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"lampblack/demo"
	"lampblack/show"
)

// A show is the same whether its room was solved now or taken from what was kept; another rig
// takes nothing of it, and a damaged file is solved again.
func TestKeptLightIsTheShows(t *testing.T) {
	dir, kept := filepath.Join(t.TempDir(), "show"), t.TempDir()
	if err := demo.New(context.Background(), dir, "Kept"); err != nil {
		t.Fatal(err)
	}
	files := func() []string {
		names, _ := filepath.Glob(filepath.Join(kept, "*.light"))
		return names
	}
	made := func(kept string) *show.Show {
		f, faults := show.Read(os.DirFS(dir))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		f.Kept = kept
		s, faults := show.New(context.Background(), f, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return s
	}
	plain := made("")
	if first := made(kept); len(files()) != 1 || !sameLight(t, first, plain) {
		t.Fatalf("kept %d files, or another light", len(files()))
	}
	if again := made(kept); !sameLight(t, again, plain) {
		t.Error("what was kept is another light")
	}
	data, err := os.ReadFile(files()[0])
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2]++
	if err := os.WriteFile(files()[0], data, 0o644); err != nil {
		t.Fatal(err)
	}
	if again := made(kept); !sameLight(t, again, plain) {
		t.Error("a damaged file is believed")
	}
	rig := filepath.Join(dir, "rig.yaml")
	text, err := os.ReadFile(rig)
	if err != nil {
		t.Fatal(err)
	}
	for i, next := range []string{string(text) + "\n# another\n", strings.Replace(string(text), "at: [-2 m, -2.5 m", "at: [-2.1 m, -2.5 m", 1)} {
		if err := os.WriteFile(rig, []byte(next), 0o644); err != nil {
			t.Fatal(err)
		}
		if made(kept); len(files()) != 1+i {
			t.Errorf("%d files are kept of %d rigs", len(files()), 1+i)
		}
	}
}

// sameLight tells whether two shows have the same light in the same room.
func sameLight(t *testing.T, a, b *show.Show) bool {
	t.Helper()
	one, err := a.Transport.Keep()
	other, err2 := b.Transport.Keep()
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	return bytes.Equal(one, other) && reflect.DeepEqual(a.Transport.Places, b.Transport.Places) && reflect.DeepEqual(a.Transport.Panels, b.Transport.Panels) && reflect.DeepEqual(a.Transport.Lights, b.Transport.Lights)
}
