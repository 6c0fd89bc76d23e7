package soundtrack

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack/truth"
)

// memory is a stream of samples at hand.
type memory struct {
	rate, channels int
	samples        []float32
}

func (m *memory) Format() soundfile.Format {
	return soundfile.Format{Codec: "memory", Rate: m.rate, Channels: m.channels, Frames: int64(len(m.samples) / m.channels)}
}

func (m *memory) Read(dst []float32) (int, error) {
	if len(m.samples) < m.channels {
		return 0, io.EOF
	}
	n := copy(dst, m.samples)
	n -= n % m.channels
	m.samples = m.samples[n:]
	return n / m.channels, nil
}

func (m *memory) Close() error { return nil }

func mono(samples []float32) *memory { return &memory{truth.Rate, 1, samples} }

func analyse(t testing.TB, s soundfile.Stream) *Track {
	t.Helper()
	track, err := Analyse(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return track
}

func analyseFile(t testing.TB, path string) *Track {
	t.Helper()
	track, err := AnalyseFile(context.Background(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return track
}

func times(ms []Moment) []time.Duration {
	var out []time.Duration
	for _, m := range ms {
		out = append(out, m.Time)
	}
	return out
}

// program skips the test when an outside program is missing.
func program(t testing.TB, name, pkg string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("outside check left out: needs %s (Debian package %s)", name, pkg)
	}
	return path
}

// long skips tests that take minutes unless they are asked for.
func long(t testing.TB) {
	t.Helper()
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("left out: takes minutes; set LAMPBLACK_LONG=1")
	}
}

// rendered returns the path of a rendered MIDI file, with its bytes.
func rendered(t testing.TB, name string, r truth.Rendering) (path string, midi []byte) {
	t.Helper()
	midi, err := truth.MIDIFile(name)
	if err == nil {
		path, err = r.Render(midi)
	}
	if errors.Is(err, truth.ErrMissing) {
		t.Skipf("outside check left out: %v", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return path, midi
}

func noteTimes(t testing.TB, midi []byte) []time.Duration {
	t.Helper()
	notes, err := truth.ReadMIDI(midi)
	if err != nil {
		t.Fatal(err)
	}
	var out []time.Duration
	for _, n := range notes {
		out = append(out, n.Time)
	}
	return truth.Merge(out, mergeGap)
}

// mergeGap is the span within which onset evaluations count attacks as one.
const mergeGap = 30 * time.Millisecond

// numbers runs a program that prints a time in seconds at the start of each
// line.
func numbers(t testing.TB, name string, args ...string) []time.Duration {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s %v: %v", name, args, err)
	}
	var times []time.Duration
	for _, line := range strings.Fields(string(out)) {
		if v, err := strconv.ParseFloat(line, 64); err == nil {
			times = append(times, time.Duration(v*float64(time.Second)))
		}
	}
	return times
}

// writeWAV writes samples as a 16-bit file and returns its path.
func writeWAV(t testing.TB, rate, channels int, samples []float32) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sound.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := soundfile.WriteWAV(f, rate, channels, 16, samples); err != nil {
		t.Fatal(err)
	}
	return path
}

// childFile is set in the environment of this test's own program when it is to
// do nothing but listen to one file, so that its processor time and memory can
// be taken beside another program's.
const childFile = "LAMPBLACK_TEST_LISTEN"

func TestMain(m *testing.M) {
	if path := os.Getenv(childFile); path != "" {
		t, err := AnalyseFile(context.Background(), path, Options{})
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Println(len(t.Moments))
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// child listens to a file in a process of its own.
func child(t testing.TB, path string) *os.ProcessState {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childFile+"="+path)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return c.ProcessState
}

func cpu(p *os.ProcessState) time.Duration { return p.UserTime() + p.SystemTime() }
