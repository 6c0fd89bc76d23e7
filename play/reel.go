package play

import (
	"fmt"
	"sync"
	"time"

	"lampblack/play/clock"
)

// stream is what a device plays.
type stream interface {
	format() format
	// read fills dst with the frames that come next, and returns how many there were:
	// fewer than fit at the end. It waits for nothing.
	read(dst []int16) (frames int)
	// fresh tells whether it is at its own beginning, which needs no fading in.
	fresh() bool
}

// format is that of the samples.
type format struct {
	rate, channels int
	direct         bool // the channels are those of the device, in its own order
}

// reel is a track as it is heard from a frame on, its loops unrolled. A device takes it
// frame by frame, maybe from a goroutine of its own; a release in time is heard.
type reel struct {
	track *pcm
	joins []join // of each loop
	shape shape
	hand  *fader // of all that is made of the same reel
	out   fader  // its own: for what fades out for good, and then has ended
	ended bool

	mu   sync.Mutex // guards what follows
	line clock.Unrolled
	next int64 // frame of the unrolled line that read hands over next
}

// newReel winds a track with loops to its beginning.
func newReel(track *pcm, loops []clock.Loop) (*reel, error) {
	line, err := clock.Unroll(loops)
	if err != nil {
		return nil, err
	}
	r := &reel{track: track, line: line, hand: &fader{}}
	for i, l := range loops {
		if l.To > track.length() {
			return nil, fmt.Errorf("loop %d ends at %v: behind the track, which is %v long", i+1, l.To, track.length())
		}
		r.joins = append(r.joins, newJoin(track, l))
	}
	r.shape = Shape{}.of(track, r.joins)
	return r, nil
}

// at returns the same reel wound to a position on its line, which then goes its own way.
func (r *reel) at(position time.Duration) *reel {
	r.mu.Lock()
	defer r.mu.Unlock()
	return &reel{track: r.track, joins: r.joins, shape: r.shape, hand: r.hand, line: r.line.Copy(), next: r.track.frame(max(position, 0))}
}

// pass sets the passes of the loops.
func (r *reel) pass(passes []int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.line.SetPasses(passes)
}

// release has the loop at a position left. While the reel plays, what was handed over is
// settled, and so is a join that has begun.
func (r *reel) release(at time.Duration, plays bool) (passes int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	handed := at
	if plays {
		handed = max(at, r.track.time(r.next)+joinTime)
	}
	return r.line.Release(at, handed)
}

// end is where the line ends, clock.Forever while a loop is to be released.
func (r *reel) end() time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.line.End(r.track.length())
}

func (r *reel) format() format { return format{rate: r.track.rate, channels: r.track.channels} }

func (r *reel) fresh() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.next == 0
}

func (r *reel) read(dst []int16) (frames int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.ended {
		return 0
	}
	all := dst
	for c := r.track.channels; len(dst) >= c; {
		n := r.piece(dst[:len(dst)/c*c])
		if n == 0 {
			break
		}
		r.next += n
		frames += int(n)
		dst = dst[int(n)*c:]
	}
	all = all[:len(all)-len(dst)]
	r.hand.apply(all, r.track.channels)
	r.ended = r.out.apply(all, r.track.channels)
	return frames
}

// piece writes the next frames that are of one kind, straight from the track or of a join,
// and returns how many there are.
//
// A frame belongs to the pass in which its middle lies. All of a pass is shifted by the
// same whole number of frames, that next to (unrolled − track): so a length that is no
// whole number of frames makes passes that differ by one, and their sum never drifts.
func (r *reel) piece(dst []int16) int64 {
	place, shift := r.place(r.next)
	at := r.next - r.frames(shift) // of the track
	room := int64(len(dst) / r.track.channels)
	if place.Loop < 0 {
		return r.straight(dst, at, min(room, r.before(at)))
	}
	j := &r.joins[place.Loop]
	if place.Pass > 1 {
		before := r.next - r.frames(shift-r.length(place.Loop)) // where the pass before has come to
		if d := before - j.to; d < j.end() {
			n := min(room, j.end()-d)
			j.mix(dst, r.track, d, before, at, n)
			r.scale(dst, at, n)
			return n
		}
	}
	d := at - j.to
	switch {
	case !r.line.Repeats(place.Loop, place.Pass):
		return r.straight(dst, at, min(room, max(-d, 1)))
	case d < j.first:
		return r.straight(dst, at, min(room, j.first-d))
	}
	// The next pass has not begun, but its middle frames have: up to its own place.
	n := min(room, max(-d, 1))
	j.mix(dst, r.track, d, at, r.next-r.frames(shift+r.length(place.Loop)), n)
	r.scale(dst, at, n)
	return n
}

// scale gives n frames the loudness of their place on the track.
func (r *reel) scale(dst []int16, at, n int64) {
	if r.shape.plain() {
		return
	}
	c := r.track.channels
	for i := range int(n) {
		g := float32(r.shape.at(at + int64(i)))
		for k := range c {
			dst[i*c+k] = rounded(g * float32(dst[i*c+k]))
		}
	}
}

// place is where the middle of an unrolled frame lies, and by how much the line is longer
// there than the track. A hair before the middle, so that a pass that begins there begins
// with the frame that is nearest to it.
func (r *reel) place(frame int64) (p clock.Place, shift time.Duration) {
	middle := r.track.time(frame) + (time.Second-1)/time.Duration(2*r.track.rate)
	p = r.line.Place(middle)
	return p, middle - p.Track
}

// length is that of a loop.
func (r *reel) length(loop int) time.Duration { return r.line.Loop(loop).To - r.line.Loop(loop).From }

func (r *reel) frames(d time.Duration) int64 { return r.track.frame(d) }

// before is how many frames lie ahead of the next loop, or of the end of the track; 1 at
// least, as a place outside of all loops is.
func (r *reel) before(at int64) int64 {
	for i := range r.joins {
		if j := &r.joins[i]; j.to > at {
			return max(j.from-at, 1)
		}
	}
	return max(r.track.frames()-at, 1)
}

// straight copies n frames of the track, as far as it goes.
func (r *reel) straight(dst []int16, at, n int64) int64 {
	n = min(n, r.track.frames()-at)
	if n <= 0 {
		return 0
	}
	c := int64(r.track.channels)
	copy(dst, r.track.samples[at*c:(at+n)*c])
	r.scale(dst, at, n)
	return n
}
