//go:build !linux

package play

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"sync"
	"sync/atomic"

	"github.com/ebitengine/oto/v3"

	"lampblack/play/line"
)

// ErrNoDevice means that this computer has no sound device that can be opened.
var ErrNoDevice = errors.New("no sound device")

// otoDevice plays through the system's own sound interface. What the system
// buffers behind it is not known: the show's timing may carry an offset.
type otoDevice struct {
	wanted string // the device that was asked for, which only the system's settings can choose
	player *oto.Player
	pulled atomic.Int64 // bytes
}

// trackRate is the rate at which tracks are played: that of the context.
const trackRate = 48000

// system is the context that a process may make once, of which more cannot be said than
// one or two channels; it lives as long as the process.
var system = sync.OnceValues(func() (*oto.Context, error) {
	c, ready, err := oto.NewContext(&oto.NewContextOptions{SampleRate: trackRate, ChannelCount: 2, Format: oto.FormatSignedInt16LE})
	if err == nil {
		<-ready
		err = c.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	return c, nil
})

func openDevice(name string) (device, error) {
	if _, err := system(); err != nil {
		return nil, err
	}
	return &otoDevice{wanted: name}, nil
}

func (d *otoDevice) absent() string { return d.wanted }
func (d *otoDevice) found() bool    { return false }

// Devices are the sound devices that there are: here the system's settings choose one, and
// programs are told no more of it.
func Devices() ([]Device, error) {
	return []Device{{Name: "default", Called: "the device of the system's sound settings", Default: true, Channels: 2, Rate: trackRate}}, nil
}

func (d *otoDevice) outputs() format { return format{rate: trackRate, channels: 2} }

// start plays a stream of the context's rate; one of a single channel is heard on both.
func (d *otoDevice) start(from stream) error {
	context, err := system()
	if err != nil {
		return err
	}
	d.stop()
	if from.format().channels == 1 {
		both := newMixer(d.outputs())
		both.add(from, line.Channels{First: 1, Last: 2})
		from = both
	}
	d.pulled.Store(0)
	d.player = context.NewPlayer(&counted{from: from, n: &d.pulled})
	d.player.Play()
	return nil
}

// frameBytes is a frame of two channels of 16 bits.
const frameBytes = 4

// counted makes bytes of the frames of a stream, and counts what was read. It is read by
// the system's goroutine.
type counted struct {
	from    stream
	samples []int16
	n       *atomic.Int64
}

func (c *counted) Read(b []byte) (int, error) {
	want := len(b) / frameBytes * 2
	if want > len(c.samples) {
		c.samples = make([]int16, want)
	}
	n := c.from.read(c.samples[:want]) * 2
	if n == 0 && want > 0 {
		return 0, io.EOF
	}
	for i, v := range c.samples[:n] {
		binary.LittleEndian.PutUint16(b[2*i:], uint16(v))
	}
	c.n.Add(int64(2 * n))
	return 2 * n, nil
}

func (d *otoDevice) heard() (int64, bool, error) {
	if d.player == nil {
		return 0, false, errNothingPlays
	}
	if err := d.player.Err(); err != nil {
		return 0, false, err
	}
	n := (d.pulled.Load() - int64(d.player.BufferedSize())) / frameBytes
	return max(n, 0), n > 0, nil
}

func (d *otoDevice) stop() {
	if d.player != nil {
		d.player.Pause()
		_ = d.player.Close()
		d.player = nil
	}
}

// reopen has nothing to open: the system's context
// finds its device again by itself, and start makes another player on it.
func (d *otoDevice) reopen() error { return nil }

func (d *otoDevice) close() error {
	d.stop()
	return nil
}

func (d *otoDevice) name() string { return "the default sound device" }
