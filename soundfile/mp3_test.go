package soundfile

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// TestMP3AgainstFFmpeg compares with ffmpeg's own decoder on files of two
// encoders: every version, mono, the stereo modes, constant and variable rate,
// free format.
func TestMP3AgainstFFmpeg(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	need(t, "lame", "lame")
	cases := []struct {
		rate, channels int
		args           []string
	}{
		{44100, 2, []string{"-b", "128"}},
		{44100, 2, []string{"-b", "320", "-m", "s"}},
		{44100, 2, []string{"-b", "64", "-m", "j"}},
		{44100, 2, []string{"-V", "2"}},
		{44100, 2, []string{"-V", "9"}},
		{44100, 1, []string{"-b", "96"}},
		{48000, 2, []string{"-b", "192", "-m", "f"}},
		{32000, 2, []string{"-b", "96", "-p"}},
		{44100, 2, []string{"--allshort", "-b", "160"}},
		{44100, 2, []string{"--mixed", "-b", "160"}},
		{24000, 2, []string{"-b", "64"}},
		{22050, 1, []string{"-b", "32"}},
		{16000, 2, []string{"-V", "5"}},
		{12000, 2, []string{"-b", "32"}},
		{11025, 1, []string{"-b", "24"}},
		{8000, 2, []string{"-b", "24", "--allshort"}},
		{8000, 1, []string{"-b", "16"}},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.rate, c.channels, c.args), func(t *testing.T) {
			wav := writeWAV(t, c.rate, c.channels, 16, music(c.rate, c.channels, 12, 7))
			path := filepath.Join(t.TempDir(), "a.mp3")
			args := append([]string{"--quiet", "--resample", fmt.Sprint(float64(c.rate) / 1000)}, c.args...)
			run(t, "lame", append(args, wav, path)...)
			got, f := decodeFile(t, path)
			want := ffmpegDecode(t, path)
			if f.Rate != c.rate || f.Channels != c.channels || len(got) != len(want) {
				t.Fatalf("%+v with %d samples, ffmpeg has %d", f, len(got), len(want))
			}
			db := snr(want, got)
			t.Logf("%.1f dB", db)
			if db < 100 {
				t.Errorf("%.1f dB from ffmpeg's decoder: want 100 dB", db)
			}
		})
	}
	_ = os.Remove
}
