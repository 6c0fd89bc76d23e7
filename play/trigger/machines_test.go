package trigger_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"net"
	"net/netip"
	"os"
	"sync"
	"testing"
	"time"

	"lampblack/play/line"
	"lampblack/play/network"
	"lampblack/play/trigger"
	"lampblack/play/trigger/triggertest"
	"lampblack/wire/artnet"
	"lampblack/wire/midi"
	"lampblack/wire/osc"
	"lampblack/wire/sacn"
)

func parse(t testing.TB, text string) line.Trigger {
	t.Helper()
	from, err := line.ParseTrigger(text)
	if err != nil {
		t.Fatal(err)
	}
	return from
}

// openOne opens a set with one trigger.
func openOne(t testing.TB, text string, o trigger.Options) *trigger.Set {
	t.Helper()
	s, err := trigger.Open(t.Context(), trigger.List{Triggers: []trigger.Trigger{{Name: "door", From: parse(t, text)}}}, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// noise is bytes by lot, the same every time.
func noise(n int) []byte {
	r := rand.New(rand.NewPCG(1, 2))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(r.Uint32())
	}
	return b
}

// wire carries packets to a set: by a socket of the loopback, or in memory.
type wire struct {
	mu   sync.Mutex
	away bool
	in   chan []byte // in memory
	now  *memory     // the last that was opened
}

func newWire() *wire { return &wire{in: make(chan []byte, 1024)} }

var errGone = errors.New("the network is down")

func (w *wire) open() (trigger.Packets, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.away {
		return nil, errGone
	}
	w.now = &memory{in: w.in, closed: make(chan struct{})}
	return w.now, nil
}

// send loses what the other side has no room for, as networks do.
func (w *wire) send(b []byte) {
	select {
	case w.in <- bytes.Clone(b):
	default:
	}
}

func (w *wire) lose() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.away = true
	w.now.Close()
}

func (w *wire) find() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.away = false
}

// memory is a socket without a network, so that false time passes while it is read.
type memory struct {
	in     chan []byte
	once   sync.Once
	closed chan struct{}
	until  time.Time
}

func (m *memory) SetReadDeadline(t time.Time) error { m.until = t; return nil }

func (m *memory) ReadFromUDPAddrPort(b []byte) (int, netip.AddrPort, error) {
	timer := time.NewTimer(time.Until(m.until))
	defer timer.Stop()
	select {
	case p := <-m.in:
		return copy(b, p), netip.MustParseAddrPort("127.0.0.1:4"), nil
	case <-m.closed:
		return 0, netip.AddrPort{}, errGone
	case <-timer.C:
		return 0, netip.AddrPort{}, os.ErrDeadlineExceeded
	}
}

func (m *memory) Close() error {
	m.once.Do(func() { close(m.closed) })
	return nil
}

// loopback is a port of this computer, and what sends there. It is held for as long as the test
// lasts, so that no other test is given it meanwhile: of two sockets that share a port the system
// gives a packet to the one that came last.
func loopback(t testing.TB) (port int, send func([]byte)) {
	t.Helper()
	config := net.ListenConfig{Control: network.Share}
	held, err := config.ListenPacket(t.Context(), "udp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port = held.LocalAddr().(*net.UDPAddr).Port
	out, err := net.DialUDP("udp4", nil, &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1), Port: port})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { out.Close(); held.Close() })
	return port, func(b []byte) { _, _ = out.Write(b) }
}

// oscMachine is a button that sends 1 and 0 to a set.
func oscMachine(send func([]byte)) triggertest.Machine {
	say := func(address string, args ...any) func() {
		return func() { send((&osc.Message{Address: address, Args: args}).Append(nil)) }
	}
	return triggertest.Machine{
		Close: say("/door", int32(1)), Open: say("/door", int32(0)),
		Noise: func() {
			for _, n := range []int{0, 3, 4, 64, 1000} {
				send(noise(n))
			}
			say("/doo", int32(1))()
			say("/door/2")()
			say("/[")()
		},
		Flood: func() {
			for range 20000 {
				say("/door", int32(1))()
				say("/door", int32(0))()
			}
		},
	}
}

// slotMachine sends a universe all the time, as desks do, by bytes that packet makes.
func slotMachine(send func([]byte), packet func(level byte) []byte, silence time.Duration) triggertest.Machine {
	var mu sync.Mutex
	level, on := byte(0), true
	now := func() {
		mu.Lock()
		defer mu.Unlock()
		if on {
			send(packet(level))
		}
	}
	set := func(f func()) func() {
		return func() {
			mu.Lock()
			f()
			mu.Unlock()
			now()
		}
	}
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(25 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				now()
			case <-stop:
				return
			}
		}
	}()
	return triggertest.Machine{Level: true, Silence: silence,
		Close: set(func() { level = 200 }), Open: set(func() { level = 50 }),
		Lose: set(func() { on = false }), Find: set(func() { on = true }),
		Noise: func() {
			for _, n := range []int{0, 10, 638, 2000} {
				send(noise(n))
			}
			whole := packet(7)
			send(whole[:len(whole)-1])
		},
		Flood: func() {
			for range 10000 {
				mu.Lock()
				send(packet(200))
				send(packet(50))
				mu.Unlock()
			}
		},
		End: func() { close(stop); <-done },
	}
}

const slotLine = " universe 7 slot 12 above 128 below 100"

// e131Packets are those of one source, by package sacn.
func e131Packets() func(level byte) []byte {
	d := sacn.Data{CID: [16]byte{1}, Source: "desk", Priority: sacn.DefaultPriority, Universe: 7, Slots: make([]byte, 512)}
	return func(level byte) []byte {
		d.Sequence++
		d.Slots[11] = level
		return d.Append(nil)
	}
}

// artPackets are those of one source, by package artnet.
func artPackets() func(level byte) []byte {
	d := artnet.Dmx{PortAddress: 7, Slots: make([]byte, 24)}
	return func(level byte) []byte {
		d.Sequence = artnet.Next(d.Sequence)
		d.Slots[11] = level
		return d.Append(nil)
	}
}

// A real socket of the loopback for each kind that comes by network.
func TestLoopback(t *testing.T) {
	for kind, machine := range map[string]func(send func([]byte)) triggertest.Machine{
		"osc":    oscMachine,
		"e131":   func(send func([]byte)) triggertest.Machine { return slotMachine(send, e131Packets(), 0) },
		"artnet": func(send func([]byte)) triggertest.Machine { return slotMachine(send, artPackets(), 0) },
	} {
		t.Run(kind, func(t *testing.T) {
			triggertest.Check(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				port, send := loopback(t)
				text := fmt.Sprintf("osc %d /door", port)
				if kind != "osc" {
					text = fmt.Sprintf("%s%s port %d", kind, slotLine, port)
				}
				m := machine(send)
				m.Lose, m.Find = nil, nil // in false time, below
				m.Set = openOne(t, text, o)
				return m
			})
		})
	}
}

// The same in false time, with losses.
func TestPacketsInBubble(t *testing.T) {
	for kind, machine := range map[string]func(w *wire) triggertest.Machine{
		"osc": func(w *wire) triggertest.Machine {
			m := oscMachine(w.send)
			m.Lose, m.Find = w.lose, w.find
			return m
		},
		"e131":   func(w *wire) triggertest.Machine { return slotMachine(w.send, e131Packets(), sacn.DataLoss) },
		"artnet": func(w *wire) triggertest.Machine { return slotMachine(w.send, artPackets(), 10*time.Second) },
		"e131 without its network": func(w *wire) triggertest.Machine {
			m := slotMachine(w.send, e131Packets(), 0)
			m.Lose, m.Find = w.lose, w.find
			return m
		},
	} {
		t.Run(kind, func(t *testing.T) {
			triggertest.CheckInBubble(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				w := newWire()
				m := machine(w)
				text := map[string]string{"osc": "osc 9000 /door", "artnet": "artnet" + slotLine}[kind]
				if text == "" {
					text = "e131" + slotLine
				}
				m.Set = openOne(t, text, trigger.OnPackets(o, w.open))
				return m
			})
		})
	}
}

// cable carries bytes to a set. It holds some that nobody reads, and loses the rest, as
// ports do.
type cable struct {
	mu   sync.Mutex
	away bool
	end  *cableEnd
}

type cableEnd struct {
	bytes  chan []byte
	rest   []byte
	closed chan struct{}
	once   sync.Once
}

func (c *cable) open() (io.ReadCloser, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.away {
		return nil, fs.ErrNotExist
	}
	c.end = &cableEnd{bytes: make(chan []byte, 4096), closed: make(chan struct{})}
	return c.end, nil
}

func (e *cableEnd) Read(b []byte) (int, error) {
	for len(e.rest) == 0 {
		select {
		case e.rest = <-e.bytes:
		case <-e.closed:
			return 0, io.EOF
		}
	}
	n := copy(b, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

func (e *cableEnd) Close() error {
	e.once.Do(func() { close(e.closed) })
	return nil
}

func (c *cable) send(b []byte) {
	c.mu.Lock()
	end := c.end
	c.mu.Unlock()
	select {
	case end.bytes <- bytes.Clone(b):
	default:
	}
}

func (c *cable) lose() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.away = true
	c.end.Close()
}

func (c *cable) find() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.away = false
}

// bytesMachine sends words for closed and open.
func bytesMachine(send func([]byte), closed, open []byte) triggertest.Machine {
	return triggertest.Machine{
		Close: func() { send(closed) }, Open: func() { send(open) },
		Noise: func() {
			b := noise(5000)
			for i := range b { // no note of ours, no whole word, no end of all notes
				if b[i]&0xF0 == 0x90 || b[i]&0xF0 == 0xB0 {
					b[i] = 0xF4
				}
			}
			send(append(b, '\n'))
		},
		Flood: func() {
			for range 20000 {
				send(closed)
				send(open)
			}
		},
	}
}

const noteLine = "notes /dev/m note 60 channel 2"

func notesMachine(send func([]byte)) triggertest.Machine {
	return bytesMachine(send, midi.NoteOn(1, 60, 100), midi.NoteOff(1, 60))
}

// MIDI and words through a cable in memory, in false time.
func TestBytesInBubble(t *testing.T) {
	for text, machine := range map[string]func(send func([]byte)) triggertest.Machine{
		noteLine: notesMachine,
		"pipe /door": func(send func([]byte)) triggertest.Machine {
			return bytesMachine(send, []byte("closed\n"), []byte("open\n"))
		},
	} {
		t.Run(text, func(t *testing.T) {
			triggertest.CheckInBubble(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				c := &cable{}
				m := machine(c.send)
				m.Lose, m.Find = c.lose, c.find
				m.Set = openOne(t, text, trigger.OnBytes(o, c.open))
				return m
			})
		})
	}
}

// socketPins are pins of an adapter that may be pulled.
type socketPins struct {
	mu   sync.Mutex
	away bool
	on   []string
}

func (p *socketPins) open() (trigger.Pins, error) {
	if _, err := p.Read(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *socketPins) Read() ([]string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.away {
		return nil, errors.New("input/output error")
	}
	return p.on, nil
}

func (p *socketPins) Close() error { return nil }

func (p *socketPins) set(on ...string) func() {
	return func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.on = on
	}
}

func (p *socketPins) pull(away bool) func() {
	return func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.away = away
	}
}

// endingPins end with the set, as a device does that is closed.
type endingPins struct {
	*socketPins
	closed chan struct{}
	once   sync.Once
}

func (p *endingPins) Read() ([]string, error) {
	select {
	case <-p.closed:
		return nil, fs.ErrClosed
	default:
		return p.socketPins.Read()
	}
}

func (p *endingPins) Close() error {
	p.once.Do(func() { close(p.closed) })
	return nil
}

func TestPinsInBubble(t *testing.T) {
	for text, closed := range map[string]bool{"pins /dev/x carrier": true, "pins /dev/x carrier normally closed": false} {
		t.Run(text, func(t *testing.T) {
			triggertest.CheckInBubble(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				p := &socketPins{}
				on, off := p.set("ready", "carrier"), p.set("ready", "clear")
				if !closed {
					on, off = off, on
				}
				off()
				return triggertest.Machine{Level: true, Close: on, Open: off, Lose: p.pull(true), Find: p.pull(false),
					Set: openOne(t, text, trigger.OnPins(o, func() (trigger.Pins, error) {
						if _, err := p.open(); err != nil {
							return nil, err
						}
						return &endingPins{socketPins: p, closed: make(chan struct{})}, nil
					}))}
			})
		})
	}
}
