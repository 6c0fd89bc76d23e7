package soundfile

import (
	"math"
	"path/filepath"
	"testing"
)

// clickEvery is the distance of the clicks of clickTrack, in seconds: not a
// multiple of any codec's frame.
const clickEvery = 0.4371

// clickTrack has a short band-limited click, the same each time, centred on
// samples round(k·clickEvery·rate), from k = 1 on.
func clickTrack(rate, channels int, seconds float64) (samples []float32, centres []int) {
	n := int(seconds * float64(rate))
	samples = make([]float32, n*channels)
	for k := 1; ; k++ {
		c := int(math.Round(float64(k) * clickEvery * float64(rate)))
		if c+200 > n {
			return samples, centres
		}
		centres = append(centres, c)
		for i := -200; i <= 200; i++ {
			at := float64(i) / float64(rate)
			v := 0.8 * math.Exp(-at*at*4e6) * math.Cos(2*math.Pi*3000*at) // 0.35 ms wide
			for ch := range channels {
				samples[(c+i)*channels+ch] = float32(v)
			}
		}
	}
}

// offset returns by how many samples b lags a around a's sample c, to a fraction,
// by the peak of their correlation and a parabola through it.
func offset(a, b []float32, channels, c int) float64 {
	const reach, width = 60, 300
	at := func(s []float32, i int) float64 {
		if i < 0 || i*channels >= len(s) {
			return 0
		}
		return float64(s[i*channels])
	}
	corr := func(lag int) (sum float64) {
		for i := c - width; i <= c+width; i++ {
			sum += at(a, i) * at(b, i+lag)
		}
		return sum
	}
	best, value := 0, math.Inf(-1)
	for lag := -reach; lag <= reach; lag++ {
		if v := corr(lag); v > value {
			best, value = lag, v
		}
	}
	l, r := corr(best-1), corr(best+1)
	return float64(best) + 0.5*(l-r)/(l-2*value+r)
}

// TestClicksStayInPlace encodes a track of clicks with the encoders in use and
// finds every click within one sample of where it was, or of where the resampled
// original has it.
func TestClicksStayInPlace(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	need(t, "lame", "lame")
	need(t, "opusenc", "opus-tools")
	need(t, "oggenc", "vorbis-tools")
	type encoder struct {
		name, ext string
		encode    func(wav, out string)
	}
	ff := func(args ...string) func(wav, out string) {
		return func(wav, out string) {
			run(t, "ffmpeg", append(append([]string{"-nostdin", "-v", "error", "-i", wav}, args...), out)...)
		}
	}
	encoders := []encoder{
		{"ffmpeg mp3 cbr", ".mp3", ff("-c:a", "libmp3lame", "-b:a", "192k")},
		{"ffmpeg mp3 vbr", ".mp3", ff("-c:a", "libmp3lame", "-q:a", "4")},
		{"ffmpeg mp3 at 22.05 kHz", ".mp3", ff("-c:a", "libmp3lame", "-ar", "22050", "-b:a", "64k")},
		{"ffmpeg mp3 at 11.025 kHz", ".mp3", ff("-c:a", "libmp3lame", "-ar", "11025", "-b:a", "32k")},
		{"lame cbr", ".mp3", func(wav, out string) { run(t, "lame", "--quiet", "-b", "128", wav, out) }},
		{"lame vbr", ".mp3", func(wav, out string) { run(t, "lame", "--quiet", "-V", "3", wav, out) }},
		{"ffmpeg opus", ".opus", ff("-c:a", "libopus", "-b:a", "128k")},
		{"opusenc", ".opus", func(wav, out string) { run(t, "opusenc", "--quiet", "--bitrate", "96", wav, out) }},
		{"ffmpeg vorbis", ".ogg", ff("-c:a", "libvorbis", "-q:a", "5")},
		{"oggenc", ".ogg", func(wav, out string) { run(t, "oggenc", "-Q", "-q", "3", "-o", out, wav) }},
		{"ffmpeg flac", ".flac", ff("-c:a", "flac")},
		{"ffmpeg aac, by the helper", ".m4a", ff("-c:a", "aac", "-b:a", "160k")},
	}
	original, centres := clickTrack(44100, 2, 8)
	wav := writeWAV(t, 44100, 2, 16, original)
	for _, e := range encoders {
		t.Run(e.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "clicks"+e.ext)
			e.encode(wav, path)
			got, f := decodeFile(t, path)
			got = resampleAll(got, f.Channels, f.Rate, 44100)
			worst := 0.0
			for _, c := range centres {
				worst = math.Max(worst, math.Abs(offset(original, got, 2, c)))
			}
			t.Logf("%d clicks, worst %.3f samples away; %d frames of %d", len(centres), worst, len(got)/2, len(original)/2)
			if worst > 1 {
				t.Errorf("a click is %.2f samples away: want 1 at most", worst)
			}
			if d := len(got)/2 - len(original)/2; (d < -4 || d > 4) && e.ext != ".m4a" {
				t.Errorf("%d frames come back of %d", len(got)/2, len(original)/2)
			}
		})
	}
}
