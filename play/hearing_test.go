//go:build linux

package play

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/play/leaktest"
	"lampblack/soundfile"
)

// clicker plays clicks into the null sink, whose monitor is heard: each a burst of noise of 20 ms,
// as written; it returns what writes one, and when.
func clicker(t *testing.T) (click func() time.Time) {
	t.Helper()
	c := exec.Command("pacat", "-d", "null", "--rate=48000", "--channels=1", "--format=s16le", "--latency-msec=5", "--raw", "--playback")
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Skipf("outside check left out: needs pacat (Debian package pulseaudio-utils): %v", err)
	}
	t.Cleanup(func() { in.Close(); _ = c.Process.Kill(); _ = c.Wait() })
	random := rand.New(rand.NewPCG(5, 5))
	burst := make([]byte, 0, 2*960)
	for range 960 {
		burst = binary.LittleEndian.AppendUint16(burst, uint16(int16(20000*(2*random.Float64()-1))))
	}
	return func() time.Time {
		now := time.Now()
		_, _ = in.Write(burst)
		return now
	}
}

// kept records into a file of the test.
type keptFile struct {
	path string
	free uint64
	mu   sync.Mutex
	hang chan struct{}
}

func (k *keptFile) Create() (io.WriteSeeker, func() error, error) {
	f, err := os.Create(k.path)
	if err != nil {
		return nil, nil, err
	}
	return f, f.Close, nil
}

func (k *keptFile) Room() (uint64, error) {
	if k.hang != nil {
		<-k.hang
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.free, nil
}

// hears lets the run's part go on until it says so.
func hears(t *testing.T, h *Hearing, what string, is func(says string, wrong []Trouble) bool) {
	t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for deadline := time.Now().Add(30 * time.Second); ; {
		now := <-tick.C
		h.goOn(now)
		if says, wrong := h.says("night"), h.wrong(now); is(says, wrong) {
			return
		} else if now.After(deadline) {
			t.Fatalf("%s: it says %q, wrong %v", what, says, wrong)
		}
	}
}

// Outside check: a PulseAudio server's monitor is heard; the server ends, which is told and lets
// the ear hear nothing; when it is back the sound is heard again. What was heard is in a file.
func TestHearingComesBack(t *testing.T) {
	needsServer(t)
	leaktest.Check(t, func() { hearingComesBack(t) })
}

func hearingComesBack(t *testing.T) {
	needsServer(t)
	socket, stop := server(t)
	list, err := Inputs()
	if err != nil || len(list) != 1 || list[0].Name != "null.monitor" || !list[0].Default {
		t.Fatalf("the inputs are %v: %v", list, err)
	}
	keep := &keptFile{path: filepath.Join(t.TempDir(), "heard.wav"), free: 10 << 30}
	h, err := Hear("null", keep)
	if err != nil {
		t.Fatal(err)
	}
	click := clicker(t)
	last := time.Time{}
	hits := func(says string, wrong []Trouble) bool {
		if time.Since(last) > 400*time.Millisecond { // more would be steady noise
			last = click()
		}
		return strings.HasPrefix(says, "hears hits, no sure beat") && len(wrong) == 0
	}
	hears(t, h, "clicks", hits)
	stop()
	hears(t, h, "the server is gone", func(says string, wrong []Trouble) bool {
		return strings.HasPrefix(says, "hears nothing") && len(wrong) == 1 && wrong[0].Of == "live sound"
	})
	defer serve(t, socket)()
	click = clicker(t)
	hears(t, h, "it is back", hits)
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	if peak, length := loudest(t, keep.path); peak < .2 || length < 100*time.Millisecond {
		t.Errorf("%v with a peak of %g are recorded", length, peak)
	}
	// One that is not there is told by its name, and looked for.
	h, err = Hear("stage left", nil)
	if !errors.Is(err, errNoInput) || !strings.Contains(fmt.Sprint(h.wrong(time.Now())), `"stage left"`) {
		t.Errorf("%v: %v", err, h.wrong(time.Now()))
	}
	if err := h.Close(); err != nil {
		t.Error(err)
	}
}

func loudest(t *testing.T, path string) (peak float64, length time.Duration) {
	t.Helper()
	s, err := soundfile.OpenFile(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f := s.Format()
	b := make([]float32, 1024*f.Channels)
	n := 0
	for {
		k, err := s.Read(b)
		for _, v := range b[:k*f.Channels] {
			peak = max(peak, math.Abs(float64(v)))
		}
		n += k
		if err != nil {
			return peak, time.Duration(n) * time.Second / time.Duration(f.Rate)
		}
	}
}

// A recording ends before the disk is full, when its disk stands still, and when the input becomes
// another; all are told, nothing waits, and what was written can be read, also of one that was
// cut off.
func TestRecordingStopsInTime(t *testing.T) {
	leaktest.Check(t, func() { recordingStops(t) })
}

func recordingStops(t *testing.T) {
	second := make([]float32, 48000)
	for i := range second {
		second[i] = float32(.5 * math.Sin(float64(i)/20))
	}
	f := format{rate: 48000, channels: 1}
	told := func(r *recording, want string) {
		t.Helper()
		for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(time.Millisecond) { // another goroutine's work
			_, text := r.over()
			if strings.Contains(text, want) {
				return
			}
			if time.Now().After(deadline) {
				t.Fatalf("it says %q, not %q", text, want)
			}
		}
	}
	full := &keptFile{path: filepath.Join(t.TempDir(), "full.wav"), free: 2 << 30}
	r := record(full)
	r.take(f, second)
	for at := time.Now(); ; time.Sleep(time.Millisecond) { // the file is there
		if info, err := os.Stat(full.path); err == nil && info.Size() > 48000 || time.Since(at) > 20*time.Second {
			break
		}
	}
	cut, length := loudest(t, full.path) // as a run leaves it that is cut off
	if cut < .4 || length < 500*time.Millisecond {
		t.Errorf("cut off, %v with a peak of %g can be read", length, cut)
	}
	full.mu.Lock()
	full.free = 1 << 29
	full.mu.Unlock()
	for range 400 {
		r.take(f, second)
		if _, text := r.over(); text != "" {
			break
		}
		for waits := 1; waits > 0; time.Sleep(time.Millisecond) { // another goroutine's work, which a disk keeps up with
			r.mu.Lock()
			waits = len(r.waiting)
			r.mu.Unlock()
		}
	}
	told(r, "less than 1 GiB")
	if err := r.close(); err != nil {
		t.Error(err)
	}
	if _, length := loudest(t, full.path); length < 2*time.Second {
		t.Errorf("%v are left", length)
	}

	slow := &keptFile{path: filepath.Join(t.TempDir(), "slow.wav"), free: 9 << 30, hang: make(chan struct{})}
	r = record(slow)
	for range 30 { // of which it may have taken some before it stands
		r.take(f, second)
	}
	told(r, "does not keep up")
	close(slow.hang)
	if err := r.close(); err != nil {
		t.Error(err)
	}

	r = record(&keptFile{path: filepath.Join(t.TempDir(), "other.wav"), free: 9 << 30})
	r.take(f, second)
	r.take(format{rate: 44100, channels: 2}, second)
	told(r, "another by now")
	if err := r.close(); err != nil {
		t.Error(err)
	}
	none := record(&keptFile{path: filepath.Join(t.TempDir(), "none.wav")})
	if err := none.close(); err != nil {
		t.Error(err)
	}
}

// The instant at which a stream began is found to a millisecond, though packets come late by chance
// and the clocks drift; sound that was lost moves it.
func TestArrivals(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 4))
	a := arrivals{rate: 48000}
	const began = 3 * time.Second
	lost := time.Duration(0)
	for i := range 20000 {
		if i == 12000 {
			lost = 2 * time.Second
		}
		sent := float64(i+1) * 240 / (48000 * (1 + 50e-6)) // its clock is fast
		at := began + lost + time.Duration(sent*float64(time.Second)) + time.Duration(random.ExpFloat64()*.004*float64(time.Second))
		first := a.take(240, at)
		want := began + lost - time.Duration(50e-6*sent*float64(time.Second))
		if off := first - want; i > 200 && (i < 12000 || i > 12200) && (off < -2*time.Millisecond || off > 2*time.Millisecond) {
			t.Fatalf("packet %d: it is %v beside", i, off)
		}
	}
}
