//go:build linux

package play

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/play/clock"
	"lampblack/play/leaktest"
	"lampblack/play/line"
	"lampblack/soundfile"
)

// Outside check: a PulseAudio server with a null sink plays, and its own
// recorder listens to what comes out. Each click is heard when Position says
// that it is; hold stands still; a jump is heard where it went.
func TestSoundIsTheClock(t *testing.T) {
	needsServer(t)
	server(t)
	const rate = 48000
	path := clicks(t, rate, 40)
	s, err := openAlone(t.Context(), path, SoundOptions{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	s.Run(time.Now(), 0)
	ear := listen(t, rate)
	for range 3 {
		checkClick(t, s, ear)
	}
	s.Hold(time.Now())
	if a, b := heardNow(s), heardNow(s); a != b {
		t.Errorf("held, the position went from %v to %v", a, b)
	}
	jumped := time.Now()
	s.Run(jumped, 20200*time.Millisecond)
	// However long this machine takes to ask.
	if p := heardNow(s) - 20200*time.Millisecond; p < -50*time.Millisecond || p > 50*time.Millisecond+time.Since(jumped) {
		t.Errorf("after a jump to 20.2 s the position is %v", p+20200*time.Millisecond)
	}
	ear.flush(t, s)
	for range 2 {
		checkClick(t, s, ear)
	}
}

// Outside check: what the server's recorder hears of a loop comes back one length of it
// later within a millisecond, pass after pass, and the track goes on behind the number of
// passes that the release said.
func TestLoopIsHeard(t *testing.T) {
	needsServer(t)
	server(t)
	const rate = 48000
	loop := clock.Loop{From: 1200 * time.Millisecond, To: 2100 * time.Millisecond} // clicks at 1.5 and 2 s
	unhurried(t, func() error {
		s, err := openAlone(t.Context(), clicks(t, rate, 4), SoundOptions{Loops: []clock.Loop{loop}})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		ear := listen(t, rate)
		s.Run(time.Now(), time.Second)
		var at []int64
		for len(at) < 7 {
			ear.click(t)
			at = append(at, ear.frames)
		}
		passes := s.Release(time.Now())
		for len(at) < 2*passes+2 { // those of the loop, then 2.5 and 3 s
			ear.click(t)
			at = append(at, ear.frames)
		}
		place := func(i int) int64 { // in ms
			if i >= 2*passes {
				return int64((passes-1)*900 + 1000 + i%2*500)
			}
			return int64(i/2*900 + i%2*500)
		}
		if passes < 4 {
			return fmt.Errorf("%d passes", passes)
		}
		off := 0 // a hole moves all that comes after it, so each is held to the one before
		for i := 1; i < len(at); i++ {
			if d := at[i] - at[i-1] - (place(i)-place(i-1))*rate/1000; d < -rate/1000 || d > rate/1000 {
				t.Logf("click %d of %d passes comes %d samples too late after the one before", i, passes, d)
				off++
			}
		}
		if off > len(at)*2/3 {
			return fmt.Errorf("%d of %d clicks are beside their places", off, len(at))
		}
		return nil
	})
}

// unhurried lets a check of real sound fail where it fails again and again: a machine that is busy
// tears holes into what is played and recorded. One that never has the time leaves it out.
func unhurried(t *testing.T, check func() error) {
	t.Helper()
	const (
		tries = 6
		fails = 3                     // of those in which this process was never late
		late  = 10 * time.Millisecond // what the server's and the recorder's buffers hold
	)
	var failed []error
	for range tries {
		stop, worst := make(chan struct{}), make(chan time.Duration, 1)
		go func() { // how late a sleeper wakes
			most := time.Duration(0)
			for {
				asked := time.Now()
				select {
				case <-stop:
					worst <- most
					return
				case <-time.After(time.Millisecond):
					most = max(most, time.Since(asked)-time.Millisecond)
				}
			}
		}()
		err := check()
		close(stop)
		was := <-worst
		if err == nil {
			return
		}
		t.Logf("%v; this process was late by %v at most", err, was)
		if was < late {
			if failed = append(failed, err); len(failed) == fails {
				t.Fatal(errors.Join(failed...))
			}
		}
	}
	t.Skip("outside check left out: this machine is too busy for its sound")
}

// Outside check: two zones on a server's device of four channels are heard by its recorder
// each on its own, and on no other; one goes on while the other holds.
func TestZonesAreHeard(t *testing.T) {
	needsServer(t)
	server(t, "channels=4")
	s, err := OpenSpeakers("")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if n := s.Channels(); n != 4 {
		t.Fatalf("the device has %d channels, want 4", n)
	}
	open := func(to line.Channels, rate int) *Sound {
		c, err := s.Open(t.Context(), clicks(t, rate, 30), to, SoundOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	a, b := open(line.Channels{First: 1, Last: 2}, 48000), open(line.Channels{First: 4, Last: 4}, 44100)
	defer a.Close()
	defer b.Close()
	a.Run(time.Now(), 0)
	ear := listen(t, 48000)
	for range 2 {
		checkClick(t, a, ear)
	}
	b.Run(time.Now(), 0)
	c := exec.Command("parec", "-d", "null.monitor", "--rate=48000", "--channels=4", "--format=s16le", "--latency-msec=5", "--raw")
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = c.Process.Kill(); _ = c.Wait() }()
	record := func() (loud [4]int) { // milliseconds of a second
		buf := make([]byte, 48*4*2)
		for range 1000 {
			if _, err := io.ReadFull(out, buf); err != nil {
				t.Fatal(err)
			}
			var is [4]bool
			for i := 0; i < len(buf); i += 2 {
				if v := int16(binary.LittleEndian.Uint16(buf[i:])); v > 6000 || v < -6000 {
					is[i/2%4] = true
				}
			}
			for i := range loud {
				if is[i] {
					loud[i]++
				}
			}
		}
		if loud[1] != loud[0] || loud[2] != 0 {
			t.Errorf("two zones are loud for %v ms on the four channels", loud)
		}
		return loud
	}
	// What is recorded may be seconds behind on a busy machine.
	until := func(what string, is func(loud [4]int) bool) {
		t.Helper()
		var loud [4]int
		for range 40 {
			if loud = record(); is(loud) {
				return
			}
		}
		t.Errorf("%s: they are loud for %v ms of a second on the four channels", what, loud)
	}
	until("both play", func(loud [4]int) bool { return loud[0] > 0 && loud[3] > 0 })
	a.Hold(time.Now())
	until("one holds, the other goes on", func(loud [4]int) bool { return loud[0] == 0 && loud[3] > 0 })
}

// Outside check: of two devices of a server the named one plays and the other does not; one
// that is not there is told, with the server's own choice played on instead; and when the
// device goes during the show, the server moves the sound, which is told.
func TestDeviceByName(t *testing.T) {
	needsServer(t)
	server(t, "sink_properties=device.description=Hall_Interface")
	_ = exec.Command("pactl", "load-module", "module-null-sink", "sink_name=alsa.hdmi-stereo", "rate=48000", "sink_properties=device.description=Projector").Run()
	list, err := Devices()
	if err != nil || len(list) != 2 {
		t.Skipf("outside check left out: the server has %d devices (%v)", len(list), err)
	}
	if hall, screen := list[Find(list, "hall_interface")], list[Find(list, "projector")]; !hall.Default || hall.Screen || screen.Default || !screen.Screen || hall.Channels != 2 || hall.Rate != 48000 {
		t.Errorf("the devices are %+v", list)
	}
	for name, want := range map[string]string{"projec": "", "HALL_interface": "", "null": "", "balcony": "balcony", "": ""} {
		on, err := OpenSpeakers(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := on.Absent(); got != want {
			t.Errorf("asked for %q, %q is absent, on %s", name, got, on.Name())
		}
		_ = on.Close()
	}
	on, err := OpenSpeakers("projector")
	if err != nil {
		t.Fatal(err)
	}
	defer on.Close()
	s, err := on.Open(t.Context(), clicks(t, 48000, 60), pair, SoundOptions{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	s.Run(time.Now(), 0)
	if out, err := exec.Command("pactl", "list", "short", "sink-inputs").Output(); err == nil && !strings.Contains(string(out), "\t1\t") {
		t.Errorf("it does not play on the second device: %s", out)
	}
	if err := exec.Command("pactl", "set-default-sink", "null").Run(); err != nil {
		t.Skipf("outside check left out: %v", err)
	}
	inputs, _ := exec.Command("pactl", "list", "short", "sink-inputs").Output()
	for _, line := range strings.Split(strings.TrimSpace(string(inputs)), "\n") {
		_ = exec.Command("pactl", "move-sink-input", strings.Split(line, "\t")[0], "null").Run()
	}
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for deadline := time.Now().Add(10 * time.Second); on.Absent() != "projector"; <-tick.C {
		if time.Now().After(deadline) {
			t.Fatalf("the server has moved the sound, and nothing is said: %s", inputs)
		}
	}
}

func needsServer(t *testing.T) {
	for _, program := range []string{"pulseaudio", "parec"} {
		if _, err := exec.LookPath(program); err != nil {
			t.Skipf("outside check left out: needs %s (Debian packages pulseaudio, pulseaudio-utils)", program)
		}
	}
}

// Outside check: a PulseAudio server that ends takes the sound away, which is
// told; when it is back the sound is heard again where the show is.
func TestSoundServerComesBack(t *testing.T) {
	needsServer(t)
	socket, stop := server(t)
	const rate = 48000
	s, err := openAlone(t.Context(), clicks(t, rate, 60), SoundOptions{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	until := func(what string, is func(clock.Reading) bool) clock.Reading {
		t.Helper()
		tick := time.NewTicker(20 * time.Millisecond)
		defer tick.Stop()
		for deadline := time.Now().Add(30 * time.Second); ; {
			r := s.Read(<-tick.C)
			if is(r) {
				return r
			}
			if time.Now().After(deadline) {
				t.Fatalf("it is %+v, want %s", r, what)
			}
		}
	}
	s.Run(time.Now(), 0)
	r := until("sound", func(r clock.Reading) bool { return r.State == clock.Runs && r.Position > time.Second })
	begin := time.Now().Add(-r.Position)
	stop()
	lost := until("a loss", func(r clock.Reading) bool { return r.State == clock.Lost })
	if lost.Speed != 1 || !strings.Contains(lost.Fault.Text, "the show goes by the computer's clock") {
		t.Errorf("without its server: %+v", lost)
	}
	serve(t, socket)
	until("sound again", func(r clock.Reading) bool { return r.State == clock.Runs })
	checkClick(t, s, listen(t, rate))
	// It has gone on meanwhile; how far, a slow machine may be late to say.
	if r := s.Read(time.Now()); r.Position <= lost.Position || r.Position > time.Since(begin)+time.Second {
		t.Errorf("%v after it began the sound is at %v", time.Since(begin), r.Position)
	}
}

// What a sound has started ends with it, the library's reader included.
func TestClosedSoundLeavesNothing(t *testing.T) {
	needsServer(t)
	server(t)
	path := clicks(t, 48000, 2)
	leaktest.Check(t, func() {
		s, err := openAlone(t.Context(), path, SoundOptions{})
		if err != nil {
			t.Fatal(err)
		}
		s.Run(time.Now(), 0)
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
}

// alone is a sound that has its device to itself.
type alone struct {
	*Sound
	on *Speakers
}

func (a alone) Close() error { return firstError(a.Sound.Close(), a.on.Close()) }

func openAlone(ctx context.Context, path string, o SoundOptions) (alone, error) {
	on, err := OpenSpeakers("")
	if err != nil {
		return alone{}, err
	}
	s, err := on.Open(ctx, path, pair, o)
	return alone{s, on}, err
}

func heardNow(s clock.Clock) time.Duration { return s.Read(time.Now()).Position }

// checkClick waits for a click and compares the clock with the half second that it stands on.
// What the recorder adds, some 10 to 40 ms, is the tolerance's better part. A machine that is
// busy hears a click late, or tears a hole into the sound, and then another is waited for: a
// clock that is wrong is wrong at all of them.
func checkClick(t *testing.T, s clock.Clock, e *ear) {
	t.Helper()
	const most = 15
	var said []time.Duration
	for range most {
		e.click(t)
		p := heardNow(s)
		if (p - p.Round(500*time.Millisecond)).Abs() <= 70*time.Millisecond {
			return
		}
		said = append(said, p)
	}
	t.Errorf("clicks were heard when the clock said %v", said)
}

// server starts a sound server of the test's own.
func server(t *testing.T, sink ...string) (socket string, stop func()) {
	dir := t.TempDir()
	socket = filepath.Join(dir, "native")
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("HOME", dir)
	t.Setenv("PULSE_SERVER", "unix:"+socket)
	return socket, serve(t, socket, sink...)
}

// serve starts the server at a socket, its device as sink says, and returns what stops it.
func serve(t *testing.T, socket string, sink ...string) (stop func()) {
	c := exec.Command("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--log-target=stderr",
		"--load=module-native-protocol-unix auth-anonymous=1 socket="+socket, "--load=module-null-sink sink_name=null rate=48000 "+strings.Join(sink, " "))
	var log bytes.Buffer
	c.Stderr = &log
	if err := c.Start(); err != nil {
		t.Skipf("outside check left out: pulseaudio does not start: %v", err)
	}
	stop = sync.OnceFunc(func() { _ = c.Process.Kill(); _ = c.Wait() })
	t.Cleanup(stop)
	for deadline := time.Now().Add(10 * time.Second); time.Now().Before(deadline); {
		if d, err := openDevice(""); err == nil {
			_ = d.close()
			return stop
		}
		time.Sleep(20 * time.Millisecond) // between two tries to reach another process
	}
	t.Skipf("outside check left out: pulseaudio cannot be reached: %s", log.String())
	return nil
}

// clicks writes a track of a click every half second.
func clicks(t *testing.T, rate, seconds int) string {
	path := filepath.Join(t.TempDir(), "clicks.wav")
	samples := make([]float32, rate*seconds)
	for i := range samples {
		if since := i % (rate / 2); since < 200 && i > 0 {
			samples[i] = float32(.9 * math.Sin(float64(since)))
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := soundfile.WriteWAV(f, rate, 1, 16, samples); err != nil {
		t.Fatal(err)
	}
	return path
}

// ear records what the null sink plays.
type ear struct {
	r      io.Reader
	quiet  int
	frames int64 // up to the first loud one of the last click
	read   int64
}

func listen(t *testing.T, rate int) *ear {
	c := exec.Command("parec", "-d", "null.monitor", "--rate=48000", "--channels=1", "--format=s16le", "--latency-msec=5", "--raw")
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	return &ear{r: out}
}

// click returns at the first loud sample after a tenth of a second of quiet.
func (e *ear) click(t *testing.T) {
	t.Helper()
	var b [96]byte // a millisecond
	for range 30000 {
		if _, err := io.ReadFull(e.r, b[:]); err != nil {
			t.Fatal(err)
		}
		loud := false
		first := 0
		for i := len(b) - 2; i >= 0; i -= 2 {
			if int16(binary.LittleEndian.Uint16(b[i:])) > 6000 {
				loud, first = true, i/2
			}
		}
		e.read += int64(len(b) / 2)
		if loud && e.quiet > 100 {
			e.quiet = 0
			e.frames = e.read - int64(len(b)/2-first)
			return
		}
		e.quiet++
		if loud {
			e.quiet = 0
		}
	}
	t.Fatal("30 s without a click")
}

// flush drops what was recorded before the clock moved again.
func (e *ear) flush(t *testing.T, s clock.Clock) {
	t.Helper()
	for from := heardNow(s); heardNow(s) < from+300*time.Millisecond; {
		if _, err := io.ReadFull(e.r, make([]byte, 960)); err != nil {
			t.Fatal(err)
		}
	}
	e.quiet = 0
}
