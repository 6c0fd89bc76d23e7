package chase

import (
	"math"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"lampblack/wire/timecode"
)

// openPipe makes a named pipe, and opens its other end.
func openPipe(t *testing.T, mode int) (path string, file *os.File) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skipf("outside check left out: needs named pipes (%v)", err)
	}
	file, err := os.OpenFile(path, mode|syscall.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { file.Close() })
	return path, file
}

// encoded is linear timecode of 48,000 samples a second from a time on, as bytes.
func encoded(t *testing.T, start timecode.Time, d time.Duration) []byte {
	t.Helper()
	e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	l := LinearTimecode{samples: make([]float32, int(d.Seconds()*48000)), out: discard{}}
	e.Read(l.samples)
	l.write()
	return l.bytes
}

type discard struct{}

func (discard) Write(b []byte) (int, error) { return len(b), nil }
func (discard) Close() error                { return nil }

// What a pipe held before anybody listened is not taken for what is sent now: the show is where
// the timecode is, not where it was.
func TestOldTimecodeInAPipe(t *testing.T) {
	t.Parallel()
	path, w := openPipe(t, os.O_RDWR)
	if _, err := w.Write(encoded(t, timecode.Rate25.Frame(25*3600*11), 600*time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	in, err := Follow(`ltc "`+path+`" rate 25 start 10:00:00:00`, Loss{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	now := encoded(t, timecode.Rate25.Frame(25*3600*10), 2*time.Second)
	begin := time.Now()
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for sent := 0; sent < len(now); {
		<-tick.C
		until := min(int(time.Since(begin).Seconds()*48000)*2, len(now))
		if _, err := w.Write(now[sent:until]); err != nil {
			t.Fatal(err)
		}
		sent = until
		if s := in.At(time.Now()); s.State == Locked && s.Position > time.Minute {
			t.Fatalf("it is taken to %v by what was sent before anybody listened", s.Position)
		}
	}
	s, at := in.At(time.Now()), time.Since(begin)
	if off := (s.Position - at).Abs(); s.State != Locked || off > 150*time.Millisecond { // a busy machine
		t.Errorf("after %v it is %v at %v", at, s.State, s.Position)
	}
}

// A reader that begins a second late is not behind by what the pipe has taken meanwhile.
func TestLateReaderOfTimecode(t *testing.T) {
	t.Parallel()
	path, r := openPipe(t, os.O_RDONLY)
	out, err := OpenSender(`ltc "` + path + `" rate 25 start 10:00:00:00`)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	begin := time.Now()
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	d := timecode.NewDecoder(48000, timecode.Rate25)
	raw, samples := make([]byte, 1<<16), []float32{}
	taken, least := 0, math.Inf(1)
	reading := time.Time{}
	for now := range tick.C {
		since := now.Sub(begin)
		out.Update(now, since, true)
		switch {
		case since < time.Second:
			continue
		case reading.IsZero():
			reading = now
		case since > 3*time.Second:
			if least > .1 {
				t.Errorf("what a reader gets is late by %.0f ms or more", 1e3*least)
			}
			t.Logf("late by %.1f ms at least", 1e3*least)
			return
		}
		// As a sound device: so many samples as time has gone by.
		want := int(now.Sub(reading).Seconds()*48000)*2 - taken
		n, _ := r.Read(raw[:min(max(want, 0), len(raw))])
		if taken += n; n < want {
			taken = int(now.Sub(reading).Seconds()*48000) * 2 // it plays silence, and is not behind by it
		}
		samples = samples[:0]
		for i := 0; i+1 < n; i += 2 {
			samples = append(samples, float32(int16(uint16(raw[i])|uint16(raw[i+1])<<8))/(1<<15))
		}
		d.Feed(samples, func(f timecode.Received) {
			if since > 2*time.Second { // a frame is received when it is over
				least = min(least, (time.Since(begin) - (f.Offset() - 10*time.Hour) - 40*time.Millisecond).Seconds())
			}
		})
	}
}
