package soundfile

import (
	"fmt"
	"path/filepath"
	"testing"
)

// TestOggAgainstFFmpeg compares Vorbis, Opus and FLAC in Ogg with ffmpeg's own
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
		{"opus", 48000, 2, 60, []string{"-c:a", "libopus", "-b:a", "128k"}},
		{"opus", 48000, 1, 60, []string{"-c:a", "libopus", "-b:a", "64k"}},
		{"opus", 48000, 6, 60, []string{"-c:a", "libopus", "-b:a", "256k", "-mapping_family", "1"}},
		{"opus", 48000, 2, 25, []string{"-c:a", "libopus", "-b:a", "24k", "-application", "voip"}},
		{"opus", 48000, 1, 25, []string{"-c:a", "libopus", "-b:a", "12k", "-application", "voip", "-frame_duration", "60"}},
		{"opus", 48000, 2, 60, []string{"-c:a", "libopus", "-b:a", "96k", "-application", "lowdelay", "-frame_duration", "2.5"}},
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
			db := snr(want, got)
			t.Logf("%.1f dB", db)
			if db < c.least {
				t.Errorf("%.1f dB from ffmpeg's decoder: want %.0f dB", db, c.least)
			}
		})
	}
}
