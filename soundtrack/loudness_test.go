package soundtrack

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// part is a stretch of a 1 kHz sine at a level in dBFS.
type part struct {
	level   float64
	seconds float64
}

// sine makes the stereo test signals of EBU Tech 3341 and 3342, at 48 kHz.
func sine(parts ...part) *memory {
	m := &memory{rate: 48000, channels: 2}
	n := 0
	for _, p := range parts {
		a := math.Pow(10, p.level/20)
		for range int(math.Round(p.seconds * 48000)) {
			v := float32(a * math.Sin(2*math.Pi*1000*float64(n)/48000))
			m.samples = append(m.samples, v, v)
			n++
		}
	}
	return m
}

func repeat(n int, parts ...part) (out []part) {
	for range n {
		out = append(out, parts...)
	}
	return out
}

// Signals and readings of EBU Tech 3341 (minimum requirements for an EBU mode
// meter), cases 1 to 6; the definitions are from memory and agree with what two
// independent meters read. Case 6 is the five-channel one.
func TestProgrammeLoudnessOfEBU3341(t *testing.T) {
	five := &memory{rate: 48000, channels: 5}
	for i := range 20 * 48000 {
		s := math.Sin(2 * math.Pi * 1000 * float64(i) / 48000)
		for _, level := range []float64{-28, -28, -24, -30, -30} {
			five.samples = append(five.samples, float32(math.Pow(10, level/20)*s))
		}
	}
	for _, c := range []struct {
		name   string
		signal *memory
		want   float64
	}{
		{"1", sine(part{-23, 20}), -23},
		{"2", sine(part{-33, 20}), -33},
		{"3", sine(part{-36, 10}, part{-23, 60}, part{-36, 10}), -23},
		{"4", sine(part{-72, 10}, part{-36, 10}, part{-23, 60}, part{-36, 10}, part{-72, 10}), -23},
		{"5", sine(part{-26, 20}, part{-20, 20.1}, part{-26, 20}), -23},
		{"6", five, -23},
	} {
		if got := analyse(t, c.signal).Programme; math.Abs(got-c.want) > 0.1 {
			t.Errorf("case %s: programme loudness %.3f LUFS, want %.1f ± 0.1", c.name, got, c.want)
		} else {
			t.Logf("case %s: %.3f LUFS", c.name, got)
		}
	}
}

// EBU Tech 3341 cases 9 and 12 (steady reading of short-term and momentary
// loudness) and 10 and 13 (maxima).
func TestMovingLoudnessOfEBU3341(t *testing.T) {
	steady := func(name string, c Curve, from time.Duration, end time.Duration) {
		for at := from; at < end; at += c.Hop {
			if v := c.At(at, 0); math.Abs(float64(v)+23) > 0.1 {
				t.Fatalf("case %s: %.3f LUFS at %v, want -23 ± 0.1", name, v, at)
			}
		}
	}
	steady("9", analyse(t, sine(repeat(5, part{-20, 1.34}, part{-30, 1.66})...)).ShortTerm, 1500*time.Millisecond, 13400*time.Millisecond)
	steady("12", analyse(t, sine(repeat(25, part{-20, 0.18}, part{-30, 0.22})...)).Loudness, time.Second, 9700*time.Millisecond)
	highest := func(c Curve) (m float64) {
		m = nothing
		for _, v := range c.Values {
			m = max(m, float64(v))
		}
		return m
	}
	for i := 0.0; i < 20; i += 6 {
		if got := highest(analyse(t, sine(part{-200, 0.15 * i}, part{-23, 3}, part{-200, 1})).ShortTerm); math.Abs(got+23) > 0.1 {
			t.Errorf("case 10, %g: highest short-term loudness %.3f LUFS", i, got)
		}
		if got := highest(analyse(t, sine(part{-200, 0.02 * i}, part{-23, 0.4}, part{-200, 1})).Loudness); math.Abs(got+23) > 0.1 {
			t.Errorf("case 13, %g: highest momentary loudness %.3f LUFS", i, got)
		}
	}
}

// EBU Tech 3342, cases 1 to 4.
func TestLoudnessRangeOfEBU3342(t *testing.T) {
	for i, c := range []struct {
		levels []float64
		want   float64
	}{{[]float64{-20, -30}, 10}, {[]float64{-20, -15}, 5}, {[]float64{-40, -20}, 20}, {[]float64{-50, -35, -20, -35, -50}, 15}} {
		var parts []part
		for _, l := range c.levels {
			parts = append(parts, part{l, 20})
		}
		if got := analyse(t, sine(parts...)).Range; math.Abs(got-c.want) > 1 {
			t.Errorf("case %d: range %.3f LU, want %g ± 1", i+1, got, c.want)
		} else {
			t.Logf("case %d: %.3f LU", i+1, got)
		}
	}
}

// Coefficients of ITU-R BS.1770-4, annex 1, tables 1 and 2 (48 kHz).
func TestKWeightingAt48kHz(t *testing.T) {
	shelf, pass := kWeighting(48000)
	got := []float64{shelf.b0, shelf.b1, shelf.b2, shelf.a1, shelf.a2, pass.a1, pass.a2}
	want := []float64{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585,
		-1.99004745483398, 0.99007225036621}
	for i := range got {
		if math.Abs(got[i]-want[i]) > 1e-9 {
			t.Errorf("coefficient %d is %.14f, the standard has %.14f", i, got[i], want[i])
		}
	}
}

var meterLine = regexp.MustCompile(`(?m)^\s+(I|LRA):\s+(-?[0-9.]+) LU`)

// ffmpeg's ebur128 filter is an independent meter; it prints one decimal.
func TestLoudnessBesideFFmpeg(t *testing.T) {
	ffmpeg := program(t, "ffmpeg", "ffmpeg")
	for _, name := range truth.Tuned[:3] {
		path, _ := rendered(t, name, truth.Renderings[1])
		out, err := exec.Command(ffmpeg, "-hide_banner", "-nostats", "-i", path, "-filter_complex", "ebur128", "-f", "null", "-").CombinedOutput()
		if err != nil {
			t.Fatalf("ffmpeg: %v: %s", err, out)
		}
		track := analyseFile(t, path)
		read := map[string]float64{}
		for _, m := range meterLine.FindAllStringSubmatch(string(out), -1) {
			read[m[1]], _ = strconv.ParseFloat(m[2], 64)
		}
		t.Logf("%s: %.2f LUFS, range %.2f LU; ffmpeg has %.1f and %.1f", name, track.Programme, track.Range, read["I"], read["LRA"])
		if math.Abs(track.Programme-read["I"]) > 0.1 || math.Abs(track.Range-read["LRA"]) > 0.15 {
			t.Errorf("%s: readings differ by more than 0.1 LU", name)
		}
	}
}

// meterSource reads interleaved float32 stereo at 44.1 kHz from standard input
// by libebur128 and prints loudness and range.
const meterSource = `#include <ebur128.h>
#include <stdio.h>
int main(void) {
	ebur128_state *s = ebur128_init(2, 44100, EBUR128_MODE_I | EBUR128_MODE_LRA);
	float b[8192]; size_t n; double i, r;
	while ((n = fread(b, 8, 1024, stdin)) > 0) ebur128_add_frames_float(s, b, n);
	ebur128_loudness_global(s, &i); ebur128_loudness_range(s, &r);
	printf("%f %f\n", i, r);
	return 0;
}`

// libebur128 takes short-term loudness for the range once a second, as EBU Tech
// 3342 did before 2016, so ranges may differ by a little more.
func TestLoudnessBesideLibebur128(t *testing.T) {
	cc := program(t, "cc", "gcc")
	ffmpeg := program(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	src, meter := filepath.Join(dir, "meter.c"), filepath.Join(dir, "meter")
	if err := os.WriteFile(src, []byte(meterSource), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(cc, src, "-o", meter, "-lebur128").CombinedOutput(); err != nil {
		t.Skipf("outside check left out: needs libebur128 (Debian package libebur128-dev): %s", out)
	}
	for _, name := range truth.Tuned[2:] {
		path, _ := rendered(t, name, truth.Renderings[3])
		decode := exec.Command(ffmpeg, "-hide_banner", "-loglevel", "error", "-i", path, "-f", "f32le", "-")
		read := exec.Command(meter)
		read.Stdin, _ = decode.StdoutPipe()
		if err := decode.Start(); err != nil {
			t.Fatal(err)
		}
		out, err := read.Output()
		if e := decode.Wait(); err != nil || e != nil {
			t.Fatal(err, e)
		}
		f := strings.Fields(string(out))
		loudness, _ := strconv.ParseFloat(f[0], 64)
		span, _ := strconv.ParseFloat(f[1], 64)
		track := analyseFile(t, path)
		t.Logf("%s: %.3f LUFS, range %.3f LU; libebur128 has %.3f and %.3f", name, track.Programme, track.Range, loudness, span)
		if math.Abs(track.Programme-loudness) > 0.1 || math.Abs(track.Range-span) > 0.25 {
			t.Errorf("%s: readings differ", name)
		}
	}
}
