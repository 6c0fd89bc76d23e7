package chase

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
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
		if _, err := p.Fault(); err != nil {
			t.Errorf("with all sent: %v", err)
		}
		r.set(errors.New("no such device"))
		from := time.Now()
		send(50)
		if since, err := p.Fault(); err == nil || !strings.Contains(err.Error(), "no such device") || since.Sub(from) > 200*time.Millisecond {
			t.Errorf("away since %v: %v since %v", from, err, since)
		}
		r.set(nil)
		before := len(r.bytes)
		send(60)
		if n := len(r.bytes) - before; n < 18 {
			t.Errorf("%d of 60 messages after it came back", n)
		}
		if _, err := p.Fault(); err != nil {
			t.Errorf("it is back, and %v", err)
		}
		if s := p.Stats(); s.Reconnects != 1 || s.LastError != "no such device" || s.Sent+s.Dropped != 115 {
			t.Errorf("%+v", s)
		}
	})
}

// A device that is away for 20 s is looked for when retry says, after .25, .75,
// 1.75, 3.75, 7.75, 11.75, 15.75 and 19.75 s, and not with every message.
func TestPortLooksForItsDevice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var r recorder
		var looked []time.Duration
		away := time.Time{}
		p, err := newPort("test", func() (io.WriteCloser, error) {
			r.mu.Lock()
			defer r.mu.Unlock()
			if r.fail != nil {
				looked = append(looked, time.Since(away))
			}
			return &r, r.fail
		})
		if err != nil {
			t.Fatal(err)
		}
		defer p.Close()
		r.set(errors.New("no such device"))
		away = time.Now()
		for range 2000 {
			p.Send(time.Now(), midi.NoteOn(0, 1, 1))
			time.Sleep(10 * time.Millisecond)
		}
		synctest.Wait()
		want := []time.Duration{250, 750, 1750, 3750, 7750, 11750, 15750, 19750}
		if len(looked) != len(want) {
			t.Fatalf("looked for it after %v", looked)
		}
		for i, d := range looked {
			if off := d - want[i]*time.Millisecond; off < 0 || off > 100*time.Millisecond {
				t.Errorf("looked for it after %v, want %v ms", d, int(want[i]))
			}
		}
	})
}

// Many messages in any order leave in that of their times, those of one time in
// the order in which they were sent; what a sender takes back does not leave.
func TestPortKeepsOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var r recorder
		p := testPort(t, &r)
		rng := rand.New(rand.NewPCG(11, 1))
		type sent struct{ ms, number int }
		var want []sent
		start := time.Now()
		for i := range 120 {
			ms := 10 + rng.IntN(40)
			var sender any
			if i%5 == 0 {
				sender = "taken back"
			} else {
				want = append(want, sent{ms, i})
			}
			p.send(sender, start.Add(time.Duration(ms)*time.Millisecond), midi.NoteOn(0, byte(ms), byte(i)))
		}
		p.takeBack("taken back")
		slices.SortStableFunc(want, func(a, b sent) int { return a.ms - b.ms })
		time.Sleep(time.Second)
		synctest.Wait()
		var got []sent
		for _, b := range r.bytes {
			got = append(got, sent{int(b[1]), int(b[2])})
		}
		if !slices.Equal(got, want) {
			t.Errorf("left as %v, want %v", got, want)
		}
		p.Close()
		p.Send(time.Now(), midi.NoteOn(0, 1, 1))
		if s := p.Stats(); s.Sent != 96 || s.Dropped != 1 {
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
			f := NewFollower("test", start.Offset(), Loss{})
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
				// What reads the pipe has 40 ms to go on with: the first sample written is
				// of so long after the beginning.
				at := 40*time.Millisecond + time.Duration(r.Start/fs*1e9)
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

// Blocks of samples arrive up to 30 ms after they were taken, one in eight at
// once, from a device whose crystal is 100 ppm off (a bad one: common practice, no
// source). When its samples were taken is found within 3 ms; and again after it
// has stopped for a while.
func TestSampleClock(t *testing.T) {
	for _, ppm := range []float64{-100, 0, 100} {
		rng := rand.New(rand.NewPCG(11, 2))
		const fs, block = 48000, 1024
		c := sampleClock{rate: fs}
		begin := time.Unix(1000, 0)
		for n := 1; n <= 4000; n++ {
			taken := begin.Add(time.Duration(float64(n*block) / fs * (1 + ppm/1e6) * 1e9))
			if n > 2000 { // it stood for 5 s
				taken = taken.Add(5 * time.Second)
			}
			late := time.Duration(0)
			if rng.IntN(8) > 0 {
				late = time.Duration(rng.Int64N(int64(30 * time.Millisecond)))
			}
			c.arrived(taken.Add(late), int64(n*block))
			if off := c.at(float64(n * block)).Sub(taken); n%2000 > 100 && off.Abs() > 3*time.Millisecond {
				t.Fatalf("%v ppm, block %d: %v off", ppm, n, off)
			}
		}
	}
}

// Samples that come in any pieces, odd ones too, are the same samples: those of
// a signal, read back as frames one after the other.
func TestAudioInPieces(t *testing.T) {
	const fs = 16000
	start := timecode.Time{Rate: timecode.Rate25, Hours: 1}
	e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: fs})
	if err != nil {
		t.Fatal(err)
	}
	samples := make([]float32, 4*fs)
	e.Read(samples)
	var raw []byte
	for _, x := range samples {
		raw = binary.LittleEndian.AppendUint16(raw, uint16(int16(32767*x)))
	}
	for _, piece := range []int{1, 3, 640, 1001, 6400} {
		f := NewFollower("test", start.Offset(), Loss{})
		in := NewAudioInput(f, fs, timecode.Rate25)
		begin := time.Unix(1000, 0)
		for from := 0; from < len(raw); from += piece {
			to := min(from+piece, len(raw))
			in.feedBytes(begin.Add(time.Duration(to/2)*time.Second/fs), raw[from:to])
		}
		s := f.At(begin.Add(4 * time.Second))
		if off := s.Position - 4*time.Second; s.State != Locked || off.Abs() > 2*time.Millisecond || in.samples != int64(len(samples)) {
			t.Errorf("pieces of %d bytes: %v, %v off, %d of %d samples", piece, s, off, in.samples, len(samples))
		}
	}
}
