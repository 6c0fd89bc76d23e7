package play

import (
	"errors"
	"fmt"
	"sync/atomic"

	"github.com/jfreymuth/pulse"
	"github.com/jfreymuth/pulse/proto"
)

// ErrNoDevice means that this computer has no sound device that can be opened.
var ErrNoDevice = errors.New("no sound device")

// pulseDevice speaks the PulseAudio protocol, which PipeWire serves as well.
type pulseDevice struct {
	client *pulse.Client
	stream *pulse.PlaybackStream
	bytes  int // in a frame
}

func openDevice() (device, error) {
	c, err := pulse.NewClient(pulse.ClientApplicationName("Lampblack"))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	if _, err := c.DefaultSink(); err != nil {
		c.Close()
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	return &pulseDevice{client: c}, nil
}

func (d *pulseDevice) start(track *pcm, frame int64) error {
	d.stop()
	var next atomic.Int64
	next.Store(frame * int64(track.channels))
	read := pulse.Int16Reader(func(buf []int16) (int, error) {
		at := next.Load()
		n := copy(buf, track.samples[min(at, int64(len(track.samples))):])
		next.Add(int64(n))
		if n == 0 {
			return 0, pulse.EndOfData
		}
		return n, nil
	})
	layout := pulse.PlaybackStereo
	if track.channels == 1 {
		layout = pulse.PlaybackMono
	}
	s, err := d.client.NewPlayback(read, layout, pulse.PlaybackSampleRate(track.rate), pulse.PlaybackLatency(.05), pulse.PlaybackMediaName("soundtrack"))
	if err != nil {
		return fmt.Errorf("sound device: %w", err)
	}
	d.stream, d.bytes = s, 2*track.channels
	s.Start()
	return nil
}

func (d *pulseDevice) heard() (int64, bool, error) {
	var reply proto.GetPlaybackLatencyReply
	if err := d.client.RawRequest(&proto.GetPlaybackLatency{StreamIndex: d.stream.StreamIndex()}, &reply); err != nil {
		return 0, false, err
	}
	waiting := float64(reply.Latency) * 1e-6 * float64(d.stream.SampleRate())
	frames := reply.ReadIndex/int64(d.bytes) - int64(waiting)
	return max(frames, 0), reply.Running && frames > 0, nil
}

func (d *pulseDevice) stop() {
	if d.stream != nil {
		d.stream.Stop()
		d.stream.Close()
		d.stream = nil
	}
}

func (d *pulseDevice) close() error {
	d.stop()
	d.client.Close()
	return nil
}

func (d *pulseDevice) name() string { return "the default sound device" }
