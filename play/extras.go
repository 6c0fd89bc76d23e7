package play

import (
	"context"
	"errors"
	"fmt"
	"time"

	"lampblack/play/line"
	"lampblack/si"
)

// extra is a sound beside the soundtracks, decoded and ready.
type extra struct {
	name  string
	track *pcm
	shape Shape
	to    line.Channels
	voice *voice // the last that began; nil before
	reel  *reel  // which it plays
}

// Bounds of extra sounds: what is longer is a soundtrack, and all of them are kept in memory.
const (
	mostExtra  = 10 * time.Minute
	mostExtras = 30 * time.Minute
)

// AddExtra decodes an extra sound, at the device's rate, so that it is there at once. It may
// have the channels of soundtracks: it plays over them.
func (s *Speakers) AddExtra(ctx context.Context, name, path string, to line.Channels, shape Shape) error {
	track, err := load(ctx, path, s.rate())
	if err != nil {
		return err
	}
	if track.length() > mostExtra {
		return fmt.Errorf("play %s: an extra sound lasts %s at most", path, si.FormatTime(mostExtra))
	}
	s.beside.Lock()
	defer s.beside.Unlock()
	if err := s.has(to); err != nil {
		return err
	}
	total := track.length()
	for _, e := range s.extras {
		total += e.track.length()
	}
	if total > mostExtras {
		return fmt.Errorf("play %s: the extra sounds last more than %s in all", path, si.FormatTime(mostExtras))
	}
	s.extras = append(s.extras, &extra{name: name, track: track, shape: shape, to: to})
	return nil
}

// ErrNoExtra means that there is no extra sound of a name.
var ErrNoExtra = errors.New("there is no such extra sound")

// Extra plays an extra sound from its beginning, over all that plays. One that plays still
// begins anew.
func (s *Speakers) Extra(name string) error {
	s.beside.Lock()
	defer s.beside.Unlock()
	for _, e := range s.extras {
		if e.name != name {
			continue
		}
		if err := s.has(e.to); err != nil {
			return err
		}
		if e.voice != nil {
			s.mix.Load().drop(e.voice)
		}
		r, err := newReel(e.track, nil)
		if err != nil {
			return err
		}
		r.shape = e.shape.of(e.track, nil)
		e.reel, e.voice = r, &voice{from: r, to: e.to, toward: 1, once: true}
		s.mix.Load().plays(e.voice)
		return nil
	}
	return ErrNoExtra
}

// Quiet takes all extra sounds, and a test signal, out over a time.
func (s *Speakers) Quiet(over time.Duration) {
	s.beside.Lock()
	defer s.beside.Unlock()
	for _, e := range s.extras {
		if e.reel != nil {
			e.reel.out.move(Silence, e.track.frame(over))
		}
	}
	if s.test != nil {
		s.mix.Load().drop(s.test)
	}
}

// Extras are the names of the extra sounds that are heard, or "" where one is not, in the order
// in which they were added.
func (s *Speakers) Extras() []string {
	s.beside.Lock()
	defer s.beside.Unlock()
	out := make([]string, len(s.extras))
	for i, e := range s.extras {
		if e.voice != nil && s.mix.Load().has(e.voice) {
			out[i] = e.name
		}
	}
	return out
}
