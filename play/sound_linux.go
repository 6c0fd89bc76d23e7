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

	wanted string                 // the sink that was asked for, as a person names it; "" for none
	sink   proto.GetSinkInfoReply // what the server plays on; owned by the owner
	moved  string                 // the sink that the server has moved the stream to meanwhile
}

// pulseStream is one stretch of playing; owned by mu of its device.
type pulseStream struct {
	index uint32
	from  stream
	bytes int // in a frame
	rate  float64
}

func openDevice(name string) (device, error) {
	d := &pulseDevice{wanted: name}
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
	d.client, d.conn, d.stream, d.moved = client, conn, nil, ""
	d.mu.Unlock()
	if err = named(client); err == nil {
		err = d.choose()
	}
	if err != nil {
		conn.Close()
		return fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	return nil
}

// named tells the server who asks.
func named(client *proto.Client) error {
	name := proto.SetClientName{Props: proto.PropList{"application.name": proto.PropListString("Lampblack")}}
	return client.Request(&name, &proto.SetClientNameReply{})
}

// choose takes the sink that is wanted, or, where it is not there, the server's own choice.
func (d *pulseDevice) choose() error {
	if s := d.wish(); s != nil {
		d.sink = *s
		return nil
	}
	d.sink = proto.GetSinkInfoReply{}
	return d.client.Request(&proto.GetSinkInfo{SinkIndex: proto.Undefined}, &d.sink)
}

// wish is the sink that is wanted; nil where there is none of the name.
func (d *pulseDevice) wish() *proto.GetSinkInfoReply {
	if d.wanted == "" {
		return nil
	}
	var sinks proto.GetSinkInfoListReply
	if d.client.Request(&proto.GetSinkInfoList{}, &sinks) != nil {
		return nil
	}
	var list []Device
	for _, s := range sinks {
		list = append(list, deviceOf(s))
	}
	if i := Find(list, d.wanted); i >= 0 {
		return sinks[i]
	}
	return nil
}

func (d *pulseDevice) absent() string {
	if d.wanted == "" {
		return ""
	}
	d.mu.Lock()
	moved := d.moved
	d.mu.Unlock()
	on := deviceOf(&d.sink)
	if moved != "" {
		on = Device{Name: moved}
	}
	if Find([]Device{on}, d.wanted) == 0 {
		return ""
	}
	return d.wanted
}

func (d *pulseDevice) found() bool { return d.wish() != nil }

// deviceOf is a sink as people are told of it.
func deviceOf(s *proto.GetSinkInfoReply) Device {
	out := Device{Name: s.SinkName, Called: s.Properties["device.description"].String(), Channels: int(s.Channels), Rate: int(s.Rate)}
	if out.Called == "" {
		out.Called = s.SinkName
	}
	says := []string{s.SinkName, out.Called, s.ActivePortName, s.Properties["device.profile.name"].String(), s.Properties["device.profile.description"].String(), s.Properties["device.icon_name"].String()}
	for _, p := range s.Ports {
		if p.Name == s.ActivePortName {
			says = append(says, p.Description)
		}
	}
	out.Screen = onScreen(says...)
	return out
}

// Devices are the sound devices that there are. Without a server for them it returns
// ErrNoDevice.
func Devices() ([]Device, error) {
	client, conn, err := proto.Connect("")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	defer conn.Close()
	var sinks proto.GetSinkInfoListReply
	var server proto.GetServerInfoReply
	for _, ask := range []func() error{
		func() error { return named(client) },
		func() error { return client.Request(&proto.GetSinkInfoList{}, &sinks) },
		func() error { return client.Request(&proto.GetServerInfo{}, &server) },
	} {
		if err := ask(); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
		}
	}
	var out []Device
	for _, s := range sinks {
		d := deviceOf(s)
		d.Default = s.SinkName == server.DefaultSinkName
		out = append(out, d)
	}
	return out, nil
}

// message takes what the server says of itself, on the client's goroutine.
func (d *pulseDevice) message(m any) {
	switch m := m.(type) {
	case *proto.Request:
		d.feed(m.StreamIndex, int(m.Length))
	case *proto.PlaybackStreamMoved: // as when a sink has gone
		d.mu.Lock()
		d.moved = m.DestName
		d.mu.Unlock()
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
	sink := uint32(proto.Undefined) // where nothing was asked for the stream follows the system's settings
	if d.wanted != "" {
		sink = d.sink.SinkIndex
	}
	ask := proto.CreatePlaybackStream{
		SampleSpec:            proto.SampleSpec{Format: proto.FormatInt16LE, Channels: byte(f.channels), Rate: uint32(f.rate)},
		ChannelMap:            layout,
		ChannelVolumes:        make(proto.ChannelVolumes, f.channels),
		SinkIndex:             sink,
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

func (d *pulseDevice) name() string {
	if d.wanted == "" {
		return "the default sound device"
	}
	return deviceOf(&d.sink).Called
}
