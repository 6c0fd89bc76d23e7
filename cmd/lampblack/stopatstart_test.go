package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lampblack/play/hand"
)

// A run that is told to end while it starts finds no fault in files that it could not read any
// more, and makes no new key.
func TestToldToEndWhileItStarts(t *testing.T) {
	t.Setenv("LAMPBLACK_STATE", filepath.Join(t.TempDir(), "state"))
	dir := small(t)
	l, err := solve(t.Context(), &strings.Builder{}, dir, reading{night: true})
	if err != nil {
		t.Fatal(err)
	}
	defer l.close()
	for name, text := range map[string][]byte{
		hand.TonightFile: hand.WriteTonight(hand.State{Trims: []hand.Trim{{System: "front", Factor: .5}}}, hand.NightOf(time.Now())),
		hand.FocusFile:   []byte("{}\n"), "night.jsonl": []byte("{}\n")} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var words strings.Builder
	key, _ := ownKey(t.Context(), &words)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	tell := func(what, text string) { words.WriteString(what + ": " + text + "\n") }
	f := runFlags{from: "0:00", journal: filepath.Join(dir, "night.jsonl"), resumes: true}
	o, err := f.options(l.show)
	if err != nil {
		t.Fatal(err)
	}
	f.boundNights(ctx, &words)
	if err := f.resume(ctx, &words, l.show, &o); !errors.Is(err, context.Canceled) {
		t.Errorf("resume: %v", err)
	}
	lamps, err := openByHand(ctx, tell, dir, &f, l.show, &o)
	if err != nil {
		t.Fatal(err)
	}
	lamps.close()
	_, _ = ownKey(ctx, &words)
	readPaired(ctx, &words, "127.0.0.1:1")
	if words.Len() > 0 {
		t.Errorf("it says: %s", words.String())
	}
	if again, _ := ownKey(t.Context(), &words); again != key {
		t.Error("the key is another")
	}
}
