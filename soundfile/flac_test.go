package soundfile

import (
	"fmt"
	"path/filepath"
	"testing"
)

// TestFLACAgainstReference: the reference encoder's files come back bit for bit.
func TestFLACAgainstReference(t *testing.T) {
	need(t, "flac", "flac")
	cases := []struct {
		rate, channels, bits int
		args                 []string
	}{
		{44100, 2, 16, []string{"-0"}},
		{44100, 2, 16, []string{"-5"}},
		{44100, 2, 16, []string{"-8", "-e", "-p"}},
		{48000, 1, 16, []string{"-8", "--lax", "-l", "32"}},
		{96000, 2, 24, []string{"-5"}},
		{192000, 6, 24, []string{"-3"}},
		{8000, 8, 16, []string{"-2", "-b", "192"}},
		{44100, 2, 16, []string{"-5", "-b", "65535", "--lax"}},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.rate, c.channels, c.bits, c.args), func(t *testing.T) {
			wav := writeWAV(t, c.rate, c.channels, c.bits, music(c.rate, c.channels, 4, 3))
			path := filepath.Join(t.TempDir(), "a.flac")
			run(t, "flac", append(c.args, "--totally-silent", "-o", path, wav)...)
			want, _ := decodeFile(t, wav)
			got, f := decodeFile(t, path)
			if f.Codec != "flac" || f.Rate != c.rate || f.Channels != c.channels || f.Bits != c.bits || len(got) != len(want) {
				t.Fatalf("%+v with %d samples: want %d", f, len(got), len(want))
			}
			for i := range got {
				if got[i] != want[i] {
					t.Fatalf("sample %d is %v: want %v", i, got[i], want[i])
				}
			}
		})
	}
}
