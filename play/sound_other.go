//go:build !linux

package play

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"sync/atomic"

	"github.com/ebitengine/oto/v3"
)

// ErrNoDevice means that this computer has no sound device that can be opened.
var ErrNoDevice = errors.New("no sound device")

// otoDevice plays through the system's own sound interface. What the system
// buffers behind it is not known: the show's timing may carry an offset.
type otoDevice struct {
	context *oto.Context
	player  *oto.Player
	pulled  atomic.Int64 // bytes
	bytes   int          // in a frame
}

func openDevice() (device, error) { return &otoDevice{}, nil }

// start opens the device at the first track's rate: a process has one context.
func (d *otoDevice) start(from stream) error {
	f := from.format()
	if d.context == nil {
		c, ready, err := oto.NewContext(&oto.NewContextOptions{SampleRate: f.rate, ChannelCount: f.channels, Format: oto.FormatSignedInt16LE})
		if err != nil {
			return fmt.Errorf("%w: %w", ErrNoDevice, err)
		}
		<-ready
		if err := c.Err(); err != nil {
			return fmt.Errorf("%w: %w", ErrNoDevice, err)
		}
		d.context = c
	}
	d.stop()
	d.pulled.Store(0)
	d.bytes = 2 * f.channels
	d.player = d.context.NewPlayer(&counted{from: from, bytes: d.bytes, n: &d.pulled})
	d.player.Play()
	return nil
}

// counted makes bytes of the frames of a stream, and counts what was read. It is read by
// the system's goroutine.
type counted struct {
	from    stream
	bytes   int // in a frame
	samples []int16
	n       *atomic.Int64
}

func (c *counted) Read(b []byte) (int, error) {
	want := len(b) / c.bytes * c.bytes / 2
	if want > len(c.samples) {
		c.samples = make([]int16, want)
	}
	n := c.from.read(c.samples[:want]) * c.bytes / 2
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
		return 0, false, errors.New("nothing plays")
	}
	if err := d.player.Err(); err != nil {
		return 0, false, err
	}
	n := (d.pulled.Load() - int64(d.player.BufferedSize())) / int64(d.bytes)
	return max(n, 0), n > 0, nil
}

func (d *otoDevice) stop() {
	if d.player != nil {
		d.player.Pause()
		_ = d.player.Close()
		d.player = nil
	}
}

// reopen has nothing to open: the system's context, which a process has once,
// finds its device again by itself, and start makes another player on it.
func (d *otoDevice) reopen() error { return nil }

func (d *otoDevice) close() error {
	d.stop()
	return nil
}

func (d *otoDevice) name() string { return "the default sound device" }
