package play

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"net"
	"sync"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// fragment is how much sound the server gathers before it hands it over: each costs a little
// work, and is as much delay.
const fragment = .005 // s

// mostPackets is how many of them may wait before what hears has fallen behind for good.
const mostPackets = 1000

// pulseInput records from a server by its protocol's messages; see pulseDevice.
type pulseInput struct {
	of      format
	latency time.Duration // of the source, as the server says
	conn    net.Conn
	client  *proto.Client
	packets chan packet
	end     func()        // once
	ended   chan struct{} // closed when no more packets come
}

// packet is what the server handed over at an instant.
type packet struct {
	data []byte
	at   time.Time
}

// openInput records from the input of a name, "" for the server's own choice. One that goes away
// ends; the stream of the server's choice moves with it.
func openInput(wanted string) (input, error) {
	client, conn, err := proto.Connect("")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	d := &pulseInput{conn: conn, client: client, packets: make(chan packet, mostPackets), ended: make(chan struct{})}
	d.end = sync.OnceFunc(func() { close(d.ended) })
	if err := d.begin(client, wanted); err != nil {
		conn.Close()
		return nil, err
	}
	return d, nil
}

func (d *pulseInput) begin(client *proto.Client, wanted string) error {
	index := uint32(proto.Undefined)
	client.Callback = func(m any) { // all on the client's one goroutine
		now := time.Now()
		switch m := m.(type) {
		case *proto.DataPacket:
			if m.StreamIndex != index && index != proto.Undefined {
				return
			}
			select {
			case d.packets <- packet{append([]byte(nil), m.Data...), now}:
				return
			default: // it hears no more: it begins anew rather than late
			}
		case *proto.RecordStreamKilled, *proto.ConnectionClosed:
		default:
			return
		}
		d.end()
	}
	if err := named(client); err != nil {
		return fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	source, err := sourceOf(client, wanted)
	if err != nil {
		return err
	}
	d.of = format{rate: min(int(source.Rate), 48000), channels: min(int(source.Channels), mostHeard)}
	ask := proto.CreateRecordStream{
		SampleSpec:         proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: byte(d.of.channels), Rate: uint32(d.of.rate)},
		ChannelMap:         source.ChannelMap[:d.of.channels],
		SourceIndex:        proto.Undefined,
		BufferMaxLength:    proto.Undefined,
		BufferFragSize:     uint32(fragment*float64(d.of.rate)) * 4 * uint32(d.of.channels),
		AdjustLatency:      true,
		DirectOnInputIndex: proto.Undefined,
		Properties:         proto.PropList{"media.name": proto.PropListString("live sound")},
	}
	for range d.of.channels { // the protocol's norm, though it is not set
		ask.ChannelVolumes = append(ask.ChannelVolumes, 0x10000)
	}
	if wanted != "" {
		ask.SourceIndex, ask.NoMove = source.SourceIndex, true
	}
	var reply proto.CreateRecordStreamReply
	if err := client.Request(&ask, &reply); err != nil {
		return fmt.Errorf("sound input: %w", err)
	}
	d.latency = time.Duration(reply.SourceLatency) * time.Microsecond
	return nil
}

// sourceOf is the input of a name.
func sourceOf(client *proto.Client, wanted string) (*proto.GetSourceInfoReply, error) {
	if wanted == "" {
		var s proto.GetSourceInfoReply
		if err := client.Request(&proto.GetSourceInfo{SourceIndex: proto.Undefined}, &s); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
		}
		return &s, nil
	}
	var sources proto.GetSourceInfoListReply
	if err := client.Request(&proto.GetSourceInfoList{}, &sources); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	var list []Device
	for _, s := range sources {
		list = append(list, inputOf(s))
	}
	if i := Find(list, wanted); i >= 0 {
		return sources[i], nil
	}
	return nil, fmt.Errorf("%w %q", errNoInput, wanted)
}

// inputOf is a source as people are told of it.
func inputOf(s *proto.GetSourceInfoReply) Device {
	out := Device{Name: s.SourceName, Called: s.Properties["device.description"].String(), Channels: int(s.Channels), Rate: int(s.Rate)}
	if out.Called == "" {
		out.Called = s.SourceName
	}
	return out
}

// Inputs are the sound inputs that there are, with what each loudspeaker's device plays as one
// more. Without a server for them it returns ErrNoDevice.
func Inputs() ([]Device, error) {
	client, conn, err := proto.Connect("")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
	}
	defer conn.Close()
	var sources proto.GetSourceInfoListReply
	var server proto.GetServerInfoReply
	for _, ask := range []func() error{
		func() error { return named(client) },
		func() error { return client.Request(&proto.GetSourceInfoList{}, &sources) },
		func() error { return client.Request(&proto.GetServerInfo{}, &server) },
	} {
		if err := ask(); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrNoDevice, err)
		}
	}
	var out []Device
	for _, s := range sources {
		d := inputOf(s)
		d.Default = s.SourceName == server.DefaultSourceName
		out = append(out, d)
	}
	return out, nil
}

func (d *pulseInput) format() format      { return d.of }
func (d *pulseInput) late() time.Duration { return d.latency }

// Close ends the connection, of which the library says nothing to what listens.
func (d *pulseInput) Close() error {
	d.end()
	return d.conn.Close()
}

// askEvery is how often the server is asked whether it is still there: not each way in which a
// connection ends is told.
const askEvery = 500 * time.Millisecond

func (d *pulseInput) ask() {
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	for {
		select {
		case <-d.ended:
			return
		case <-tick.C:
			if d.client.Request(&proto.GetServerInfo{}, &proto.GetServerInfoReply{}) != nil {
				d.end()
				return
			}
		}
	}
}

func (d *pulseInput) each(take func(samples []float32, at time.Time)) error {
	var asking sync.WaitGroup
	asking.Go(d.ask)
	defer asking.Wait()
	var samples []float32
	for {
		select {
		case p := <-d.packets:
			n := len(p.data) / (4 * d.of.channels) * d.of.channels
			samples = samples[:0]
			for i := range n {
				samples = append(samples, math.Float32frombits(binary.LittleEndian.Uint32(p.data[4*i:])))
			}
			take(samples, p.at)
		case <-d.ended:
			return io.EOF
		}
	}
}
