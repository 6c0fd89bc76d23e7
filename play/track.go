package play

import (
	"context"
	"fmt"
	"io"
	"time"

	"lampblack/soundfile"
)

// pcm is a decoded track, 16 bits, interleaved.
type pcm struct {
	rate, channels int
	samples        []int16
}

func (p *pcm) frames() int64 { return int64(len(p.samples) / p.channels) }

// length is the time that it takes.
func (p *pcm) length() time.Duration { return p.time(p.frames()) }

// time is that of a frame, and frame the nearest to a time. Whole numbers and remainders
// apart: a day in nanoseconds times the rate is more than an int64 holds.
func (p *pcm) time(frame int64) time.Duration {
	rate := int64(p.rate)
	return time.Duration(frame/rate)*time.Second + time.Duration(frame%rate*int64(time.Second)/rate)
}

func (p *pcm) frame(at time.Duration) int64 {
	rate, second := int64(p.rate), int64(time.Second)
	return int64(at)/second*rate + (int64(at)%second*rate+second/2)/second
}

// at is a sample, 0 outside of the track.
func (p *pcm) at(frame int64, channel int) int16 {
	if frame < 0 || frame >= p.frames() {
		return 0
	}
	return p.samples[frame*int64(p.channels)+int64(channel)]
}

// maxSound bounds the memory of a track: three hours of stereo at 48 kHz.
const maxSound = 3 * 3600 * 48000 * 2

// load decodes a whole soundtrack. More than two channels are cut to the first two, not
// mixed: the soundtrack of a show is made for two speakers.
func load(ctx context.Context, path string) (*pcm, error) {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	f := s.Format()
	p := &pcm{rate: f.Rate, channels: min(f.Channels, 2)}
	buf := make([]float32, 4096*f.Channels)
	for {
		n, err := s.Read(buf)
		for i := range n {
			for c := range p.channels {
				v := min(max(buf[i*f.Channels+c], -1), 1)
				p.samples = append(p.samples, int16(v*32767))
			}
		}
		if err == io.EOF {
			return p, nil
		}
		if err != nil {
			return nil, err
		}
		if len(p.samples) > maxSound {
			return nil, fmt.Errorf("play %s: longer than three hours", path)
		}
	}
}
