package play

import (
	"sync"
	"time"

	"lampblack/si"
)

// Shape is how loud a track is over its own line. The zero value is as it was recorded.
//
//	level      ┌────────────────────────────┐
//	          ╱                              ╲
//	    FadeIn                                FadeOut
//	track ────┴────────── loops ──────────────┴────▶
//
// Fades are raised cosines of the amplitude, (1 − cos πx)/2 in and the same backwards out,
// so that they have no corner at either end. Neither reaches into a loop, whose passes are
// all as loud.
type Shape struct {
	Level           si.Decibels
	FadeIn, FadeOut time.Duration // from the beginning of the track, and up to its end
}

// shape is a Shape in frames of a track with its loops.
type shape struct {
	gain    float64
	in, out int64 // how long the fades are
	outFrom int64 // where the second begins
}

// of brings a Shape onto a track.
func (s Shape) of(track *pcm, joins []join) shape {
	out := shape{gain: s.Level.Amplitude(), in: min(track.frame(max(s.FadeIn, 0)), track.frames()), outFrom: track.frames()}
	out.out = min(track.frame(max(s.FadeOut, 0)), track.frames())
	if n := len(joins); n > 0 {
		first, last := joins[0], joins[n-1]
		out.in = min(out.in, max(first.from+min(first.first, 0), 0))
		out.out = min(out.out, max(track.frames()-last.to-max(last.end(), 0), 0))
	}
	out.outFrom -= out.out
	return out
}

// plain tells whether it leaves the track as it is.
func (s shape) plain() bool { return s.gain == 1 && s.in == 0 && s.out == 0 }

// at is the gain of a frame of the track.
func (s shape) at(frame int64) float64 {
	g := s.gain
	if frame < s.in {
		g *= raised(frame, s.in)
	}
	if frame >= s.outFrom && s.out > 0 {
		g *= 1 - raised(frame-s.outFrom, s.out)
	}
	return g
}

// fader is a gain that a hand moves: from where it is to another over a time, as a raised
// cosine. The zero value stands at 1.
type fader struct {
	mu       sync.Mutex // guards what follows
	from, to float64    // less 1
	at, n    int64      // frames of the move
}

// move moves it over n frames of what is heard.
func (f *fader) move(to float64, n int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.from, f.to, f.at, f.n = f.now(), to-1, 0, n
}

// now is the gain of the next frame, less 1. Callers hold mu.
func (f *fader) now() float64 {
	if f.at >= f.n {
		return f.to
	}
	return f.from + (f.to-f.from)*raised(f.at, f.n)
}

// apply takes it to the frames that are heard next. silent tells that it stands at nothing,
// and will until it is moved.
func (f *fader) apply(dst []int16, channels int) (silent bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.at >= f.n && f.to == 0 {
		return false
	}
	for i := 0; i+channels <= len(dst); i += channels {
		g := float32(1 + f.now())
		f.at++
		for c := range channels {
			dst[i+c] = rounded(g * float32(dst[i+c]))
		}
	}
	return f.at >= f.n && f.to == -1
}

// Silence is the amplitude of sound that is off.
const Silence = 0.0
