package folder

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// A folder with texts laid over it is a folder like another, with what is taken away gone.
func TestLaid(t *testing.T) {
	base := fstest.MapFS{"a.yaml": {Data: []byte("a")}, "b.yaml": {Data: []byte("b")}, "fixtures/old.yaml": {Data: []byte("old")}, "fixtures/gone.yaml": {Data: []byte("x")}}
	l := &Laid{FS: base, Texts: map[string][]byte{"a.yaml": []byte("laid"), "fixtures/new.yaml": []byte("new"), "more/c.yaml": []byte("c"), "b.yaml": nil},
		Hides: func(name string) bool { return name == "fixtures/gone.yaml" }}
	for name, want := range map[string]string{"a.yaml": "laid", "fixtures/new.yaml": "new", "fixtures/old.yaml": "old", "more/c.yaml": "c"} {
		if got, err := fs.ReadFile(l, name); err != nil || string(got) != want {
			t.Errorf("%s holds %q (%v), want %q", name, got, err, want)
		}
		if info, err := fs.Stat(l, name); err != nil || info.Size() != int64(len(want)) || !info.Mode().IsRegular() {
			t.Errorf("%s: %v, %v", name, info, err)
		}
	}
	for _, name := range []string{"b.yaml", "fixtures/gone.yaml", "nothing"} {
		if _, err := fs.Stat(l, name); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for dir, want := range map[string]string{"fixtures": "[new.yaml old.yaml]", ".": "[a.yaml fixtures]", "more": "[c.yaml]"} {
		entries, err := fs.ReadDir(l, dir)
		var names []string
		for _, e := range entries {
			names = append(names, e.Name())
		}
		if got := "[" + strings.Join(names, " ") + "]"; err != nil || got != want {
			t.Errorf("%s holds %s (%v), want %s", dir, got, err, want)
		}
	}
	if string(base["a.yaml"].Data) != "a" {
		t.Error("the folder itself is another")
	}
}
