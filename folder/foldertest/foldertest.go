// Package foldertest cuts edits of folders off at every step: a test of whatever writes
// into a folder calls [EveryStep] with how the folder begins and what is done to it.
//
//	step            0   1   2   3   4   5
//	once            ·   ·   ×   ·   ·   ·    the disk is full for a moment
//	killed          ·   ·   ×   ×   ×   ×    the process ends
//	stopped         ·   ·   !   ·   ·   ·    the context is done from here on
//
// It does not cut the power: what was written and not yet forced to the disk stays
// there. Only tests import it.
package foldertest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lampblack/folder"
)

// ErrFault is what a step that is cut off returns.
var ErrFault = errors.New("the disk is full")

// State is all files of a folder that a person sees, with what they hold.
func State(t testing.TB, dir string) map[string]string {
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
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return out
}

// Hidden lists what a person does not see.
func Hidden(t testing.TB, dir string) []string {
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

// EveryStep makes a folder with prepare and edits it with do, once for every
// step that the edit takes, and lets that step fail: alone, as when the disk is
// full for a moment; with all that follow, as when the process is killed; and by
// ending the context, as when a person presses ctrl-c.
// Whoever opens the folder next must find the whole old or the whole new state;
// do must not return nil unless it is the new one; and the edit made once more
// must leave nothing behind. Stride leaves steps out, for edits that are dear.
func EveryStep(t *testing.T, stride int, prepare func(dir string), do func(ctx context.Context, dir string) error) (steps int) {
	t.Helper()
	whole := filepath.Join(t.TempDir(), "whole")
	prepare(whole)
	before := State(t, whole)
	count := 0
	err := do(folder.WithFaults(t.Context(), func(string, string) error { count++; return nil }), whole)
	if err != nil {
		t.Fatal(err)
	}
	after := State(t, whole)
	if maps.Equal(before, after) {
		t.Fatal("the edit changes nothing")
	}
	for n := 0; n < count; n += stride {
		for _, how := range []string{"once", "killed", "stopped"} {
			dir := filepath.Join(t.TempDir(), "cut")
			prepare(dir)
			cut(t, dir, n, how, before, after, do)
		}
	}
	return count
}

// cut makes the edit with step n failing, as a person would then opens the folder, and
// judges what is there; after the old state it makes the edit again.
func cut(t *testing.T, dir string, n int, how string, before, after map[string]string, do func(ctx context.Context, dir string) error) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	at := ""
	err := do(folder.WithFaults(ctx, faultAt(n, how, stop, &at)), dir)
	// Opening finishes an edit that counts. A folder that was to be made may not be there.
	if f, err := folder.Open(t.Context(), dir); err == nil {
		f.Close()
	} else if !errors.Is(err, os.ErrNotExist) {
		t.Fatalf("fault at %s: open: %v", at, err)
	}
	got := State(t, dir)
	isNew := maps.Equal(got, after)
	if !isNew && !maps.Equal(got, before) {
		t.Errorf("fault at %s, %s: neither old nor new: %v", at, how, slices.Sorted(maps.Keys(got)))
	}
	if err == nil && !isNew {
		t.Errorf("fault at %s, %s: said to be written, and is not", at, how)
	}
	if isNew {
		return
	}
	again(t, dir, fmt.Sprintf("fault at %s, %s", at, how), after, do)
}

// faultAt lets steps fail from the n-th on, in the given way, and notes in at which one
// was the first.
func faultAt(n int, how string, stop func(), at *string) func(step, name string) error {
	count := 0
	return func(step, name string) error {
		count++
		if count-1 != n && (how != "killed" || count <= n) {
			return nil
		}
		if *at == "" {
			*at = step + " " + name
		}
		if how == "stopped" {
			stop()
			return nil
		}
		return ErrFault
	}
}

// again makes the edit once more, without faults: it must come to the new state and leave
// nothing of the first try behind.
func again(t *testing.T, dir, fault string, after map[string]string, do func(ctx context.Context, dir string) error) {
	t.Helper()
	if err := do(t.Context(), dir); err != nil {
		t.Errorf("%s: the same once more: %v", fault, err)
	}
	if got := State(t, dir); !maps.Equal(got, after) {
		t.Errorf("%s: the same once more gives %v", fault, slices.Sorted(maps.Keys(got)))
	}
	if h := Hidden(t, dir); len(h) > 0 {
		t.Errorf("%s: left %v", fault, h)
	}
}
