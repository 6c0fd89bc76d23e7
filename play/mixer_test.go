package play

import (
	"math/rand/v2"
	"testing"

	"lampblack/play/line"

	"pgregory.net/rapid"
)

// steady is a stream of so many frames, each channel at its own level.
type steady struct {
	levels []int16
	left   int
	begun  bool
}

func (s *steady) format() format { return format{rate: 1000, channels: len(s.levels)} }
func (s *steady) fresh() bool    { return !s.begun }
func (s *steady) read(dst []int16) int {
	n := min(len(dst)/len(s.levels), s.left)
	for i := range n {
		copy(dst[i*len(s.levels):], s.levels)
	}
	s.left -= n
	s.begun = true
	return n
}

// mixed is what a mixer makes: frames in pieces of any length, by frame.
func mixed(m *mixer, frames int, r *rand.Rand) [][]int16 {
	var out [][]int16
	for len(out) < frames {
		buf := make([]int16, min(1+r.IntN(40), frames-len(out))*m.channels)
		for i := range buf {
			buf[i] = 99 // what a device left in it is no sound
		}
		for n := m.read(buf); n > 0; n-- {
			out = append(out, buf[:m.channels])
			buf = buf[m.channels:]
		}
	}
	return out
}

// Each stream is heard on its own channels, at its own level, from the frame at which it
// was added to that at which it was dropped; nothing of it is heard anywhere else.
func TestMixer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newMixer(format{rate: 1000, channels: 6})
		type zone struct {
			to          line.Channels
			from        *steady
			heard       []int16 // on its channels
			begin, stop int
		}
		var zones []zone
		for _, to := range []line.Channels{pair, third, {First: 4, Last: 4}, {First: 5, Last: 6}} {
			if rapid.IntRange(0, 3).Draw(t, "plays") == 0 {
				continue
			}
			level := rapid.SliceOfN(rapid.Int16(), 1, 2).Draw(t, "levels")
			z := zone{to: to, from: &steady{levels: level, left: rapid.IntRange(0, 900).Draw(t, "frames")}}
			for i := range to.Count() {
				switch {
				case len(level) == 1:
					z.heard = append(z.heard, level[0])
				case to.Count() == 2:
					z.heard = append(z.heard, level[i])
				default:
					z.heard = append(z.heard, rounded((float32(level[0])+float32(level[1]))/2))
				}
			}
			z.begin = rapid.IntRange(0, 300).Draw(t, "begin")
			z.stop = z.begin + rapid.IntRange(0, 600).Draw(t, "stop")
			zones = append(zones, z)
		}
		length := make([]int, len(zones))
		voices := make([]*voice, len(zones))
		var out [][]int16
		r := pieces()
		for frame := range 1000 {
			for i, z := range zones {
				if frame == z.begin {
					length[i] = z.from.left
					voices[i] = m.add(z.from, z.to)
				}
				if frame == z.stop {
					m.drop(voices[i])
				}
			}
			out = append(out, mixed(m, 1, r)...)
		}
		for frame, f := range out {
			want := make([]int16, 6)
			fades := make([]bool, 6)
			for i, z := range zones {
				end := min(z.begin+length[i], z.stop)
				for c, v := range z.heard {
					if at := z.to.First - 1 + c; frame >= z.begin && frame < end {
						want[at] = v
					} else if frame >= z.stop && frame < z.stop+5 {
						fades[at] = true
					}
				}
			}
			for c := range want {
				if f[c] != want[c] && !fades[c] {
					t.Fatalf("frame %d, channel %d: %d, want %d (%+v)", frame, c+1, f[c], want[c], zones)
				}
			}
		}
		if len(m.voices) > 0 {
			for i := range zones {
				if zones[i].stop < 990 {
					continue
				}
				return
			}
			t.Errorf("%d voices are left of those that were dropped", len(m.voices))
		}
	})
}

// What stops fades out, what comes in the middle of a track fades in, and what begins
// does so at once. The pieces that a device takes make no difference.
func TestMixerFades(t *testing.T) {
	m := newMixer(format{rate: 1000, channels: 1})
	first := m.add(&steady{levels: []int16{10000}, left: 1000}, line.Channels{First: 1, Last: 1})
	r := pieces()
	var heard []int16
	listen := func(frames int) {
		for _, f := range mixed(m, frames, r) {
			heard = append(heard, f[0])
		}
	}
	listen(3)
	m.drop(first)
	m.add(&steady{levels: []int16{-20000}, left: 1000, begun: true}, line.Channels{First: 1, Last: 1})
	listen(7)
	for i, want := range []int16{10000, 10000, 10000, 10000, 8000 - 4000, 6000 - 8000, 4000 - 12000, 2000 - 16000, -20000, -20000} {
		if d := heard[i] - want; d < -1 || d > 1 {
			t.Errorf("frame %d: %d, want %d of %v", i, heard[i], want, heard)
		}
	}
	loud := newMixer(format{rate: 1000, channels: 1})
	for range 2 {
		loud.add(&steady{levels: []int16{30000}, left: 10}, line.Channels{First: 1, Last: 1})
	}
	if f := mixed(loud, 1, r); f[0][0] != 32767 {
		t.Errorf("two that are too loud together are %d, want full scale", f[0][0])
	}
}
