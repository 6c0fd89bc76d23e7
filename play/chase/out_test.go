package chase

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// recorder is a device that keeps what is written, and when.
type recorder struct {
	mu     sync.Mutex
	fail   error
	bytes  [][]byte
	at     []time.Time
	closed int
}

func (r *recorder) Write(b []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.fail != nil {
		return 0, r.fail
	}
	r.bytes, r.at = append(r.bytes, bytes.Clone(b)), append(r.at, time.Now())
	return len(b), nil
}

func (r *recorder) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.closed++
	return nil
}

func (r *recorder) set(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.fail = err
}

func testPort(t testing.TB, r *recorder) *Port {
	t.Helper()
	p, err := newPort("test", func() (io.WriteCloser, error) {
		r.mu.Lock()
		defer r.mu.Unlock()
		return r, r.fail
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPortSendsInTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var r recorder
		p := testPort(t, &r)
		start := time.Now()
		for _, ms := range []int{300, 100, 200, 100} { // in any order
			p.Send(start.Add(time.Duration(ms)*time.Millisecond), midi.NoteOn(0, byte(ms/10), byte(len(r.at))))
		}
		p.Send(start.Add(-10*time.Second), midi.Program(0, 1)) // too old
		p.Send(start.Add(time.Hour), midi.Program(0, 2))       // not before Close
		time.Sleep(time.Second)
		synctest.Wait()
		var keys []byte
		for i, b := range r.bytes {
			keys = append(keys, b[1])
			if want := start.Add(time.Duration(b[1]) * 10 * time.Millisecond); !r.at[i].Equal(want) {
				t.Errorf("key %d left at %v, want %v", b[1], r.at[i].Sub(start), want.Sub(start))
			}
		}
		if !slices.Equal(keys, []byte{10, 10, 20, 30}) {
			t.Errorf("keys %v", keys)
		}
		if err := p.Close(); err != nil || r.closed != 1 {
			t.Errorf("Close: %v, closed %d times", err, r.closed)
		}
		if s := p.Stats(); s.Sent != 4 || s.Dropped != 2 || s.Late != 0 {
			t.Errorf("%+v", s)
		}
	})
}

// A device that is away for a while gets none of the messages of that time,
// and the next as soon as it is back.
func TestPortReconnects(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var r recorder
		p := testPort(t, &r)
		defer p.Close()
		send := func(n int) {
			for range n {
				p.Send(time.Now(), midi.NoteOn(0, 1, 1))
				time.Sleep(100 * time.Millisecond)
			}
			synctest.Wait()
		}
		send(5)
		r.set(errors.New("no such device"))
		send(50)
		r.set(nil)
		before := len(r.bytes)
		send(60)
		if n := len(r.bytes) - before; n < 18 {
			t.Errorf("%d of 60 messages after it came back", n)
		}
		if s := p.Stats(); s.Reconnects != 1 || s.LastError != "no such device" || s.Sent+s.Dropped != 115 {
			t.Errorf("%+v", s)
		}
	})
}

// What MIDITimeCode sends, a Follower follows within a millisecond; a hold and
// a jump arrive as full messages.
func TestMIDITimeCodeRoundTrip(t *testing.T) {
	for _, rate := range timecode.Rates {
		synctest.Test(t, func(t *testing.T) {
			var r recorder
			start := rate.Frame(rate.Frames(10 * time.Hour))
			m := NewMIDITimeCode(testPort(t, &r), start)
			f := NewFollower("test", start.Offset())
			in := MIDIInput{Follower: f}
			fed := 0
			var position time.Duration
			step := func(d time.Duration, running bool) (worst time.Duration) {
				for begin := time.Now(); time.Since(begin) < d; {
					m.Update(time.Now(), position, running)
					time.Sleep(time.Second / 44)
					if running {
						position += time.Second / 44
					}
					synctest.Wait()
					for ; fed < len(r.bytes); fed++ {
						in.Feed(r.at[fed], r.bytes[fed])
					}
					if time.Since(begin) > 400*time.Millisecond {
						worst = max(worst, (f.At(time.Now()).Position - position).Abs())
					}
				}
				return worst
			}
			if off := step(10*time.Second, true); off > time.Millisecond {
				t.Errorf("%v: %v off while running", rate, off)
			}
			if off := step(2*time.Second, false); off > 40*time.Millisecond || f.At(time.Now()).State != Standing {
				t.Errorf("%v: %v off while standing, %v", rate, off, f.At(time.Now()))
			}
			position += time.Minute
			if off := step(5*time.Second, true); off > time.Millisecond {
				t.Errorf("%v: %v off after a jump", rate, off)
			}
			m.Close()
		})
	}
}

// chunks is a writer into which audio goes, for reading back.
type chunks struct {
	bytes.Buffer
	mu sync.Mutex
}

func (c *chunks) Write(b []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.Buffer.Write(b)
}

func (c *chunks) Close() error { return nil }

// The audio of a show that runs, holds, and whose clock runs 100 ppm fast: each
// frame stands within a millisecond of where it should.
func TestLinearTimecodeRoundTrip(t *testing.T) {
	for _, rate := range timecode.Rates {
		synctest.Test(t, func(t *testing.T) {
			const fs = 16000
			var c chunks
			start := rate.Frame(rate.Frames(time.Hour))
			l, err := NewLinearTimecode("test", &c, start, fs)
			if err != nil {
				t.Fatal(err)
			}
			begin := time.Now()
			const speed = 1.0001
			drive := func(from, d time.Duration, running bool) {
				for t0 := time.Now(); time.Since(t0) < d; time.Sleep(time.Second / 44) {
					l.Update(time.Now(), from+time.Duration(speed*float64(time.Since(t0))), running)
				}
			}
			drive(0, 20*time.Second, true)
			drive(time.Minute, time.Second, false)
			again := time.Since(begin)
			drive(time.Minute, 5*time.Second, true)
			l.Close()
			raw := c.Bytes()
			s := make([]float32, len(raw)/2)
			for i := range s {
				s[i] = float32(int16(uint16(raw[2*i])|uint16(raw[2*i+1])<<8)) / (1 << 15)
			}
			n, worst := 0, time.Duration(0)
			timecode.NewDecoder(fs, rate).Feed(s, func(r timecode.Received) {
				// The first sample written is of leadTime after the beginning.
				at := leadTime + time.Duration(r.Start/fs*1e9)
				p := r.Offset() - start.Offset()
				want := time.Duration(float64(at) * speed)
				if at > again {
					want = time.Minute + time.Duration(float64(at-again)*speed)
				}
				if (p - want).Abs() < time.Second { // frames at the hold's edges apart
					worst = max(worst, (p - want).Abs())
				}
				n++
			})
			num, den := rate.Fraction()
			if want := int(24 * num / den); n < want {
				t.Errorf("%v: %d frames, want %d", rate, n, want)
			}
			if worst > time.Millisecond {
				t.Errorf("%v: a frame stands %v off", rate, worst)
			}
			t.Logf("%v: %d frames, at most %v off", rate, n, worst.Round(time.Microsecond))
		})
	}
}
