package play

import (
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"lampblack/soundfile"
)

// Sound plays a soundtrack and is the clock of what is heard: its position is
// the sample that leaves the device now, not the one that was handed over.
//
// The device is asked some twenty times a second; between the answers the
// computer's clock runs on, and each answer pulls it a tenth of the way, so
// that the frames neither jitter with the answers nor drift from the sound.
type Sound struct {
	track  *pcm
	device device

	mu     sync.Mutex
	from   time.Duration
	at     time.Time     // when the position was pos
	pos    time.Duration // position at that instant
	moving bool          // the device has begun to play
	held   bool
	stop   chan struct{} // closed to end the asking
	done   sync.WaitGroup
}

// device is a way to be heard. It belongs to one Sound.
type device interface {
	// start plays the track from a frame on, giving up what it played before.
	start(track *pcm, frame int64) error
	// heard returns how many frames since start have left the device, and
	// whether it has begun.
	heard() (frames int64, moving bool, err error)
	stop()
	close() error
	name() string
}

// pcm is a decoded track, 16 bits, interleaved.
type pcm struct {
	rate, channels int
	samples        []int16
}

func (p *pcm) frames() int64 { return int64(len(p.samples) / p.channels) }

// maxSound bounds the memory of a track: three hours of stereo at 48 kHz.
const maxSound = 3 * 3600 * 48000 * 2

// OpenSound decodes the soundtrack and opens the sound device. Without a
// device it returns ErrNoDevice, and the caller takes a WallClock.
func OpenSound(ctx context.Context, path string) (*Sound, error) {
	d, err := openDevice()
	if err != nil {
		return nil, err
	}
	track, err := load(ctx, path)
	if err != nil {
		return nil, err
	}
	return &Sound{track: track, device: d, held: true}, nil
}

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

// Run plays from a position on.
func (s *Sound) Run(from time.Duration) {
	s.Hold()
	s.mu.Lock()
	s.from, s.pos, s.at, s.moving, s.held = from, from, time.Now(), false, false
	s.stop = make(chan struct{})
	stop := s.stop
	s.mu.Unlock()
	frame := int64(from.Seconds() * float64(s.track.rate))
	if frame >= s.track.frames() || s.device.start(s.track, frame) != nil {
		s.mu.Lock()
		s.moving = true // nothing left to hear: the computer's clock runs on
		s.mu.Unlock()
		return
	}
	s.done.Add(1)
	go s.ask(stop)
}

// ask follows the device until stop is closed or the track is over.
func (s *Sound) ask(stop chan struct{}) {
	defer s.done.Done()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-stop:
			return
		case <-tick.C:
		}
		frames, moving, err := s.device.heard()
		now := time.Now()
		s.mu.Lock()
		if err != nil {
			// The device has gone: the show goes on by the computer's clock.
			if !s.moving {
				s.moving, s.at = true, now
			}
			s.mu.Unlock()
			return
		}
		if moving {
			s.correct(now, s.from+time.Duration(float64(frames)/float64(s.track.rate)*1e9))
		}
		s.mu.Unlock()
	}
}

// correct takes in that at now the device was at heard. Callers hold mu.
func (s *Sound) correct(now time.Time, heard time.Duration) {
	length := time.Duration(float64(s.track.frames()) / float64(s.track.rate) * 1e9)
	if heard >= length-20*time.Millisecond {
		return // past the end the device stands still, the show does not
	}
	if !s.moving {
		s.moving, s.at, s.pos = true, now, heard
		return
	}
	expected := s.pos + now.Sub(s.at)
	miss := heard - expected
	if miss.Abs() < 60*time.Millisecond {
		miss /= 10
	}
	s.at, s.pos = now, expected+miss
}

// Position is what is heard now.
func (s *Sound) Position() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.held || !s.moving {
		return s.pos
	}
	return s.pos + time.Since(s.at)
}

// Hold stops the sound where it is.
func (s *Sound) Hold() {
	at := s.Position()
	s.mu.Lock()
	if !s.held {
		s.pos, s.held = at, true
		close(s.stop)
	}
	s.mu.Unlock()
	s.done.Wait()
	s.device.stop()
}

// Name says which device plays.
func (s *Sound) Name() string { return "sound heard on " + s.device.name() }

// Close stops the sound and lets the device go.
func (s *Sound) Close() error {
	s.Hold()
	return s.device.close()
}
