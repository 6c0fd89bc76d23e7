package main

import (
	"context"
	"errors"
	"strconv"
	"sync"
	"sync/atomic"

	"lampblack/play"
	"lampblack/show"
	"lampblack/si"
)

// speakers is the sound device of a run, opened when it is first needed, with the extra sounds
// and what the hall's loudspeakers are given. A nil one is none.
type speakers struct {
	ctx    context.Context
	dir    string
	files  *show.Files
	device atomic.Pointer[play.Speakers] // nil while it is opened, which may take seconds
	trims  atomic.Pointer[show.Trims]    // as the page has changed them; nil while it has not
	once   sync.Once                     // opens it
	mu     sync.Mutex                    // guards the opening, and trims against one another
}

// open returns the device, or nil; why there is none, and what is to be known of it, is told
// once.
func (s *speakers) open(tell func(what, text string)) *play.Speakers {
	s.once.Do(func() { s.openNow(tell) })
	return s.device.Load() // without mu: no piece waits for a trim that is written to a slow disk
}

func (s *speakers) openNow(tell func(what, text string)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	device, err := play.OpenSpeakers(s.files.Bill.Sound.Device)
	switch {
	case errors.Is(err, play.ErrNoDevice):
		tell("note", "no sound device: running silently on the computer's clock")
	case err != nil:
		tell("warning", "no soundtrack is played: "+err.Error())
	default:
		s.ready(device, tell)
		s.device.Store(device)
	}
}

// sounds lets a run have the device, and opens it where extra sounds are to be played.
func (f *runFlags) sounds(ctx context.Context, tell func(what, text string), dir string, s *show.Show, o *play.Options) {
	files := f.files
	if files == nil {
		files = &show.Files{Bill: s.Bill}
	}
	f.speakers = &speakers{ctx: ctx, dir: dir, files: files}
	o.Speakers = f.speakers.there
	o.Extras = map[string][]string{}
	for i := range files.Bill.Extras {
		e := &files.Bill.Extras[i]
		if t := e.Value.Trigger.Name; t != "" {
			o.Extras[t] = append(o.Extras[t], e.Name)
		}
	}
	if len(files.Bill.Extras) > 0 && !f.silent {
		f.speakers.open(tell)
	}
}

// extraKeys are the extra sounds by their keys.
func (f *runFlags) extraKeys() map[string]string {
	out := map[string]string{}
	if f.files == nil {
		return out
	}
	for i := range f.files.Bill.Extras {
		e := &f.files.Bill.Extras[i]
		if key := e.Value.Key.Name; key != "" {
			out[key] = e.Name
		}
	}
	return out
}

// now is the show's files with the trims as they are by now.
func (s *speakers) now() show.Files {
	files := *s.files
	if t := s.trims.Load(); t != nil {
		files.Trims = t
	}
	return files
}

// there is the device if it was opened.
func (s *speakers) there() *play.Speakers {
	if s == nil {
		return nil
	}
	return s.device.Load()
}

// ready gives the device its trims and its extra sounds, and tells what is to be known of it.
func (s *speakers) ready(device *play.Speakers, tell func(what, text string)) {
	bill := &s.files.Bill
	if bill.Sound.Device == "" && defaultOnScreen() {
		tell("warning", "the sound goes to the system's own choice of device, which looks like a screen's or a projector's loudspeakers")
		tell("hint", "`lampblack sound "+s.dir+"` lists the devices: name the right one in show.yaml, sound: {device: NAME}")
	}
	files := s.now() // the page may have trimmed before there was a device
	for _, t := range files.Trims.In(bill.Place) {
		device.Trim(t.Channel, play.Trim{Level: t.Level, Delay: t.Delay})
	}
	if text := trimsText(&files); text != "" {
		tell("note", text)
	}
	for i := range bill.Extras {
		e := &bill.Extras[i]
		if err := s.add(device, e.Name, &e.Value); err != nil {
			tell("warning", "extra sound "+e.Name+" is not there: "+err.Error())
		}
	}
}

// add decodes an extra sound.
func (s *speakers) add(device *play.Speakers, name string, e *show.Extra) error {
	path, err := soundPath(s.ctx, s.dir, &show.Show{Bill: s.files.Bill}, e.File)
	if err != nil {
		return err
	}
	return device.AddExtra(s.ctx, name, path, device.Fit(e.To(&s.files.Bill.Sound)), play.Shape{Level: e.Level})
}

func (s *speakers) close() {
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if device := s.device.Load(); device != nil {
		_ = device.Close()
	}
}

// absentText says that a device which was asked for is not there, what is played on instead,
// and what to do.
func absentText(name string) (text, hint string) {
	return "the sound device " + strconv.Quote(name) + " is not there: the sound plays on the system's own choice meanwhile",
		"plug it in and switch it on: it is taken when the next piece begins, or after a hold; or choose it in the system's sound settings"
}

// defaultOnScreen tells whether the device that the system plays on leaves with the picture.
func defaultOnScreen() bool {
	list, err := play.Devices()
	if err != nil {
		return false
	}
	for _, d := range list {
		if d.Default {
			return d.Screen
		}
	}
	return false
}

// shapeOf is how loud a piece is.
func shapeOf(p show.PieceSound) play.Shape {
	return play.Shape{Level: p.Level, FadeIn: p.FadeIn, FadeOut: p.FadeOut}
}

// trimsText says what is used of hall.yaml, "" where there is none.
func trimsText(f *show.Files) string {
	used := f.Trims.In(f.Bill.Place)
	switch {
	case f.Trims.Elsewhere(f.Bill.Place):
		return "hall.yaml has trims of other halls only: none is used"
	case len(used) == 0:
		return ""
	}
	hall := f.Bill.Place
	if hall == "" {
		hall = "any hall"
	}
	return "trims of " + hall + " are used for " + si.Count(len(used), "channel", "channels") + " (hall.yaml)"
}
