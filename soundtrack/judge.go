package soundtrack

import (
	"context"
	"math"

	"lampblack/soundfile"
)

// Candidate is an instant that might be a hit, as the judging network sees it.
// It is exported for training alone.
type Candidate struct {
	Frame  int       // of the spectrogram, 10 ms each
	Inputs []float32 // valid until the callback returns
}

// Candidates calls f for all candidates in s, for training.
func Candidates(ctx context.Context, s soundfile.Stream, f func(Candidate)) error {
	_, err := hear(ctx, s, Options{}, f)
	return err
}

// Shifted returns a candidate's inputs as if its sound were higher by the given
// number of groups of four bands (two semitones each from 740 Hz up), lower
// when negative. It is for training.
func Shifted(inputs []float32, groups int) []float32 {
	out := make([]float32, len(inputs))
	frames := (len(levelFrames) + riseFrames) * groupCount
	copy(out[frames:], inputs[frames:])
	for f := 0; f < frames; f += groupCount {
		for g := range groupCount {
			out[f+g] = inputs[f+min(max(g-groups, 0), groupCount-1)]
		}
	}
	return out
}

// faintRise is the mean rise of a band, in octaves, below which a frame is not
// even looked at.
const faintRise = 0.02

// judge looks at the peaks up to but not including frame to.
func (e *ear) judge(to int) {
	s := &e.spectra
	for i := max(e.judged, s.start+patchBefore); i < to; i++ {
		if s.crests(i - s.start) {
			e.inputs = s.patch(e.inputs, i)
			e.verdict(i)
		}
	}
	e.judged = max(e.judged, to)
}

// crests says whether the rise at index k tops its neighbours'.
func (s *spectra) crests(k int) bool {
	v := s.total[k]
	return v > faintRise && v > s.total[k-1] && v >= s.total[k+1]
}

// leastScore is the score under which a peak is not even kept.
const leastScore = 0.05

// verdict has the network judge the peak at frame i: is it a hit, and by how
// many frames does the attack lie off the frame. Its two outputs are the logit of the one
// (score = 1/(1+e^-x)) and the other as it is.
func (e *ear) verdict(i int) {
	if e.watch != nil {
		e.watch(Candidate{Frame: i, Inputs: e.inputs})
		return
	}
	out := e.net.Outputs(e.netWork, e.inputs)
	score := 1 / (1 + math.Exp(-float64(out[0])))
	if score < leastScore {
		return
	}
	e.heard.Peaks = append(e.heard.Peaks, peak{
		Frame: int32(i), Time: (float64(i) + float64(out[1])) / blockRate, Score: score, Portrait: e.spectra.portray(i),
	})
}
