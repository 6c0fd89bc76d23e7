package play

import (
	"math"
	"slices"
	"sync"
	"time"

	"lampblack/play/line"
)

// mixer is the stream of a device on which several others play, each on its own channels.
// It never ends, and is silent where nothing plays.
//
//	frames of a zone ─▶ voice ─▶ 1-2 ─┐
//	frames of a zone ─▶ voice ─▶ 3   ─┴─▶ frames of the device
//
// A stream of one channel is heard on both of a pair; of two on a single channel, their
// mean is. Where voices share a channel, as one that fades out does with the next, they
// add up, and are cut at full scale.
type mixer struct {
	rate, channels int

	mu     sync.Mutex // guards what follows
	voices []*voice
	next   int64   // frame that read hands over next
	buf    []int16 // of one voice
}

// voice is one stream of a mixer.
type voice struct {
	from   stream
	to     line.Channels
	begun  int64   // frame of the mix that is its first
	level  float32 // of the next frame
	toward float32 // 1 while it plays, 0 when it was dropped
}

// fadeTime is how long a voice takes to come in the middle of a track, or to stop:
// nobody hears it as a fade, and nobody hears a click.
const fadeTime = 5 * time.Millisecond

func newMixer(f format) *mixer { return &mixer{rate: f.rate, channels: f.channels} }

func (m *mixer) format() format { return format{rate: m.rate, channels: m.channels, direct: true} }
func (m *mixer) fresh() bool    { return true }

// add lets a stream play on channels that the mixer has, from the next frame on.
func (m *mixer) add(from stream, to line.Channels) *voice {
	m.mu.Lock()
	defer m.mu.Unlock()
	v := &voice{from: from, to: to, begun: m.next, toward: 1}
	if from.fresh() {
		v.level = 1
	}
	m.voices = append(m.voices, v)
	return v
}

// drop has a voice stop.
func (m *mixer) drop(v *voice) {
	m.mu.Lock()
	defer m.mu.Unlock()
	v.toward = 0
}

func (m *mixer) read(dst []int16) (frames int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	frames = len(dst) / m.channels
	clear(dst)
	for _, v := range m.voices {
		m.speak(dst, v, frames)
	}
	m.voices = slices.DeleteFunc(m.voices, func(v *voice) bool { return v.toward == 0 && v.level == 0 })
	m.next += int64(frames)
	return frames
}

// speak adds the frames of a voice. One whose stream has ended waits to be dropped, in
// silence.
func (m *mixer) speak(dst []int16, v *voice, frames int) {
	c := v.from.format().channels
	m.buf = slices.Grow(m.buf[:0], frames*c)[:frames*c]
	got := v.from.read(m.buf)
	step := float32(1 / (fadeTime.Seconds() * float64(m.rate)))
	for i := range frames {
		if i < got && v.level > 0 {
			v.frame(dst[i*m.channels:(i+1)*m.channels], m.buf[i*c:(i+1)*c])
		}
		v.level += min(max(v.toward-v.level, -step), step)
	}
}

// frame adds one frame at the level of now.
func (v *voice) frame(dst, src []int16) {
	for i := range v.to.Count() {
		var x float32
		switch {
		case len(src) == 1:
			x = float32(src[0])
		case v.to.Count() == 1:
			x = (float32(src[0]) + float32(src[1])) / 2
		default:
			x = float32(src[i])
		}
		at := &dst[v.to.First-1+i]
		*at = int16(min(max(int32(*at)+int32(math.Round(float64(x*v.level))), math.MinInt16), math.MaxInt16))
	}
}
