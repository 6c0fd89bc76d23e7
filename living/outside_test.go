package living

import (
	"context"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"lampblack/soundtrack"
)

// pieces are music that nobody here made or tuned anything on (Debian package supertux-data):
// a dance, a march, a chase, a quiet night.
var pieces = []string{"antarctic/chipdisko", "forest/clavelian_march", "misc/battle_theme", "forest/ghostforest"}

// excerpt writes 40 s from the middle of a piece as a WAV file (ffmpeg decodes).
func excerpt(t testing.TB, piece string) string {
	t.Helper()
	ffmpeg := program(t, "ffmpeg")
	from := filepath.Join("/usr/share/games/supertux2/music", piece+".ogg")
	if _, err := os.Stat(from); err != nil {
		t.Skip("outside check left out: needs music (Debian package supertux-data)")
	}
	to := filepath.Join(t.TempDir(), "excerpt.wav")
	if out, err := exec.Command(ffmpeg, "-v", "error", "-ss", "20", "-t", "40", "-i", from, "-ac", "1", "-ar", "44100", to).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v: %s", err, out)
	}
	return to
}

func program(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("outside check left out: needs %s (Debian package of that name)", name)
	}
	return path
}

// grid is the time between two values of loudness.
const grid = 5 * time.Millisecond

// loudness is the level of a band in decibels, of the 20 ms about each multiple of grid, no
// less than 50 dB below its greatest. The band is cut out by sox, whose filter is of
// linear phase: nothing of ours is in it.
func loudness(t testing.TB, wav string, b Band) []float64 {
	t.Helper()
	args := []string{wav, "-t", "f32", "-"}
	if edges := map[Band]string{Low: "-200", Mid: "200-2k", High: "2k"}[b]; edges != "" {
		args = append(args, "sinc", edges)
	}
	sums := []float64{0}
	for _, v := range decoded(t, args...) {
		sums = append(sums, sums[len(sums)-1]+v*v)
	}
	const rate, half = 44100, 441
	var out []float64
	for at := 0; ; at++ {
		i := int(float64(at) * grid.Seconds() * rate)
		if i+half >= len(sums) {
			break
		}
		from := max(i-half, 0)
		out = append(out, 10*math.Log10((sums[i+half]-sums[from])/float64(i+half-from)+1e-12))
	}
	top := slices.Max(out)
	for i := range out {
		out[i] = max(out[i], top-50)
	}
	return out
}

// decoded is what sox makes of a file.
func decoded(t testing.TB, args ...string) (x []float64) {
	t.Helper()
	raw, err := exec.Command(program(t, "sox"), args...).Output()
	if err != nil {
		t.Fatalf("sox: %v", err)
	}
	for ; len(raw) >= 4; raw = raw[4:] {
		x = append(x, float64(math.Float32frombits(binary.LittleEndian.Uint32(raw))))
	}
	return x
}

// shaped is loudness as it would be if it rose and fell no faster than in the times
// given, from 10 to 90 %: what a level of such times is to follow.
func shaped(x []float64, rise, fall time.Duration) []float64 {
	x = slices.Clone(x)
	for _, time := range []time.Duration{fall, rise} {
		left := math.Exp(-math.Log(9) * grid.Seconds() / time.Seconds())
		for i := 1; i < len(x); i++ {
			x[i] = max(x[i], x[i]+left*(x[i-1]-x[i]))
		}
		slices.Reverse(x)
	}
	return x
}

// best is the correlation of a level with loudness, and the lag at which it is greatest: how
// much later the level is.
func best(level Loud, loud []float64) (r float64, lag time.Duration) {
	for d := -150 * time.Millisecond; d <= 150*time.Millisecond; d += 2 * time.Millisecond {
		a, b := []float32{}, []float32{}
		for i := 50; i < len(loud)-50; i += 2 {
			a = append(a, level.At(time.Duration(i)*grid+d))
			b = append(b, float32(loud[i]))
		}
		if v := correlation(a, b); v > r {
			r, lag = v, d
		}
	}
	return r, lag
}

// On four pieces of foreign music the level follows the loudness of its band: against loudness
// that has been given the same times of rise and fall the correlation is high, and greatest
// within 10 ms of no lag; and for light as quick as this it is so against the bare loudness too.
func TestFollowsMusic(t *testing.T) {
	shapes := [][2]time.Duration{{50, 300}}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		shapes = append(shapes, [2]time.Duration{50, 50}, [2]time.Duration{200, 800})
	}
	for _, piece := range pieces {
		wav := excerpt(t, piece)
		track, err := soundtrack.AnalyseFile(context.Background(), wav, soundtrack.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range []Band{Low, Mid, High, All} {
			loud := loudness(t, wav, b)
			for _, s := range shapes {
				rise, fall := s[0]*time.Millisecond, s[1]*time.Millisecond
				f := NewFollow(track, b, rise, fall)
				r, lag := best(f, shaped(loud, rise, fall))
				bare, bareLag := best(f, loud)
				t.Logf("%-24s %-4s rise %v fall %v: %.3f at %v; bare %.3f at %v", piece, b, rise, fall, r, lag, bare, bareLag)
				if r < .8 || lag.Abs() > 12*time.Millisecond || fall <= 300*time.Millisecond && (lag.Abs() > 10*time.Millisecond || bareLag.Abs() > 10*time.Millisecond) {
					t.Errorf("%s, %s, rise %v, fall %v: correlation %.3f at a lag of %v; bare %v", piece, b, rise, fall, r, lag, bareLag)
				}
			}
		}
	}
}

// On the same music the spectral centre is that of ISO/IEC 15938-4 (AudioSpectrumCentroid, from
// memory: the mean of log2(f/1 kHz), weighed by power), worked out line by line with another
// Fourier transform.
func TestCentreOfMusic(t *testing.T) {
	for _, piece := range pieces[1:3] {
		wav := excerpt(t, piece)
		track, err := soundtrack.AnalyseFile(context.Background(), wav, soundtrack.Options{})
		if err != nil {
			t.Fatal(err)
		}
		const rate, n = 44100, 2048
		samples, transform, window := decoded(t, wav, "-t", "f32", "-"), fourier.NewFFT(n), make([]float64, n)
		var ours, theirs []float32
		for at := 100 * time.Millisecond; at < 39*time.Second; at += 100 * time.Millisecond {
			middle := int(at.Seconds() * rate)
			for i := range window {
				window[i] = samples[middle-n/2+i] * (.5 - .5*math.Cos(2*math.Pi*float64(i)/n))
			}
			sum, all := 0.0, 0.0
			for k, c := range transform.Coefficients(nil, window) {
				if hz := float64(k) * rate / n; hz > 40 && hz < 16800 {
					p := real(c)*real(c) + imag(c)*imag(c)
					sum += p * math.Log2(hz/1000)
					all += p
				}
			}
			if hz := track.Centre.At(at, 0); hz > 0 && all > 1e-6 {
				ours, theirs = append(ours, float32(math.Log2(float64(hz)/1000))), append(theirs, float32(sum/all))
			}
		}
		off := 0.0
		for i := range ours {
			off = max(off, math.Abs(float64(ours[i]-theirs[i])))
		}
		r := correlation(ours, theirs)
		t.Logf("%s: %d instants, correlation %.4f, %.2f octaves off at most", piece, len(ours), r, off)
		if len(ours) < 300 || r < .999 || off > .05 {
			t.Errorf("%s: of %d instants the centre is right with a correlation of %.3f", piece, len(ours), r)
		}
	}
}
