package soundtrack

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack/truth"
)

// minute is a minute of stereo music, from truth.Groove, with strikes over it.
func minute() []float32 {
	music := truth.Groove{Seed: 5, Length: time.Minute, BPM: 118, Drums: true}.Play().Samples
	strikes := truth.Strikes(9, time.Minute).Samples
	out := make([]float32, 2*len(music))
	for i, v := range music {
		out[2*i], out[2*i+1] = v+0.3*strikes[i], v-0.3*strikes[i]
	}
	return out
}

func BenchmarkAnalyseMinute(b *testing.B) {
	x := minute()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Analyse(context.Background(), &memory{rate: truth.Rate, channels: 2, samples: x}, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFindMinute(b *testing.B) {
	h, err := hear(context.Background(), &memory{rate: truth.Rate, channels: 2, samples: minute()}, Options{}, nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		find(h, Options{})
	}
}

// Processor time of whole processes from a WAV file, in one run and turn about:
// ours with everything it finds, aubioonset (hfc, its default) with onsets
// alone, aubiotrack with beats alone. Reports seconds of processor time a
// minute of sound and the ratios of the least times.
func BenchmarkBesideAubio(b *testing.B) {
	onset := program(b, "aubioonset", "aubio-tools")
	track := program(b, "aubiotrack", "aubio-tools")
	path, _ := rendered(b, truth.Tuned[4], truth.Renderings[1])
	minutes := analyseFile(b, path).Duration.Minutes()
	run := func(name string) time.Duration {
		c := exec.Command(name, "-i", path)
		if err := c.Run(); err != nil {
			b.Fatal(err)
		}
		return cpu(c.ProcessState)
	}
	least := [3]time.Duration{time.Hour, time.Hour, time.Hour}
	for b.Loop() {
		least[0] = min(least[0], cpu(child(b, path)))
		least[1] = min(least[1], run(onset))
		least[2] = min(least[2], run(track))
	}
	b.ReportMetric(least[0].Seconds()/minutes, "cpu-s/min")
	b.ReportMetric(least[1].Seconds()/minutes, "aubioonset-s/min")
	b.ReportMetric(least[0].Seconds()/least[1].Seconds(), "ratio-onset")
	b.ReportMetric(least[0].Seconds()/least[2].Seconds(), "ratio-track")
}

// The same out of an MP3 file.
func BenchmarkMP3(b *testing.B) {
	ffmpeg := program(b, "ffmpeg", "ffmpeg")
	path, _ := rendered(b, truth.Tuned[4], truth.Renderings[1])
	mp3 := filepath.Join(b.TempDir(), "sound.mp3")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", path, "-b:a", "192k", mp3).CombinedOutput(); err != nil {
		b.Fatalf("ffmpeg: %v: %s", err, out)
	}
	minutes := analyseFile(b, path).Duration.Minutes()
	least := time.Hour
	for b.Loop() {
		least = min(least, cpu(child(b, mp3)))
	}
	b.ReportMetric(least.Seconds()/minutes, "cpu-s/min")
}

// Peak memory of a process that listens to an hour of sound.
func BenchmarkHourMemory(b *testing.B) {
	path := filepath.Join(b.TempDir(), "hour.wav")
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	w, err := soundfile.NewWAVWriter(f, soundfile.Format{Rate: truth.Rate, Channels: 2, Bits: 16, Frames: 60 * 60 * truth.Rate})
	if err != nil {
		b.Fatal(err)
	}
	x := minute()
	for range 60 {
		if err := w.Write(x); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
	f.Close()
	var peak int64
	var took time.Duration
	for b.Loop() {
		p := child(b, path)
		peak, took = max(peak, memoryOf(p)), cpu(p)
	}
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
	b.ReportMetric(took.Seconds()/60, "cpu-s/min")
}

// Parts of the work, for a minute of stereo.
func BenchmarkParts(b *testing.B) {
	x := minute()
	b.Run("spectra", func(b *testing.B) {
		f, w, dst := newTransform(2048), hann(2048, 2048), make([]float32, 1025)
		for b.Loop() {
			for i := range 6000 {
				f.power(dst, x[i*441:][:2048], w)
			}
		}
	})
	b.Run("bands", func(b *testing.B) {
		bank, power, dst := newFilterbank(2048, truth.Rate), noise(1025, 1), make([]int16, bandCount)
		for i, v := range power {
			power[i] = v * v
		}
		for b.Loop() {
			for range 6000 {
				bank.levels(dst, power)
			}
		}
	})
	b.Run("loudness", func(b *testing.B) {
		buf := make([]float32, 0, len(x))
		for b.Loop() {
			newWeigher(truth.Rate, 2).feed(buf[:0], x)
		}
	})
	b.Run("hear", func(b *testing.B) {
		for b.Loop() {
			hear(b.Context(), &memory{rate: truth.Rate, channels: 2, samples: x}, Options{}, nil)
		}
	})
}
