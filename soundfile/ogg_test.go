package soundfile

import (
	"fmt"
	"path/filepath"
	"testing"
)

// TestOggAgainstFFmpeg compares Vorbis and FLAC in Ogg with ffmpeg's own
// decoders.
func TestOggAgainstFFmpeg(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	cases := []struct {
		codec          string
		rate, channels int
		least          float64 // dB
		args           []string
	}{
		{"vorbis", 44100, 2, 120, []string{"-c:a", "libvorbis", "-q:a", "5"}},
		{"vorbis", 48000, 1, 120, []string{"-c:a", "libvorbis", "-q:a", "1"}},
		{"vorbis", 44100, 6, 120, []string{"-c:a", "libvorbis", "-q:a", "4"}},
		{"vorbis", 8000, 2, 120, []string{"-c:a", "libvorbis", "-q:a", "0"}},
		{"flac", 44100, 2, 200, []string{"-c:a", "flac"}},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.codec, c.rate, c.channels, c.args), func(t *testing.T) {
			wav := writeWAV(t, c.rate, c.channels, 16, music(c.rate, c.channels, 6, 7))
			path := filepath.Join(t.TempDir(), "a.ogg")
			args := append([]string{"-nostdin", "-v", "error", "-i", wav}, c.args...)
			run(t, "ffmpeg", append(args, path)...)
			got, f := decodeFile(t, path)
			want := ffmpegDecode(t, path)
			if f.Codec != c.codec || f.Rate != c.rate || f.Channels != c.channels || len(got) != len(want) {
				t.Fatalf("%+v with %d samples, ffmpeg has %d", f, len(got), len(want))
			}
			if db := snr(want, got); db < c.least {
				t.Errorf("%.1f dB from ffmpeg's decoder: want %.0f dB", db, c.least)
			}
		})
	}
}

// TestOpusAgainstReference compares with the reference decoder of opus-tools. Its
// CELT layer is floating point as ours; its SILK layer rounds to 16 bits at the
// low rate that it works at, hence the lower figures for speech.
func TestOpusAgainstReference(t *testing.T) {
	need(t, "opusenc", "opus-tools")
	cases := []struct {
		channels int
		least    float64 // dB
		args     []string
	}{
		{2, 95, []string{"--bitrate", "128"}},
		{1, 95, []string{"--bitrate", "64", "--framesize", "2.5"}},
		{6, 95, []string{"--bitrate", "256"}},
		{8, 95, []string{"--bitrate", "320"}},
		{1, 30, []string{"--bitrate", "12", "--speech"}},
		{2, 35, []string{"--bitrate", "24", "--speech"}},
		{2, 35, []string{"--bitrate", "32", "--speech", "--framesize", "60"}},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.channels, c.args), func(t *testing.T) {
			wav := writeWAV(t, 48000, c.channels, 16, music(48000, c.channels, 4, 7))
			path := filepath.Join(t.TempDir(), "a.opus")
			run(t, "opusenc", append(c.args, "--quiet", wav, path)...)
			run(t, "opusdec", "--quiet", "--float", "--no-dither", path, path+".wav")
			got, f := decodeFile(t, path)
			want, _ := decodeFile(t, path+".wav")
			if f.Codec != "opus" || f.Rate != 48000 || f.Channels != c.channels || len(got) != len(want) {
				t.Fatalf("%+v with %d samples, the reference has %d", f, len(got), len(want))
			}
			if db := snr(want, got); db < c.least {
				t.Errorf("%.1f dB from the reference decoder: want %.0f dB", db, c.least)
			}
		})
	}
}
