package soundtrack

import (
	"math"
	"runtime"

	"lampblack/soundtrack/net"
)

// windowSeconds is the length of the analysis window: 2048 samples at 44.1 kHz.
const windowSeconds = 2048.0 / 44100

// leadIn is the number of frames of silence that the spectrogram has before
// the sound and after it, so that an attack on the first sample has a before.
const leadIn = patchBefore + 4

// ear takes samples in order and builds a heard. It holds some ten seconds of sound and
// of spectrogram at most, however long the sound is. Frame numbers count steps of 10 ms; those
// below 0 are the silence before the sound.
type ear struct {
	heard   *heard
	weigh   *weigher
	mono    []float32 // mono mix not yet used up
	start   int64     // frame number of mono[0]; negative during the lead-in
	next    int       // spectral frame to be computed next
	window  []float32
	fourier *transform
	bank    *filterbank
	power   []float32
	spectra spectra
	done    int   // spectral frames worked on so far
	loudest int32 // level of the loudest band around, for floors
	sketch  sketcher
	rhythm  [rhythmBands]int32
	judged  int // frames judged so far
	inputs  []float32
	net     *net.Net
	netWork net.Work
	watch   func(Candidate) // in training: takes the place of the judge
}

// newEar begins with the silence of the lead-in in mono, and some more, for the first window
// is centred on the first frame.
func newEar(rate, channels int) *ear {
	// The length of the transform is the power of two nearest to the window's, by ratio; a
	// shorter window lies in its middle, a longer one is cut to it.
	n := 64
	for float64(n)*math.Sqrt2 < windowSeconds*float64(rate) {
		n *= 2
	}
	length := min(n, int(math.Round(windowSeconds*float64(rate))))
	e := &ear{
		heard:   &heard{Rate: rate, Channels: channels},
		weigh:   newWeigher(rate, channels),
		window:  hann(n, length),
		fourier: newTransform(n),
		bank:    newFilterbank(n, float64(rate)),
		power:   make([]float32, n/2+1),
		next:    -leadIn,
		done:    -leadIn,
		judged:  -leadIn,
		spectra: spectra{start: -leadIn},
	}
	e.start = e.centre(-leadIn) - int64(n)
	e.mono = make([]float32, -e.start, -e.start+1<<15)
	return e
}

// centre returns the sample that spectral frame i is centred on.
func (e *ear) centre(i int) int64 {
	return (int64(i)*int64(e.heard.Rate) + blockRate/2) / blockRate
}

// feed takes interleaved samples, whole frames.
func (e *ear) feed(samples []float32) {
	e.heard.Frames += int64(len(samples) / e.heard.Channels)
	e.mono = e.weigh.feed(e.mono, samples)
	e.advance()
}

// advance computes all spectral frames that the samples at hand allow.
func (e *ear) advance() {
	n := int64(len(e.window))
	for {
		from := e.centre(e.next) - n/2 - e.start
		if from+n > int64(len(e.mono)) {
			break
		}
		e.fourier.power(e.power, e.mono[from:from+n], e.window)
		e.bank.levels(e.spectra.grow(), e.power)
		e.fineLevels(e.next)
		e.next++
		if e.next-e.done >= stretch+overhang {
			e.work(e.next - overhang)
		}
		// Whoever shares this machine's cores and must send a frame on time
		// gets its turn here, after a few microseconds.
		runtime.Gosched()
	}
	// Samples that no further window needs go when they fill half of the memory.
	if used := e.centre(e.next) - n/2 - e.start; used > int64(cap(e.mono)/2) {
		e.mono = e.mono[:copy(e.mono, e.mono[used:])]
		e.start += used
	}
}

// finish hears the sound out and returns what was heard.
func (e *ear) finish() *heard {
	e.mono = append(e.mono, make([]float32, int(e.centre(2*leadIn))+len(e.window))...)
	e.advance()
	e.weigh.close()
	h := e.heard
	h.Power = e.weigh.power
	e.work(min(e.next, len(h.Power)+leadIn))
	e.sketch.close(&h.Sketch)
	for b := range h.Rises {
		h.Rises[b] = h.Rises[b][:min(len(h.Rises[b]), (len(h.Power)+1)/2)]
	}
	return h
}
