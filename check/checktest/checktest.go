// Package checktest holds what the tests of the checks share: [Solved] reads and
// solves a folder, [DemoFolder] is the demo's, [Changed] one with faults put into
// it, of which [Seeds] holds a list; [Booth] is a small show for examples.
package checktest

import (
	"context"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/room"
	"lampblack/show"
	"lampblack/soundtrack"
)

// DemoFolder is the demo show's texts. It is found from this source file, wherever the
// test runs.
func DemoFolder() fs.FS {
	_, here, _, _ := runtime.Caller(0)
	return os.DirFS(filepath.Join(filepath.Dir(here), "../../demo/show"))
}

// Solved reads and solves a folder without its sound. Faults fail the test, whether of
// reading or of solving. It costs what solving the room costs: seconds for the demo.
func Solved(t testing.TB, dir fs.FS) *show.Show {
	t.Helper()
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

// Heard is a track in which every moment is just where the demo's cues expect it. It is
// as long as the demo's sound, and each is strong enough to count as a strong hit. The
// end of a moment lies 4 s after its beginning where a cue is on the end.
func Heard(whole *show.Files) *soundtrack.Track {
	track := &soundtrack.Track{Duration: 425e9, Rate: 48000, Channels: 2}
	for _, c := range whole.Score.Cues {
		if c.On == nil {
			continue
		}
		m := soundtrack.Moment{Kind: soundtrack.Kind(c.On.Kind), Time: c.On.Near, End: c.On.Near, Strength: .9, Bar: c.On.Bar, Beat: c.On.Beat}
		if c.On.End {
			m.Time -= 4e9
		}
		track.Moments = append(track.Moments, m)
	}
	return track
}

// Within compares to a share of what is wanted. A share of nothing is nothing: for 0
// wanted, only 0 passes. It takes what is measured by name, so that a failure says
// which figure is off, and by how much.
func Within(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	if math.Abs(got-want) > share*math.Abs(want) {
		t.Errorf("%s: %.5g, want %.5g within %.1f %%", what, got, want, 100*share)
	}
}

// Change is one change to a file of a folder. The expression may reach over several
// lines; ${1} in the replacement is its first group.
type Change struct {
	File     string
	From, To string // a regular expression and its replacement, for the first match
}

// Changed copies a folder with changes made. A change that finds nothing to change
// fails the test. Only the texts are copied, not the sound. Changes are made one after
// the other, each on what the last has left.
func Changed(t testing.TB, dir fs.FS, changes ...Change) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(dir, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".yaml") {
			return err
		}
		data, err := fs.ReadFile(dir, path)
		out[path] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range changes {
		text := string(out[c.File].Data)
		form := regexp.MustCompile(c.From)
		at := form.FindStringSubmatchIndex(text)
		if at == nil {
			t.Fatalf("%s holds nothing like %q", c.File, c.From)
		}
		var with []byte
		with = form.ExpandString(with, c.To, text, at)
		out[c.File] = &fstest.MapFile{Data: []byte(text[:at[0]] + string(with) + text[at[1]:])}
	}
	return out
}

// Coarse has rooms solved a tenth as finely till the test ends: for what is no question of how much light
// there is.
func Coarse(t testing.TB) {
	t.Helper()
	usual := room.Usual
	room.Usual = room.Fineness{Patches: 400, Elements: 100}
	t.Cleanup(func() { room.Usual = usual })
}
