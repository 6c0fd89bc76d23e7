package soundtrack

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

func listenTo(t *testing.T, path, dir string, o Options) *Track {
	t.Helper()
	track, err := Listen(context.Background(), path, dir, o)
	if err != nil {
		t.Fatal(err)
	}
	return track
}

func asJSON(t *testing.T, track *Track) []byte {
	t.Helper()
	b, err := json.Marshal(track)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// What is kept gives the same track, and is used: without the sound's being
// decoded again there is no call of Progress on the way.
func TestListenKeeps(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(5, 20*time.Second).Samples)
	dir := filepath.Join(t.TempDir(), "new", "cache")
	first := asJSON(t, listenTo(t, path, dir, Options{}))
	files, _ := filepath.Glob(filepath.Join(dir, "*.heard"))
	if len(files) != 1 {
		t.Fatalf("%d files kept", len(files))
	}
	calls := 0
	second := listenTo(t, path, dir, Options{Progress: func(float64) { calls++ }})
	if !bytes.Equal(first, asJSON(t, second)) {
		t.Error("what was kept gives another track")
	}
	if calls != 1 {
		t.Errorf("%d calls of Progress: the file was heard again", calls)
	}
	fewer := listenTo(t, path, dir, Options{LeastSure: 0.99})
	if len(fewer.Hits()) >= len(second.Hits()) {
		t.Error("the options had no effect on what was kept")
	}
	if more := listenTo(t, path, "", Options{LeastSure: 0.99}); !bytes.Equal(asJSON(t, more), asJSON(t, fewer)) {
		t.Error("kept and heard anew differ under other options")
	}
}

// A kept file that was cut short at any place, or altered, is as none.
func TestHalfKeptIsNotKept(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(6, 2*time.Second).Samples)
	dir := t.TempDir()
	want := asJSON(t, listenTo(t, path, dir, Options{}))
	files, _ := filepath.Glob(filepath.Join(dir, "*.heard"))
	whole, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	spoil := func(name string, b []byte) {
		if err := os.WriteFile(files[0], b, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := kept(t.Context(), files[0]); err == nil {
			t.Errorf("%s was read", name)
		}
		if !bytes.Equal(asJSON(t, listenTo(t, path, dir, Options{})), want) {
			t.Errorf("%s changed the track", name)
		}
	}
	for _, n := range []int{0, 1, len(whole) / 2, len(whole) - 1} {
		spoil("a file cut short", whole[:n])
	}
	altered := bytes.Clone(whole)
	altered[len(altered)/2] ^= 1
	spoil("an altered file", altered)
}

// A cache that cannot be written is noted; the track is there all the same.
func TestCacheThatCannotBe(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(6, 2*time.Second).Samples)
	track := listenTo(t, path, filepath.Join(path, "below a file"), Options{})
	if len(track.Notes) == 0 {
		t.Error("nothing is noted")
	}
}

func TestListenStops(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(8, 30*time.Second).Samples)
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Listen(ctx, path, dir, Options{Progress: func(float64) { cancel() }})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("stopped with %v", err)
	}
	if files, _ := filepath.Glob(filepath.Join(dir, "*.heard")); len(files) > 0 {
		t.Errorf("half a listening was kept: %v", files)
	}
	if _, err := Listen(context.Background(), filepath.Join(dir, "none.wav"), dir, Options{}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
}

// What was heard last at a path is remembered when the file is gone or spoilt, and of the
// newest content; what is damaged in the memory is as none.
func TestRemembered(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(7, 3*time.Second).Samples)
	other := writeWAV(t, truth.Rate, 1, truth.Strikes(8, 5*time.Second).Samples)
	dir := t.TempDir()
	if _, err := Remembered(t.Context(), path, dir, Options{}); !errors.Is(err, ErrNotHeard) {
		t.Errorf("never heard: %v", err)
	}
	listenTo(t, path, dir, Options{})
	if err := os.Rename(other, path); err != nil {
		t.Fatal(err)
	}
	want := asJSON(t, listenTo(t, path, dir, Options{}))
	for _, spoil := range []func() error{func() error { return os.WriteFile(path, []byte("noise"), 0o600) }, func() error { return os.Remove(path) }} {
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		if got, err := Remembered(t.Context(), path, dir, Options{}); err != nil || !bytes.Equal(asJSON(t, got), want) {
			t.Errorf("%v", err)
		}
	}
	last, _ := filepath.Glob(filepath.Join(dir, "*.last"))
	for _, text := range []string{"", "../../x", string(bytes.Repeat([]byte("f"), 64)), string(bytes.Repeat([]byte("f"), 1000))} {
		if err := os.WriteFile(last[0], []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Remembered(t.Context(), path, dir, Options{}); !errors.Is(err, ErrNotHeard) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
