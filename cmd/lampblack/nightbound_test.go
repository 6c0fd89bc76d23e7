package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func namesIn(t *testing.T, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

func put10(t *testing.T, dir string, names ...string) {
	t.Helper()
	for _, name := range names {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("0123456789"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The oldest nights go, by number and by size; never the one in use, nor what is not a night's.
func TestOldNightsAreRemoved(t *testing.T) {
	for _, c := range []struct {
		keep  int
		most  int64
		inUse string
		want  string
	}{
		{3, 1000, "2026-11-28.jsonl", "26-28 27 28"},
		{400, 1000, "2026-11-28.jsonl", "24 25 26-28 27 28"},
		{400, 35, "2026-11-28.jsonl", "27 28"},
		{1, 0, "2026-11-28.jsonl", "27 28"},
		{2, 1000, "2026-11-24.jsonl", "24 27 28"}, // a run that began days ago
	} {
		dir := t.TempDir()
		for day := 24; day <= 28; day++ {
			put10(t, dir, fmt.Sprintf("2026-11-%d.jsonl", day), fmt.Sprintf("2026-11-%d.orders", day))
		}
		_ = os.Remove(filepath.Join(dir, "2026-11-26.jsonl"))
		put10(t, dir, "2026-11-26.files", "notes.txt", "2026-11-20.jsonl.kept", "1999.jsonl")
		if err := os.Symlink("/etc/hostname", filepath.Join(dir, "2026-11-19.jsonl")); err != nil {
			t.Log(err)
		}
		if err := os.Mkdir(filepath.Join(dir, "2026-11-18.files"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := removeNights(dir, c.keep, c.most, c.inUse); err != nil {
			t.Fatal(err)
		}
		left := namesIn(t, dir)
		for _, other := range []string{"notes.txt", "2026-11-20.jsonl.kept", "1999.jsonl", "2026-11-18.files"} {
			if !slices.Contains(left, other) {
				t.Errorf("%+v: %s is gone", c, other)
			}
		}
		want := map[string]bool{}
		for _, day := range strings.Fields(strings.ReplaceAll(c.want, "26-28", "26")) {
			want[day] = true
		}
		for day := 24; day <= 28; day++ {
			there := slices.ContainsFunc(left, func(n string) bool { return strings.HasPrefix(n, fmt.Sprintf("2026-11-%d.", day)) })
			if there != want[fmt.Sprint(day)] {
				t.Errorf("%+v: the night of the %dth is there: %v", c, day, there)
			}
		}
	}
}

// A journal that was named and has grown is put aside once its run has ended, and the oldest of
// those goes.
func TestGrownJournalIsPutAside(t *testing.T) {
	dir := t.TempDir()
	journal := filepath.Join(dir, "hall.jsonl")
	ended := `{"id":"a-1","time":"2026-11-28T20:00:00Z","what":"run","at":0,"speed":1}` + "\n" + `{"id":"a-2","time":"2026-11-28T21:00:00Z","what":"end","at":5,"speed":1}` + "\n"
	cut := ended + `{"id":"b-1","time":"2026-11-29T20:00:00Z","what":"run","at":0,"speed":1}` + "\n"
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(journal, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		text string
		most int64
		want []string
	}{
		{ended, 1 << 20, []string{"hall.jsonl"}},
		{cut, 10, []string{"hall.jsonl"}},
		{ended + "half a li", 10, []string{"hall.jsonl"}},
		{ended, 10, []string{"hall.jsonl.1"}},
	} {
		write(c.text)
		if err := putAside(t.Context(), journal, c.most); err != nil {
			t.Fatal(err)
		}
		if got := namesIn(t, dir); !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
	for i := range 2 * oldPlain {
		write(fmt.Sprintf("%d\n", i) + ended)
		if err := putAside(t.Context(), journal, 10); err != nil {
			t.Fatal(err)
		}
	}
	left := namesIn(t, dir)
	newest, _ := os.ReadFile(journal + ".1")
	if len(left) != oldPlain || !strings.HasPrefix(string(newest), fmt.Sprint(2*oldPlain-1)) {
		t.Errorf("%q; the newest begins %.8q", left, newest)
	}
	if err := putAside(t.Context(), filepath.Join(dir, "none.jsonl"), 10); err != nil {
		t.Error(err)
	}
}
