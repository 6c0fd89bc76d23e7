package chase

import (
	"encoding/binary"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock/clocktest"
	"lampblack/play/line"
	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// cable is a device that can be unplugged. Bytes that are sent while nobody has
// it open are lost.
type cable struct {
	mu  sync.Mutex // guards what follows
	out *io.PipeWriter
	off bool
}

var errUnplugged = errors.New("no such device")

func (c *cable) open() (io.ReadCloser, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.off {
		return nil, errUnplugged
	}
	in, out := io.Pipe()
	c.out = out
	return in, nil
}

func (c *cable) end() *io.PipeWriter {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.out
}

func (c *cable) send(b []byte) { _, _ = c.end().Write(b) }
func (c *cable) pull()         { c.set(true); c.end().CloseWithError(errUnplugged) }
func (c *cable) plug()         { c.set(false) }
func (c *cable) set(off bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.off = off
}

// sending is what a machine sends from the one to the other instant of its time.
type sending func(from, to time.Duration) []byte

// quarters is MIDI time code at 25 frames a second from ten o'clock on.
func quarters(from, to time.Duration) (out []byte) {
	const r = timecode.Rate25
	for n := int64(from / (10 * time.Millisecond)); ; n++ {
		at := quarterTime(r, n)
		if at >= to {
			return out
		}
		if at >= from {
			piece, nibble := r.Quarter(n + 36000*100)
			out = midi.QuarterFrame{Piece: piece, Nibble: nibble}.Append(out)
		}
	}
}

// pulses is MIDI clock at 120 beats a minute.
func pulses(from, to time.Duration) (out []byte) {
	const gap = 500 * time.Millisecond / 24
	for n := (from + gap - 1) / gap; n*gap < to; n++ {
		out = append(out, 0xF8)
	}
	return out
}

// linear is linear timecode at 25 frames a second, 8,000 samples a second.
func linear(t *testing.T) sending {
	e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: timecode.Rate25.Frame(36000 * 25), SampleRate: 8000})
	if err != nil {
		t.Fatal(err)
	}
	return func(from, to time.Duration) (out []byte) {
		samples := make([]float32, to*8/time.Millisecond-from*8/time.Millisecond)
		e.Read(samples)
		for _, x := range samples {
			out = binary.LittleEndian.AppendUint16(out, uint16(int16(20000*x)))
		}
		return out
	}
}

// machine sends into the cable as its time goes on.
func (c *cable) machine(m clocktest.Machine, send sending) clocktest.Machine {
	start := time.Now()
	var sent time.Duration
	m.Tick = func(now time.Time) {
		c.send(send(sent, now.Sub(start)))
		sent = now.Sub(start)
	}
	return m
}

// Another machine's timecode and MIDI clock, and taps, are clocks; they can fall
// silent, and cables can be pulled.
func TestClocks(t *testing.T) {
	quiet := func(m clocktest.Machine, _ *cable) clocktest.Machine {
		m.Lose, m.Find = func() {}, func() {}
		return m
	}
	pulled := func(m clocktest.Machine, c *cable) clocktest.Machine {
		m.Lose, m.Find = c.pull, c.plug
		return m
	}
	for name, loss := range map[string]func(clocktest.Machine, *cable) clocktest.Machine{"falls silent": quiet, "is pulled": pulled} {
		t.Run("MIDI time code "+name, func(t *testing.T) {
			clocktest.Check(t, func(t *testing.T) clocktest.Machine {
				c := &cable{}
				return loss(c.machine(clocktest.Machine{Clock: followed(t, "mtc", c), Waits: true}, quarters), c)
			})
		})
		t.Run("linear timecode "+name, func(t *testing.T) {
			clocktest.Check(t, func(t *testing.T) clocktest.Machine {
				c := &cable{}
				return loss(c.machine(clocktest.Machine{Clock: followed(t, "ltc", c), Waits: true}, linear(t)), c)
			})
		})
		t.Run("timecode, and the computer's clock when it "+name, func(t *testing.T) {
			clocktest.Check(t, func(t *testing.T) clocktest.Machine {
				c := &cable{}
				return loss(c.machine(clocktest.Machine{Clock: followedWith(t, "mtc", c, Loss{GoesOn: true}), Waits: true, GoesOn: true}, quarters), c)
			})
		})
		t.Run("MIDI clock "+name, func(t *testing.T) {
			clocktest.Check(t, func(t *testing.T) clocktest.Machine {
				c := &cable{}
				b, err := followBeat("cable", c.open, beatsOf120())
				if err != nil {
					t.Fatal(err)
				}
				return loss(c.machine(clocktest.Machine{Clock: b, Waits: true}, pulses), c)
			})
		})
	}
	t.Run("taps", func(t *testing.T) {
		clocktest.Check(t, func(t *testing.T) clocktest.Machine {
			b := NewBeat(beatsOf120())
			start := time.Now()
			taps := time.Duration(0)
			tick := func(now time.Time) {
				for ; start.Add(taps * 500 * time.Millisecond).Before(now); taps++ {
					if at := start.Add(taps * 500 * time.Millisecond); now.Sub(at) < 10*time.Millisecond {
						b.Tap(now)
					}
				}
			}
			return clocktest.Machine{Clock: b, Waits: true, Tick: tick, Lose: func() {}, Find: func() {}}
		})
	})
}

func followed(t *testing.T, kind string, c *cable) *Source {
	t.Helper()
	return followedWith(t, kind, c, Loss{})
}

func followedWith(t *testing.T, kind string, c *cable, loss Loss) *Source {
	t.Helper()
	spec, err := line.ParseClock(kind + " cable rate 25 start 10:00:00:00")
	if err != nil {
		t.Fatal(err)
	}
	spec.Samples = 8000
	s, err := follow(NewFollower("timecode", spec.Start.Offset(), loss), spec, c.open, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// beatsOf120 are the beats of a piece written at 120 a minute.
func beatsOf120() []time.Duration {
	beats := make([]time.Duration, 2000)
	for k := range beats {
		beats[k] = time.Duration(k) * 500 * time.Millisecond
	}
	return beats
}

// Why a device is away is told with its clock's fault, and what to do is to look
// at the device.
func TestAwayIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := &cable{}
		b, err := followBeat("cable", c.open, beatsOf120())
		if err != nil {
			t.Fatal(err)
		}
		s := followed(t, "mtc", &cable{})
		b.Run(time.Now(), 0)
		c.pull()
		time.Sleep(time.Second)
		r := b.Read(time.Now())
		if want := "waits for the first MIDI clock from cable (no such device)"; r.Fault.Text != want || !strings.Contains(r.Fault.Hint, "cable is in") {
			t.Errorf("it says %+v, want %q", r.Fault, want)
		}
		c.plug()
		time.Sleep(5 * time.Second)
		if r := b.Read(time.Now()); strings.Contains(r.Fault.Text, "device") {
			t.Errorf("when the device is back it says %+v", r.Fault)
		}
		for _, c := range []io.Closer{b, s} {
			if err := c.Close(); err != nil {
				t.Error(err)
			}
		}
	})
}
