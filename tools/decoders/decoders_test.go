// Package decoders compares the hand-written decoders of package soundfile
// with public modules for the same formats, on the same files in one run:
//
//	go test -C tools ./decoders -bench . -benchtime 5x
//
// The files are made by ffmpeg (Debian package ffmpeg) from noise and tones.
package decoders

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/hajimehoshi/go-mp3"
	"github.com/jfreymuth/oggvorbis"
	"github.com/mewkiz/flac"

	"lampblack/soundfile"
)

// sample is a minute of stereo: a chord whose parts come and go, over noise.
func sample(b *testing.B, name string, options ...string) string {
	b.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		b.Skip("left out: needs ffmpeg (Debian package ffmpeg)")
	}
	path := filepath.Join(b.TempDir(), name)
	args := []string{"-v", "error", "-f", "lavfi", "-i",
		"aevalsrc='0.3*sin(2*PI*220*t)*sin(2*PI*0.7*t)+0.2*sin(2*PI*1310*t)*sin(2*PI*1.9*t)+0.1*(random(0)-0.5)|0.3*sin(2*PI*330*t)+0.2*(random(1)-0.5)*sin(2*PI*0.3*t)':s=44100:d=60"}
	if out, err := exec.Command("ffmpeg", append(append(args, options...), path)...).CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	return path
}

// ours decodes a file and returns how many frames it has and their energy, so
// that nothing is left undone.
func ours(b *testing.B, path string) (frames int, energy float64) {
	s, err := soundfile.OpenFile(context.Background(), path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	buffer := make([]float32, 8192)
	for {
		n, err := s.Read(buffer)
		frames += n
		for _, v := range buffer[:n*s.Format().Channels] {
			energy += float64(v) * float64(v)
		}
		if errors.Is(err, io.EOF) {
			return frames, energy
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}

func theirMP3(b *testing.B, path string) (frames int, energy float64) {
	f := open(b, path)
	defer f.Close()
	d, err := mp3.NewDecoder(f)
	if err != nil {
		b.Fatal(err)
	}
	buffer := make([]byte, 32768)
	for {
		n, err := io.ReadFull(d, buffer)
		for i := 0; i+1 < n; i += 2 {
			v := float64(int16(buffer[i])|int16(buffer[i+1])<<8) / 32768
			energy += v * v
		}
		frames += n / 4
		if err != nil {
			return frames, energy
		}
	}
}

func theirFLAC(b *testing.B, path string) (frames int, energy float64) {
	s, err := flac.ParseFile(path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	scale := math.Ldexp(1, 1-int(s.Info.BitsPerSample))
	for {
		f, err := s.ParseNext()
		if err != nil {
			return frames, energy
		}
		for _, sub := range f.Subframes {
			for _, v := range sub.Samples {
				energy += float64(v) * scale * float64(v) * scale
			}
		}
		frames += int(f.BlockSize)
	}
}

func theirVorbis(b *testing.B, path string) (frames int, energy float64) {
	f := open(b, path)
	defer f.Close()
	r, err := oggvorbis.NewReader(f)
	if err != nil {
		b.Fatal(err)
	}
	buffer := make([]float32, 8192)
	for {
		n, err := r.Read(buffer)
		for _, v := range buffer[:n] {
			energy += float64(v) * float64(v)
		}
		frames += n / r.Channels()
		if err != nil {
			return frames, energy
		}
	}
}

func open(b *testing.B, path string) *os.File {
	f, err := os.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	return f
}

// BenchmarkDecoders reports the public module's time over ours, and how many
// frames and how much energy each has.
func BenchmarkDecoders(b *testing.B) {
	for _, c := range []struct {
		name    string
		file    string
		options []string
		theirs  func(*testing.B, string) (int, float64)
	}{
		{"MP3", "a.mp3", []string{"-c:a", "libmp3lame", "-b:a", "192k"}, theirMP3},
		{"FLAC", "a.flac", []string{"-sample_fmt", "s16"}, theirFLAC},
		{"Vorbis", "a.ogg", []string{"-c:a", "libvorbis", "-q:a", "5"}, theirVorbis},
	} {
		b.Run(c.name, func(b *testing.B) {
			path := sample(b, c.file, c.options...)
			var mine, other spent
			for b.Loop() {
				mine.run(func() (int, float64) { return ours(b, path) })
				other.run(func() (int, float64) { return c.theirs(b, path) })
			}
			b.ReportMetric(other.seconds/mine.seconds, "times-ours")
			b.ReportMetric(float64(other.frames-mine.frames), "frames-more")
			b.ReportMetric(other.energy/mine.energy, "energy-to-ours")
		})
	}
}
