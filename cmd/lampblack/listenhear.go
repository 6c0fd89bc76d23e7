package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"lampblack/folder"
	"lampblack/soundfile"
	"lampblack/soundtrack"
)

// hearable refuses what --hear cannot write before a minute is spent on listening.
func (f listenFlags) hearable(path string) error {
	switch {
	case f.hear == "":
		return nil
	case !strings.HasSuffix(strings.ToLower(f.hear), ".wav"):
		return hinted{fmt.Errorf("%s: --hear writes a WAV file", f.hear), "give it a name that ends in .wav"}
	case sameFile(path, f.hear):
		return hinted{errors.New("--hear would write over the track itself"), "give it another name"}
	}
	return nil
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// writeAloud writes the track with signals on moments.
func writeAloud(ctx context.Context, t *soundtrack.Track, path, to string, moments []soundtrack.Moment) error {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return err
	}
	defer s.Close()
	return folder.WriteStream(ctx, to, func(w io.Writer) error { return t.Aloud(ctx, w, s, moments) }, nil)
}
