package main

import (
	"context"
	"io"
	"os"
	"path/filepath"

	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/journal"
	"lampblack/play/output"
)

// openJournal makes o.Journal write each event as a line to the file. What fails is told
// while it does, and keeps no show from running.
func (f *runFlags) openJournal(ctx context.Context, o *play.Options) (closeIt func() error) {
	if f.journal == "" {
		return func() error { return nil }
	}
	j := journal.Open(journalFile(ctx, f.journal))
	o.Journal, o.Others = j.Add, func() []play.Trouble { return unwritten(j) }
	return j.Close
}

// unwritten is what is wrong with a journal.
func unwritten(j *journal.Journal) []play.Trouble {
	since, err := j.Fault()
	if err == nil {
		return nil
	}
	return []play.Trouble{{Of: "the journal", Fault: output.Fault{Cause: output.Unwritten, Degree: output.Partly, Since: since,
		Text: err.Error() + ": the show goes on, but a run that is cut off now cannot go on from here",
		Hint: "make room on its disk, or put that back; the last hour is remembered, and written as soon as it can be"}}}
}

// journalFile opens the file of a journal, with its folder where that is gone.
func journalFile(ctx context.Context, name string) journal.Opening {
	ctx = context.WithoutCancel(ctx) // the last words are written when the run is told to end
	return func() (journal.File, bool, error) {
		cut := cutOff(ctx, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return nil, false, err
		}
		file, err := folder.Append(name)
		if err != nil {
			return nil, false, err
		}
		info, err := file.Stat()
		if err != nil {
			file.Close()
			return nil, false, err
		}
		return &openFile{file, info}, cut, nil
	}
}

// openFile is the file of a journal, as it was when it was opened.
type openFile struct {
	*os.File
	was os.FileInfo
}

// Sync has the disk keep what was written; a pipe has none.
func (f *openFile) Sync() error {
	if !f.was.Mode().IsRegular() {
		return nil
	}
	return f.File.Sync()
}

func (f *openFile) Gone() bool {
	now, err := os.Stat(f.Name())
	return err != nil || !os.SameFile(f.was, now)
}

// cutOff tells whether a run left half a line in its journal.
func cutOff(ctx context.Context, journal string) bool {
	file, err := folder.OpenFile(ctx, journal, maxJournal)
	if err != nil {
		return false // there is none, or it is a pipe
	}
	defer file.Close()
	var last [1]byte
	if _, err := file.Seek(-1, io.SeekEnd); err != nil {
		return false
	}
	_, err = io.ReadFull(file, last[:])
	return err == nil && last[0] != '\n'
}
