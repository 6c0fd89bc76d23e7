package retake

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"syscall"
	"testing"
	"time"

	"lampblack/soundfile"
)

// BenchmarkHour prints an hour and aligns an hour to it that had 30 s cut in the
// middle, from WAV files, and gives the time of both steps and the most memory
// that the process held:
//
//	go test -run xxx -bench Hour -benchtime 1x ./soundtrack/retake
func BenchmarkHour(b *testing.B) {
	minutes := 60
	if testing.Short() {
		minutes = 6 // an hour twice is 1.3 GB of disk
	}
	dir := b.TempDir()
	oldPath, newPath := filepath.Join(dir, "old.wav"), filepath.Join(dir, "new.wav")
	writeLong(b, oldPath, minutes, -1)
	writeLong(b, newPath, minutes, minutes/2)
	debug.FreeOSMemory()
	for b.Loop() {
		if err := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0); err != nil {
			b.Logf("the most memory is that of the preparation too: %v", err)
		}
		start, cpu := time.Now(), processorTime(b)
		p := printFile(b, oldPath)
		printed := time.Since(start)
		s, err := soundfile.OpenFile(b.Context(), newPath)
		if err != nil {
			b.Fatal(err)
		}
		m, err := Align(p, s)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
		b.ReportMetric(printed.Seconds(), "s-print")
		b.ReportMetric((processorTime(b) - cpu).Seconds(), "cpu-s-both")
		b.ReportMetric((time.Since(start) - printed).Seconds(), "s-align")
		b.ReportMetric(peakMemory(b), "MB-peak")
		whole := time.Duration(minutes) * time.Minute
		for _, at := range []time.Duration{time.Minute, 5 * whole / 6} {
			want := at
			if at > whole/2 {
				want -= 30 * time.Second
			}
			if got, _, ok := m.At(at); !ok || (got-want).Abs() > time.Millisecond {
				b.Fatalf("%v is at %v, %v: want %v\n%v", at, got, ok, want, m)
			}
		}
	}
}

func printFile(b *testing.B, path string) *Print {
	s, err := soundfile.OpenFile(b.Context(), path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	p, err := Take(s)
	if err != nil {
		b.Fatal(err)
	}
	return p
}

// writeLong writes stereo of many minutes, without the first half of minute cut.
func writeLong(b *testing.B, path string, minutes, cut int) {
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	buf := bufio.NewWriterSize(f, 1<<20)
	w, err := soundfile.NewWAVWriter(buf, soundfile.Format{Rate: 2 * testRate, Channels: 2, Bits: 16, Frames: -1})
	if err != nil {
		b.Fatal(err)
	}
	for m := range minutes {
		x := show(60, uint64(m))
		if m == cut {
			x = x[30*testRate:]
		}
		y := make([]float32, 0, 4*len(x))
		for _, v := range x { // 44.1 kHz in stereo, as such files are
			y = append(y, v, 0.8*v, v, 0.8*v)
		}
		if err := w.Write(y); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
	if err := buf.Flush(); err != nil {
		b.Fatal(err)
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

// peakMemory is the most memory that this process held, in MB.
func peakMemory(b *testing.B) float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		b.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		var kb float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kb); n == 1 {
			return kb * 1024 / 1e6
		}
	}
	return 0
}
