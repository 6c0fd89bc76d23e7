package timecode

import "math"

// Received is a frame that a Decoder read.
type Received struct {
	Frame
	Start   float64 // where its first edge stands, in samples since the first one fed
	Length  float64 // of the frame, in samples: the speed
	Reverse bool    // the tape runs backwards
	// Jump says that the frame does not follow the one before.
	Jump bool
}

// Decoder reads linear time code from audio of any level, sense and moderate
// speed (half to double). A Decoder belongs to one goroutine.
//
// Nothing is passed on that was heard only once: a frame must continue, in
// number and in time, what was passed on before, or be continued by the next
// frame. So a jump is reported one frame after its first frame.
type Decoder struct {
	rate  Rate
	known bool // the rate was given
	edges edgeFinder
	bits  bitClock
	check follower
}

// NewDecoder returns a decoder for the sample rate in Hz, 8000 or more.
// Give the rate where it is known: at 24 and 25 frames a second a decoder that
// must find out relies on the speed until it has seen a second end.
func NewDecoder(sampleRate int, rate ...Rate) *Decoder {
	d := &Decoder{rate: Rate25, edges: newEdgeFinder(sampleRate), bits: newBitClock(sampleRate)}
	if len(rate) > 0 {
		d.rate, d.known = rate[0], true
	}
	d.check.sampleRate = float64(sampleRate)
	return d
}

// Feed takes mono samples, -1 to 1, as they come, and calls emit with every
// frame that they confirm.
func (d *Decoder) Feed(samples []float32, emit func(Received)) {
	for len(samples) > 0 {
		used, at, ok := d.edges.run(samples)
		samples = samples[used:]
		if !ok {
			continue
		}
		if word, r, ok := d.bits.edge(at); ok {
			d.word(word, r, emit)
		}
	}
}

// word reads a frame's bits. What is no frame at the rate is noise that looked like a sync
// word, and is dropped without a sign.
func (d *Decoder) word(w Word, r Received, emit func(Received)) {
	rate := d.rate
	if !d.known {
		rate = d.check.guess(w, r.Length)
	}
	f, err := ParseWord(w, rate)
	if err != nil {
		return
	}
	r.Frame = f
	d.check.frame(r, emit)
}

// follower passes frames on that follow each other.
type follower struct {
	sampleRate float64
	last       Received // passed on
	running    bool
	suspect    Received // heard once
	waiting    bool
	top        [2]uint8 // highest frame number of this second and the last
	second     uint8
	nominal    int64 // frame numbers in a second as counted, 0 until known
}

// frame passes on what continues the last frame passed on; what continues a suspect proves the
// suspect, and both go on. Anything else becomes the suspect.
func (f *follower) frame(r Received, emit func(Received)) {
	switch {
	case f.running && follows(f.last, r):
		f.pass(r, emit)
	case f.waiting && follows(f.suspect, r):
		f.suspect.Jump = true
		f.pass(f.suspect, emit)
		f.pass(r, emit)
	default:
		f.suspect, f.waiting = r, true
	}
}

func (f *follower) pass(r Received, emit func(Received)) {
	f.last, f.running, f.waiting = r, true, false
	emit(r)
}

// farthest is how many frames may be missing between two that follow each
// other: two seconds, after which the speed is not known well enough.
const farthest = 60

// follows reports whether b comes after a by as many frames as the time
// between them holds, within a quarter of a frame or 2 % of the time.
func follows(a, b Received) bool {
	if a.Rate != b.Rate || a.Reverse != b.Reverse {
		return false
	}
	frames := (b.Start - a.Start) / ((a.Length + b.Length) / 2)
	n := math.Round(frames)
	if n < 1 || n > farthest || math.Abs(frames-n) > max(.25, .02*n) {
		return false
	}
	if a.Reverse {
		n = -n
	}
	return a.Add(int64(n)) == b.Time
}

// guess finds the rate: the drop-frame flag tells one, the numbers at which
// seconds end tell the others, and until one has ended the speed does.
func (f *follower) guess(w Word, length float64) Rate {
	if w.get(dropBit, 1) == 1 {
		return Rate2997Drop
	}
	f.count(w)
	if f.nominal != 0 {
		for _, r := range []Rate{Rate24, Rate25, Rate30} {
			if r.Nominal() == f.nominal {
				return r
			}
		}
	}
	switch fps := f.sampleRate / length; {
	case fps < 24.5:
		return Rate24
	case fps < 27.5:
		return Rate25
	}
	return Rate30
}

// count follows the highest frame number of each second: two seconds in a row
// with the same are believed.
func (f *follower) count(w Word) {
	frame := w.get(0, 4) + 10*w.get(8, 2)
	second := w.get(16, 4) + 10*w.get(24, 3)
	if second != f.second {
		if f.top[0] == f.top[1] && f.top[0] >= 23 {
			f.nominal = int64(f.top[0]) + 1
		}
		f.top = [2]uint8{0, f.top[0]}
		f.second = second
	}
	f.top[0] = max(f.top[0], frame)
}
