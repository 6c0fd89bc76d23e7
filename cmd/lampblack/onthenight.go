package main

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"lampblack/bundle"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

// reading is how a show is read.
type reading struct {
	out   []string // the units that are out tonight
	night bool     // it is to run: what it can do without is told and stops nothing
}

// besides are the files that a night can do without.
var besides = map[string]string{
	show.TrimsFile:    "loudspeakers play as if the hall had no trims",
	show.ReadingsFile: "what was measured in the room is left out",
}

// without tells of faults in files that the night can do without, lets those files go, and
// returns the faults of the others.
func (l *loaded) without(words io.Writer, faults source.Faults) source.Faults {
	var left source.Faults
	gone := map[string]bool{}
	for _, f := range faults {
		lacks, beside := besides[f.File]
		if !beside || source.Faults([]source.Fault{f}).Err() == nil {
			left = append(left, f)
			continue
		}
		if !gone[f.File] {
			gone[f.File] = true
			say(words, "warning", f.File+" has a fault: "+f.Text+": "+lacks)
			say(words, "hint", "mend it before the next run; `lampblack check` says where")
		}
	}
	if gone[show.TrimsFile] {
		l.files.Trims = nil
	}
	if gone[show.ReadingsFile] {
		l.files.Readings = nil
	}
	return left
}

// lost is what is known of a soundtrack that cannot be heard, for why: what was heard of it
// before, when the show is to run, for the light needs no more. A show whose cues all have
// times of their own needs not even that.
func (l *loaded) lost(ctx context.Context, words io.Writer, ref source.Ref, why error) (*soundtrack.Track, error) {
	if !l.how.night || ctx.Err() != nil {
		return nil, why
	}
	path := filepath.Join(l.folder.Dir(), filepath.FromSlash(ref.Name))
	t, err := soundtrack.Remembered(ctx, path, cacheDir(), soundtrack.Options{Brought: filepath.Join(l.folder.Dir(), bundle.HeardDir)})
	if err != nil {
		say(words, "warning", textOf(why)+", and what is in it is not known: "+err.Error())
		return nil, nil
	}
	say(words, "warning", textOf(why)+": the light goes by what was heard of it before, and by the computer's clock")
	say(words, "hint", "copy the file into the folder and start again, for sound; the light needs nothing more")
	return t, nil
}

// textOf is what a fault of a file says.
func textOf(err error) string {
	var faults source.Faults
	if errors.As(err, &faults) && len(faults) > 0 {
		return faults[0].Text
	}
	return err.Error()
}
