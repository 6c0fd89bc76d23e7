package show

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"lampblack/play/line"
	"lampblack/si"
	"lampblack/source"
)

// Sound is how the show is heard: on which device, where all plays on a pair of channels, and
// how loud its own soundtrack is.
type Sound struct {
	source.Pos
	Device   string        `key:"device"`   // as `lampblack sound` lists it; the system's own choice where absent
	Channels source.Ref    `key:"channels"` // of the device: 1-2, or 3; a place of zones says it in zones.yaml
	Level    si.Decibels   `key:"level"`    // of the folder's own soundtrack, against how it was recorded
	FadeIn   time.Duration `key:"fade in"`
	FadeOut  time.Duration `key:"fade out"`
	Stop     time.Duration `key:"stops over"` // how long the sound takes to fade when all stops

	channels line.Channels
}

// To is the channels of the device that the sound of a show, or an evening, plays on: the
// first two where it does not say.
func (s *Sound) To() line.Channels {
	if s.channels == (line.Channels{}) {
		return line.Channels{First: 1, Last: 2}
	}
	return s.channels
}

// PieceSound is how loud the soundtrack of a piece is. The zero value is as it was recorded.
type PieceSound struct {
	source.Pos
	Level   si.Decibels   `key:"level"`
	FadeIn  time.Duration `key:"fade in"`  // from its beginning
	FadeOut time.Duration `key:"fade out"` // up to its end
}

// Piece is how loud the folder's own piece is.
func (s *Sound) Piece() PieceSound { return PieceSound{s.Pos, s.Level, s.FadeIn, s.FadeOut} }

// Extra is a sound that a key, a button of the page or a trigger plays over all that is heard.
type Extra struct {
	source.Pos
	File     source.Ref  `key:"file,required"` // inside the folder
	Level    si.Decibels `key:"level"`
	Channels source.Ref  `key:"channels"` // of the device; those of the show where absent
	Key      source.Ref  `key:"key"`      // f1 to f12, a letter or digit that steers nothing
	Trigger  source.Ref  `key:"trigger"`  // of triggers.yaml

	channels line.Channels
}

// To is the channels of the device that it plays on, which are those of the show where it does
// not say.
func (e *Extra) To(s *Sound) line.Channels {
	if e.channels == (line.Channels{}) {
		return s.To()
	}
	return e.channels
}

// longestFade is how long sound may fade: longer, it is in the recording.
const longestFade = 10 * time.Minute

// mostExtras bounds the extra sounds, which are all kept in memory.
const mostExtras = 50

// fades holds the times over which a sound fades within bounds.
func fades(pos source.Pos, what string, faults *source.Faults, times map[string]*time.Duration) {
	for name, d := range times {
		if *d < 0 || *d > longestFade {
			faults.Add(pos, "", "the %s of %s lies outside 0 to %s", name, what, si.FormatTime(longestFade))
			*d = 0
		}
	}
}

// check finds what is wrong with how the show is heard.
func (s *Sound) check(zones, own bool, faults *source.Faults) {
	if !own && (s.Level != 0 || s.FadeIn != 0 || s.FadeOut != 0) {
		faults.Note(s.Pos, "say it with each piece in its order: sound: {level: -6 dB}", "show.yaml says how loud its own soundtrack is, and has none: the pieces play as they were recorded")
	}
	fades(s.Pos, "the sound", faults, map[string]*time.Duration{"fade in": &s.FadeIn, "fade out": &s.FadeOut, "time that it stops over": &s.Stop})
	if s.Channels.Name == "" {
		return
	}
	if zones {
		faults.Add(s.Channels.Pos, "say `sound: 3-4` with each zone in zones.yaml", "the sound has channels for all, and each zone has its own")
		return
	}
	s.channels = channels(s.Channels, "the sound", faults)
}

// channels reads those of a device.
func channels(ref source.Ref, what string, faults *source.Faults) line.Channels {
	c, err := line.ParseChannels(ref.Name)
	if err != nil {
		faults.Add(ref.Pos, "a pair as 1-2, or one as 3", "%s: %v", what, err)
	}
	return c
}

// checkExtras finds what is wrong with the extra sounds. A key that a trigger has too would
// play and start at once, and nobody could tell which was meant.
func (f *Files) checkExtras(dir fs.FS, faults *source.Faults) {
	list := f.Bill.Extras
	if len(list) > mostExtras {
		faults.Add(f.Bill.Pos, "", "%d extra sounds are more than the %d of one show", len(list), mostExtras)
		f.Bill.Extras = list[:mostExtras]
	}
	keys := map[string]string{}
	if f.Triggers != nil {
		for _, t := range f.Triggers.Triggers {
			if l, ok := t.Value.From(); ok && l.Kind == "key" {
				keys[l.Place] = "trigger " + t.Name
			}
		}
	}
	for i := range f.Bill.Extras {
		e := &f.Bill.Extras[i]
		x, what := &e.Value, "extra sound "+e.Name
		if x.File.Name != "" {
			checkInside(dir, x.File, what, faults)
		}
		if x.Channels.Name != "" {
			x.channels = channels(x.Channels, what, faults)
		}
		if x.Key.Name != "" {
			x.checkKey(what, keys, faults)
		}
		if x.Trigger.Name != "" && (f.Triggers == nil || f.Triggers.Triggers.Get(x.Trigger.Name) == nil) {
			hint := "triggers.yaml holds them"
			if f.Triggers != nil {
				hint = source.OneOf(x.Trigger.Name, source.Names(f.Triggers.Triggers))
			}
			faults.Add(x.Trigger.Pos, hint, "%s is played by trigger %q, which there is not", what, x.Trigger.Name)
		}
	}
}

// checkKey finds a key that is none, steers the run, or has another use.
func (e *Extra) checkKey(what string, keys map[string]string, faults *source.Faults) {
	name := strings.ToLower(e.Key.Name)
	if _, err := line.ParseTrigger("key " + name); err != nil {
		why := strings.TrimPrefix(err.Error(), fmt.Sprintf("trigger %q: ", "key "+name))
		faults.Add(e.Key.Pos, "take f1 to f12, or a digit", "the key of %s: %s", what, strings.ReplaceAll(why, "\n", "; "))
		e.Key.Name = ""
		return
	}
	if other, twice := keys[name]; twice {
		faults.Add(e.Key.Pos, "take f1 to f12, or a digit", "%s has the key of %s", what, other)
		e.Key.Name = ""
		return
	}
	keys[name] = what
	e.Key.Name = name
}

// checkInside finds a file that lies outside the folder, or is not there.
func checkInside(dir fs.FS, ref source.Ref, what string, faults *source.Faults) {
	name := path.Clean(ref.Name)
	if !fs.ValidPath(name) || strings.ContainsAny(name, `\:`) {
		faults.Add(ref.Pos, "give a name inside the show's folder", "the file of %s, %q, leaves the show's folder", what, ref.Name)
		return
	}
	if _, err := fs.Stat(dir, name); errors.Is(err, fs.ErrNotExist) {
		faults.Add(ref.Pos, "put it into the show's folder", "the file of %s is missing: %s", what, name)
	}
}
