package soundfile

import (
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
)

// TestMP3AgainstOthers compares with other decoders on files of LAME: every
// version, mono, the stereo modes, constant and variable rate, free format. The
// judge is ffmpeg's decoder, and LAME's own (16 bits) where ffmpeg cannot be: it
// has no free format, and at 24 kHz another border of bands than the encoder.
func TestMP3AgainstOthers(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	need(t, "lame", "lame")
	cases := []struct {
		rate, channels int
		byLAME         bool
		args           []string
	}{
		{44100, 2, false, []string{"-b", "128"}},
		{44100, 2, false, []string{"-b", "320", "-m", "s"}},
		{44100, 2, false, []string{"-b", "64", "-m", "j"}},
		{44100, 2, false, []string{"-V", "2"}},
		{44100, 2, false, []string{"-V", "9"}},
		{44100, 1, false, []string{"-b", "96"}},
		{48000, 2, false, []string{"-b", "192", "-m", "f"}},
		{32000, 2, false, []string{"-b", "96", "-p"}},
		{44100, 2, false, []string{"--allshort", "-b", "160"}},
		{44100, 2, true, []string{"--freeformat", "-b", "400"}},
		{24000, 2, true, []string{"-b", "64"}},
		{22050, 1, false, []string{"-b", "32"}},
		{16000, 2, false, []string{"-V", "5"}},
		{12000, 2, false, []string{"-b", "32"}},
		{11025, 1, false, []string{"-b", "24"}},
		{8000, 2, false, []string{"-b", "24", "--allshort"}},
		{8000, 1, false, []string{"-b", "16"}},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.rate, c.channels, c.args), func(t *testing.T) {
			wav := writeWAV(t, c.rate, c.channels, 16, music(c.rate, c.channels, 5, 7))
			path := filepath.Join(t.TempDir(), "a.mp3")
			args := append([]string{"--quiet", "--resample", fmt.Sprint(float64(c.rate) / 1000)}, c.args...)
			run(t, "lame", append(args, wav, path)...)
			got, f := decodeFile(t, path)
			var want []float32
			least := 100.0 // dB
			if c.byLAME {
				run(t, "lame", "--quiet", "--decode", path, path+".wav")
				want, _ = decodeFile(t, path+".wav")
				least = 75
				if c.args[0] == "--freeformat" { // of which LAME's decoder drops the first frame
					got = got[1152*c.channels:]
				}
			} else {
				want = ffmpegDecode(t, path)
			}
			if f.Rate != c.rate || f.Channels != c.channels || len(got) != len(want) {
				t.Fatalf("%+v with %d samples, the other decoder has %d", f, len(got), len(want))
			}
			if db := snr(want, got); db < least {
				t.Errorf("%.1f dB from the other decoder: want %.0f dB", db, least)
			}
		})
	}
}

// TestMP3AnyCores: the samples do not depend on the number of cores.
func TestMP3AnyCores(t *testing.T) {
	need(t, "lame", "lame")
	for _, rate := range []int{44100, 22050} {
		wav := writeWAV(t, rate, 2, 16, music(rate, 2, 8, 5))
		path := filepath.Join(t.TempDir(), "a.mp3")
		run(t, "lame", "--quiet", "-V", "4", "--resample", fmt.Sprint(float64(rate)/1000), wav, path)
		old := runtime.GOMAXPROCS(1)
		one, _ := decodeFile(t, path)
		runtime.GOMAXPROCS(4)
		many, _ := decodeFile(t, path)
		runtime.GOMAXPROCS(old)
		if !slices.Equal(one, many) {
			t.Errorf("%d Hz: other samples on four cores than on one", rate)
		}
	}
}
