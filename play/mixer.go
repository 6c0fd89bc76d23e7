package play

import (
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"lampblack/play/line"
	"lampblack/show"
	"lampblack/si"
)

// mixer is the stream of a device on which several others play, each on its own channels.
// It never ends, and is silent where nothing plays.
//
//	frames of a zone ─▶ voice ─▶ 1-2 ─┐
//	frames of a zone ─▶ voice ─▶ 3   ─┼─▶ sum ─▶ delay, level of each channel ─▶ the device
//	an extra sound   ─▶ voice ─▶ 1-2 ─┘
//
// A stream of one channel is heard on both of a pair; of two on a single channel, their
// mean is. Where voices share a channel they add up, and are cut at full scale.
type mixer struct {
	rate, channels int

	silent *atomic.Bool // nothing is heard, whatever plays; nil is never
	mu     sync.Mutex   // guards what follows
	voices []*voice
	heard  float32   // of all, on its way to silence and back
	trims  []trim    // of each channel
	next   int64     // frame that read hands over next
	buf    []int16   // of one voice
	sum    []float32 // of all
}

// voice is one stream of a mixer.
type voice struct {
	from   stream
	to     line.Channels
	begun  int64   // frame of the mix that is its first
	level  float32 // of the next frame
	toward float32 // 1 while it plays, 0 when it was dropped
	once   bool    // it is dropped when its stream ends
	even   bool    // it is no louder where a channel is
}

// fadeTime is how long a voice takes to come in the middle of a track, or to stop:
// nobody hears it as a fade, and nobody hears a click.
const fadeTime = 5 * time.Millisecond

func newMixer(f format) *mixer {
	m := &mixer{rate: f.rate, channels: f.channels, heard: 1, trims: make([]trim, f.channels)}
	for i := range m.trims {
		m.trims[i] = newTrim(f.rate)
	}
	return m
}

func (m *mixer) format() format { return format{rate: m.rate, channels: m.channels, direct: true} }
func (m *mixer) fresh() bool    { return true }

// add lets a stream play on channels that the mixer has, from the next frame on.
func (m *mixer) add(from stream, to line.Channels) *voice {
	v := &voice{from: from, to: to, toward: 1}
	m.plays(v)
	return v
}

// plays lets a voice play from the next frame on.
func (m *mixer) plays(v *voice) {
	m.mu.Lock()
	defer m.mu.Unlock()
	v.begun = m.next
	if v.from.fresh() {
		v.level = 1
	}
	m.voices = append(m.voices, v)
}

// drop has a voice stop.
func (m *mixer) drop(v *voice) {
	m.mu.Lock()
	defer m.mu.Unlock()
	v.toward = 0
}

// has tells whether a voice is heard still.
func (m *mixer) has(v *voice) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.Contains(m.voices, v)
}

// sounds tells whether anything plays on.
func (m *mixer) sounds() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.ContainsFunc(m.voices, func(v *voice) bool { return v.toward > 0 })
}

// trim sets what a channel is given in the hall.
func (m *mixer) trim(channel int, t Trim) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if channel >= 1 && channel <= m.channels {
		m.trims[channel-1].set(t, m.rate)
	}
}

// delay is by how many frames what plays on channels is heard later: the least of theirs, as
// it is the first that people hear.
func (m *mixer) delay(to line.Channels) int64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	least := m.trims[to.First-1].delay
	for c := to.First; c < to.Last; c++ {
		least = min(least, m.trims[c].delay)
	}
	return int64(least)
}

func (m *mixer) read(dst []int16) (frames int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	frames = len(dst) / m.channels
	m.sum = slices.Grow(m.sum[:0], frames*m.channels)[:frames*m.channels]
	clear(m.sum)
	for _, v := range m.voices {
		m.speak(v, frames)
	}
	m.voices = slices.DeleteFunc(m.voices, func(v *voice) bool { return v.toward == 0 && v.level == 0 })
	m.silence(frames)
	for c := 0; c < m.channels && frames > 0; c++ {
		m.trims[c].apply(m.sum[c:], dst[c:], m.channels, frames)
	}
	clear(dst[frames*m.channels:])
	m.next += int64(frames)
	return frames
}

// silence takes the sum to silence while it is wanted, and back, each as fast as no click is
// heard.
func (m *mixer) silence(frames int) {
	to, step := float32(1), float32(1/(fadeTime.Seconds()*float64(m.rate)))
	if m.silent != nil && m.silent.Load() {
		to = 0
	}
	if m.heard == 1 && to == 1 {
		return
	}
	for i := range frames {
		m.heard += min(max(to-m.heard, -step), step)
		for c := range m.channels {
			m.sum[i*m.channels+c] *= m.heard
		}
	}
}

// speak adds the frames of a voice. One whose stream has ended waits to be dropped, in
// silence.
func (m *mixer) speak(v *voice, frames int) {
	c := v.from.format().channels
	m.buf = slices.Grow(m.buf[:0], frames*c)[:frames*c]
	got := v.from.read(m.buf)
	step := float32(1 / (fadeTime.Seconds() * float64(m.rate)))
	for i := range frames {
		if i < got && v.level > 0 {
			m.frame(v, i, m.buf[i*c:(i+1)*c])
		}
		v.level += min(max(v.toward-v.level, -step), step)
	}
	if v.once && got < frames {
		v.level, v.toward = 0, 0
	}
}

// frame adds one frame at the level of now.
func (m *mixer) frame(v *voice, i int, src []int16) {
	for k := range v.to.Count() {
		var x float32
		switch {
		case len(src) == 1:
			x = float32(src[0])
		case v.to.Count() == 1:
			x = (float32(src[0]) + float32(src[1])) / 2
		default:
			x = float32(src[k])
		}
		channel := v.to.First - 1 + k
		if gain := m.trims[channel].gain.top(); v.even && gain > 1 {
			x /= gain
		}
		m.sum[i*m.channels+channel] += x * v.level
	}
}

// Trim is what a channel of the sound device, and so the loudspeaker on it, is given in a
// hall: a level, and a delay, so that one that stands nearer is not heard first. It is
// kept within [show.LoudestTrim] and [show.LongestTrim].
type Trim struct {
	Level si.Decibels
	Delay time.Duration
}

// trim is a Trim at work: what came last on the channel, read so many frames behind. One that
// is changed goes over into the new one in some ms.
type trim struct {
	gain   glide
	delay  int       // frames
	before int       // the delay before
	cross  float32   // of the new delay, 0 to 1
	kept   []float32 // a ring of what came last
	at     int       // where it is written next
	step   float32   // of cross and gain, in a frame
}

// glide is a gain on its way.
type glide struct{ now, to float32 }

// top is the most that it is from here on.
func (g glide) top() float32 { return max(g.now, g.to) }

func newTrim(rate int) trim {
	return trim{gain: glide{1, 1}, cross: 1, step: float32(1 / (4 * fadeTime.Seconds() * float64(rate))), kept: make([]float32, int(show.LongestTrim.Seconds()*float64(rate))+2)}
}

// set takes it to another Trim, within the bounds.
func (t *trim) set(to Trim, rate int) {
	t.gain.to = float32(min(to.Level, show.LoudestTrim).Amplitude())
	d := min(max(to.Delay, 0), show.LongestTrim)
	frames := int((int64(d)*int64(rate) + int64(time.Second)/2) / int64(time.Second))
	if frames == t.delay {
		return
	}
	t.before, t.delay, t.cross = t.delay, frames, 0
}

// apply makes the frames of the channel of their sum.
func (t *trim) apply(sum []float32, dst []int16, channels, frames int) {
	for i := range frames {
		v := t.delayed(sum[i*channels])
		if t.gain.now != 1 {
			v *= t.gain.now
		}
		t.gain.now += min(max(t.gain.to-t.gain.now, -t.step), t.step)
		dst[i*channels] = rounded(v)
	}
}

// delayed takes in a sample and returns the one that is heard.
func (t *trim) delayed(v float32) float32 {
	t.kept[t.at] = v
	v = t.ago(t.delay)
	if t.cross < 1 {
		v = t.cross*v + (1-t.cross)*t.ago(t.before)
		t.cross = min(t.cross+t.step, 1)
	}
	if t.at++; t.at == len(t.kept) {
		t.at = 0
	}
	return v
}

// ago is the sample of so many frames ago.
func (t *trim) ago(frames int) float32 {
	i := t.at - frames
	if i < 0 {
		i += len(t.kept)
	}
	return t.kept[i]
}
