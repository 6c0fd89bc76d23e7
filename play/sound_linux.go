package play

import (
	"encoding/binary"
	"errors"
	"fmt"
	"net"
	"sync"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// ErrNoDevice means that this computer has no sound device that can be opened.
var ErrNoDevice = errors.New("no sound device")

// pulseDevice speaks the PulseAudio protocol, which PipeWire serves as well. It
// uses the protocol's messages alone: the server asks for bytes, and gets them.
type pulseDevice struct {
	mu     sync.Mutex    // guards what follows against the library's reader
	client *proto.Client // set by the owner
	conn   net.Conn
	stream *pulseStream // nil while nothing plays

	sink proto.GetSinkInfoReply // what the server plays on; owned by the owner
}

// trackRate is the rate at which tracks are played: their own, as the server changes it.
const trackRate = 0

// pulseStream is one stretch of playing; owned by mu of its device.
type pulseStream struct {
	index uint32
	from  stream
	bytes int // in a frame
	rate  float64
}

func openDevice() (device, error) {
	d := &pulseDevice{}
	if err := d.reopen(); err != nil {
		return nil, err
	}
	return d, nil
}

// reopen connects to the server, anew after it went away. The library's reader
// ends with its connection.
func (d *pulseDevice) reopen() error {
	if d.conn != nil {
		_ = d.conn.Close()
	}
	client, conn, err := proto.Connect("")
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	client.Callback = d.message
	d.mu.Lock()
	d.client, d.conn, d.stream = client, conn, nil
	d.mu.Unlock()
	name := proto.SetClientName{Props: proto.PropList{"application.name": proto.PropListString("Lampblack")}}
	err = client.Request(&name, &proto.SetClientNameReply{})
	if err == nil {
		err = client.Request(&proto.GetSinkInfo{SinkIndex: proto.Undefined}, &d.sink)
	}
	if err != nil {
		conn.Close()
		return fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	return nil
}

// message takes what the server says of itself, on the client's goroutine.
func (d *pulseDevice) message(m any) {
	if ask, ok := m.(*proto.Request); ok {
		d.feed(ask.StreamIndex, int(ask.Length))
	}
}

// mostAsked is how much sound a server may ask for at once: they hold two seconds at most.
const mostAsked = 10 // s

// feed sends up to length bytes of the stream.
func (d *pulseDevice) feed(index uint32, length int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := d.stream
	if s == nil || s.index != index {
		return
	}
	length = min(length, int(mostAsked*s.rate)*s.bytes) // whatever a server says
	samples := make([]int16, length/s.bytes*s.bytes/2)
	n := s.from.read(samples) * s.bytes / 2
	if n == 0 {
		return
	}
	data := make([]byte, 0, 2*n)
	for _, v := range samples[:n] {
		data = binary.LittleEndian.AppendUint16(data, uint16(v))
	}
	d.patience()
	_ = d.client.Send(index, data) // a lost server is seen by heard
}

// patience bounds how long a server that stands still may hold up a write; the
// library bounds the wait for an answer alike.
func (d *pulseDevice) patience() { _ = d.conn.SetWriteDeadline(time.Now().Add(time.Second)) }

func (d *pulseDevice) request(ask proto.RequestArgs, reply proto.Reply) error {
	d.patience()
	return d.client.Request(ask, reply)
}

// latency is how much sound the server holds: little enough that hold is
// prompt, enough that a busy computer does not stutter.
const latency = .05 // s

func (d *pulseDevice) start(from stream) error {
	d.stop()
	f := from.format()
	layout := proto.ChannelMap{proto.ChannelLeft, proto.ChannelRight}
	switch {
	case f.direct && f.channels == len(d.sink.ChannelMap):
		layout = d.sink.ChannelMap
	case f.channels == 1:
		layout = proto.ChannelMap{proto.ChannelMono}
	}
	ask := proto.CreatePlaybackStream{
		SampleSpec:            proto.SampleSpec{Format: proto.FormatInt16LE, Channels: byte(f.channels), Rate: uint32(f.rate)},
		ChannelMap:            layout,
		ChannelVolumes:        make(proto.ChannelVolumes, f.channels),
		SinkIndex:             proto.Undefined,
		BufferMaxLength:       proto.Undefined,
		BufferTargetLength:    uint32(latency*float64(f.rate)) * 2 * uint32(f.channels),
		BufferPrebufferLength: proto.Undefined,
		BufferMinimumRequest:  proto.Undefined,
		NoRemap:               f.direct, // channel by channel, whatever they are called
		AdjustLatency:         true,
		Corked:                true,
		Properties:            proto.PropList{"media.name": proto.PropListString("soundtrack")},
	}
	for i := range ask.ChannelVolumes {
		ask.ChannelVolumes[i] = 0x10000 // full, the protocol's norm
	}
	var reply proto.CreatePlaybackStreamReply
	if err := d.request(&ask, &reply); err != nil {
		return fmt.Errorf("sound device: %w", err)
	}
	d.mu.Lock()
	d.stream = &pulseStream{index: reply.StreamIndex, from: from, bytes: 2 * f.channels, rate: float64(f.rate)}
	d.mu.Unlock()
	d.feed(reply.StreamIndex, int(reply.Missing))
	return d.request(&proto.CorkPlaybackStream{StreamIndex: reply.StreamIndex, Corked: false}, nil)
}

// heard asks the server, whose read index counts what it has taken from the stream;
// latency is how much of that has not left the device, in microseconds.
func (d *pulseDevice) heard() (int64, bool, error) {
	d.mu.Lock()
	s := d.stream
	d.mu.Unlock()
	if s == nil {
		return 0, false, errNothingPlays
	}
	var reply proto.GetPlaybackLatencyReply
	if err := d.request(&proto.GetPlaybackLatency{StreamIndex: s.index}, &reply); err != nil {
		return 0, false, err
	}
	waiting := float64(reply.Latency) * 1e-6 * s.rate
	frames := reply.ReadIndex/int64(s.bytes) - int64(waiting)
	return max(frames, 0), reply.Running && frames > 0, nil
}

// outputs are those of the server's device. Above 48 kHz nobody hears a difference, and
// tracks would take memory for it.
func (d *pulseDevice) outputs() format {
	return format{rate: min(int(d.sink.Rate), 48000), channels: int(d.sink.Channels)}
}

func (d *pulseDevice) stop() {
	d.mu.Lock()
	s := d.stream
	d.stream = nil
	d.mu.Unlock()
	if s != nil {
		_ = d.request(&proto.DeletePlaybackStream{StreamIndex: s.index}, nil)
	}
}

func (d *pulseDevice) close() error {
	d.stop()
	return d.conn.Close()
}

func (d *pulseDevice) name() string { return "the default sound device" }
