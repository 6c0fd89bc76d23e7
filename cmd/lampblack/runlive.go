package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lampblack/doors"
	"lampblack/play"
	"lampblack/show"
)

// hearLive listens to the live sound of a show, if it has any. An input that is away is told, and
// looked for while the show runs.
func (f *runFlags) hearLive(ctx context.Context, tell func(what, text string), s *show.Show, o *play.Options) {
	l := &s.Bill.Live
	if !l.Heard() || f.idle != nil {
		return
	}
	var keep play.Keep
	switch {
	case !l.Record:
	case f.journal == "":
		tell("note", "what is heard is not recorded, as nothing of this night is written down")
	default:
		keep = &heardFile{ctx: context.WithoutCancel(ctx), beside: f.journal}
		tell("note", "what is heard is recorded beside the night's journal: people who are heard may have to agree, and music may need a right; local law decides")
	}
	h, err := play.Hear(l.Input(), keep)
	o.Hearing = h
	switch {
	case errors.Is(err, play.ErrNoDevice): // which is told as it stands, and while it does
	case err != nil:
		tell("note", "the live sound is looked for: "+err.Error())
	}
}

// heardFile is the file of what is heard in a night: beside its journal, numbered from the second on.
type heardFile struct {
	ctx    context.Context
	beside string
}

// mostHeardFiles is how often a night's run begins anew and records again.
const mostHeardFiles = 1000

// Create opens a file that was not there.
func (h *heardFile) Create() (io.WriteSeeker, func() error, error) {
	base := strings.TrimSuffix(h.beside, filepath.Ext(h.beside)) + "-heard"
	if err := os.MkdirAll(filepath.Dir(base), 0o755); err != nil {
		return nil, nil, err
	}
	for i := 1; i <= mostHeardFiles; i++ {
		name := base + ".wav"
		if i > 1 {
			name = fmt.Sprintf("%s-%d.wav", base, i)
		}
		file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, nil, err
		}
		return file, func() error { return errors.Join(file.Sync(), file.Close()) }, nil
	}
	return nil, nil, fmt.Errorf("%s and %d more are there already", base+".wav", mostHeardFiles-1)
}

// Room is how many octets the disk has room for.
func (h *heardFile) Room() (uint64, error) {
	return doors.This().Room(h.ctx, filepath.Dir(h.beside))
}

// liveText is what is heard, and what the light does meanwhile.
func liveText(s *play.Status) string {
	if s.Hears == "" {
		return ""
	}
	return "  live sound: " + s.Hears
}
