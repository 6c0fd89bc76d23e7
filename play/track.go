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

// load decodes a whole soundtrack, at a rate or, for 0, at its own. More than two channels
// are cut to the first two, not mixed: the soundtrack of a show is made for two speakers.
func load(ctx context.Context, path string, rate int) (*pcm, error) {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	f := s.Format()
	p := &pcm{rate: f.Rate, channels: min(f.Channels, 2)}
	var change *soundfile.Resampler
	if rate != 0 && rate != f.Rate {
		if change, err = soundfile.NewResampler(f.Rate, rate, p.channels); err != nil {
			return nil, fmt.Errorf("play %s: %w", path, err)
		}
		p.rate = rate
	}
	buf := make([]float32, 4096*f.Channels)
	var changed []float32
	for {
		n, err := s.Read(buf)
		two := firstTwo(buf[:n*f.Channels], f.Channels)
		if change != nil {
			changed = change.Append(changed[:0], two)
			if err == io.EOF {
				changed = change.Flush(changed)
			}
			two = changed
		}
		p.append(two)
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

// firstTwo leaves the first two channels of frames, in place.
func firstTwo(frames []float32, channels int) []float32 {
	if channels <= 2 {
		return frames
	}
	n := len(frames) / channels
	for i := range n {
		copy(frames[2*i:2*i+2], frames[i*channels:])
	}
	return frames[:2*n]
}

// append takes in samples between -1 and 1.
func (p *pcm) append(samples []float32) {
	for _, v := range samples {
		p.samples = append(p.samples, int16(min(max(v, -1), 1)*32767))
	}
}

// Peak is the largest amplitude in a sound file, of full scale: 1 is as large as a file can
// hold without being cut, and those of floating-point numbers may hold more.
func Peak(ctx context.Context, path string) (float64, error) {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	peak := float32(0)
	buf := make([]float32, 4096*s.Format().Channels)
	for {
		n, err := s.Read(buf)
		for _, v := range buf[:n*s.Format().Channels] {
			peak = max(peak, v, -v)
		}
		if err == io.EOF {
			return float64(peak), nil
		}
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return 0, err
		}
	}
}
