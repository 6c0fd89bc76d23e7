package soundfile

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// BenchmarkDecode reads a minute of stereo in each codec and gives the processor
// time, which a busy machine changes little; beside it ffmpeg does the same on one
// thread, less the time that it takes to start:
//
//	go test -run xxx -bench Decode -cpu 1 ./soundfile
func BenchmarkDecode(b *testing.B) {
	need(b, "ffmpeg", "ffmpeg")
	const seconds = 60
	dir := b.TempDir()
	wav := writeWAV(b, 44100, 2, 16, music(44100, 2, seconds, 3))
	for _, c := range []struct {
		name string
		args []string
	}{
		{"a.wav", []string{"-c:a", "pcm_s16le"}}, {"a.flac", []string{"-c:a", "flac"}},
		{"a.mp3", []string{"-c:a", "libmp3lame", "-b:a", "192k"}}, {"a.ogg", []string{"-c:a", "libvorbis", "-q:a", "5"}},
		{"a.opus", []string{"-c:a", "libopus", "-b:a", "128k"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			path := filepath.Join(dir, c.name)
			run(b, "ffmpeg", append(append([]string{"-nostdin", "-v", "error", "-y", "-i", wav}, c.args...), path)...)
			file, err := os.ReadFile(path)
			if err != nil {
				b.Fatal(err)
			}
			buf := make([]float32, 8192)
			b.ReportAllocs()
			var ours, theirs time.Duration
			for b.Loop() {
				start := processorTime(b)
				s, err := Open(bytes.NewReader(file), c.name)
				for err == nil {
					_, err = s.Read(buf)
				}
				ours += processorTime(b) - start
				b.StopTimer()
				theirs += ffmpegTime(b, path) - ffmpegTime(b, "/dev/null")
				b.StartTimer()
			}
			each := ours.Seconds() / float64(b.N)
			b.ReportMetric(each, "cpu-s/min")
			b.ReportMetric(seconds/each, "x-real-time")
			b.ReportMetric(ours.Seconds()/theirs.Seconds(), "x-ffmpeg")
		})
	}
}

// processorTime is that of this process so far.
func processorTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// ffmpegTime returns the processor time of decoding a file and throwing the sound
// away; of /dev/null, that of starting and failing.
func ffmpegTime(b *testing.B, path string) time.Duration {
	cmd := exec.Command("ffmpeg", "-nostdin", "-v", "quiet", "-threads", "1", "-i", path, "-f", "null", "-")
	err := cmd.Run()
	if err != nil && path != "/dev/null" {
		b.Fatal(err)
	}
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}
