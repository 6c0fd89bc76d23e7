package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// need skips the test when an outside program is not installed.
func need(t testing.TB, program, pkg string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("outside check left out: needs %s (Debian package %s)", program, pkg)
	}
}

func run(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, stderr.Bytes())
	}
	return out
}

// ffmpegDecode returns the samples that ffmpeg makes of a file, at the file's
// own rate and channels.
func ffmpegDecode(t testing.TB, path string, args ...string) []float32 {
	t.Helper()
	args = append(append([]string{"-nostdin", "-v", "error"}, args...), "-i", path, "-f", "f32le", "-c:a", "pcm_f32le", "-")
	raw := run(t, "ffmpeg", args...)
	out := make([]float32, len(raw)/4)
	for i := range out {
		out[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return out
}

// drain reads a stream to its end.
func drain(t testing.TB, s Stream) []float32 {
	t.Helper()
	out, err := readAll(s)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func readAll(s Stream) ([]float32, error) {
	ch := s.Format().Channels
	buf := make([]float32, 3000*ch)
	var out []float32
	for {
		n, err := s.Read(buf)
		out = append(out, buf[:n*ch]...)
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		if n == 0 {
			return out, errors.New("no frames and no error")
		}
	}
}

func decodeFile(t testing.TB, path string) ([]float32, Format) {
	t.Helper()
	s, err := OpenFile(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	out := drain(t, s)
	f := s.Format()
	if f.Frames >= 0 && f.Frames*int64(f.Channels) != int64(len(out)) {
		t.Errorf("%s: %d frames declared, %d read", filepath.Base(path), f.Frames, len(out)/f.Channels)
	}
	return out, f
}

// snr returns the ratio of a's energy to that of a-b in dB.
func snr(a, b []float32) float64 {
	signal, noise := 0.0, 0.0
	for i := range min(len(a), len(b)) {
		d := float64(a[i]) - float64(b[i])
		signal += float64(a[i]) * float64(a[i])
		noise += d * d
	}
	if noise == 0 {
		return math.Inf(1)
	}
	return 10 * math.Log10(signal/noise)
}

// music is a made-up sound with all that codecs find hard: chords, noise, hard
// strokes, silence, sides that differ. The same seed gives the same samples.
func music(rate, channels int, seconds float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 1))
	n := int(seconds * float64(rate))
	out := make([]float32, n*channels)
	for start := 0; start < n; {
		length := min(rate/8+rng.IntN(rate/2), n-start)
		kind := rng.IntN(5)
		pitch := 80 * math.Exp2(rng.Float64()*5)
		for i := range length {
			at := float64(i) / float64(rate)
			decay := math.Exp(-4 * at)
			for c := range channels {
				v := 0.0
				switch kind {
				case 0, 1: // a chord
					for h := 1.0; h <= 5; h++ {
						if pitch*h < float64(rate)*0.45 {
							v += math.Sin(2*math.Pi*pitch*h*at+float64(c)) / h
						}
					}
					v *= 0.3
				case 2, 3: // a stroke of noise
					v = (rng.Float64() - 0.5) * math.Exp(-30*at)
				}
				out[(start+i)*channels+c] = float32(v * decay * (1 - 0.2*float64(c)))
			}
		}
		start += length
	}
	return out
}

// writeWAV writes samples to a file in a temporary folder.
func writeWAV(t testing.TB, rate, channels, bits int, samples []float32) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sound.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := WriteWAV(f, rate, channels, bits, samples); err != nil {
		t.Fatal(err)
	}
	return path
}
