package soundtrack

import (
	"fmt"
	"math"
	"time"
)

const (
	// Blocks are 10 ms. Three seconds hold a dozen syllables and some pauses; at a look every half
	// second a span's ends are as sure as speech has ends.
	voiceWindow = 3 * blockRate // blocks looked at
	voiceStep   = blockRate / 2 // blocks between looks
)

// voicing is what tells speech from music and noise without knowing the
// microphone: how the level comes and goes (Saunders 1996; Scheirer and Slaney
// 1997).
type voicing struct {
	quiet  float64 // share of 20 ms frames below half the mean amplitude
	uneven float64 // deviation of amplitude over its mean
	even   float64 // likeness of the level's rises to themselves a beat later
	sharp  float64 // share of the level's movement that is upwards: a half where it swells and ebbs, more where it is struck
}

// voicings describes 3 s about every half second; at the ends of the track less than that.
func voicings(h *heard) []voicing {
	frames := make([]float64, len(h.Power)/2) // amplitude of 20 ms
	for i := range frames {
		frames[i] = math.Sqrt(float64(h.Power[2*i]+h.Power[2*i+1]) / 2)
	}
	var out []voicing
	for c := 0; c < len(h.Power); c += voiceStep {
		a, b := max(0, (c-voiceWindow/2)/2), min(len(frames), (c+voiceWindow/2)/2)
		out = append(out, describeVoice(frames[a:b]))
	}
	return out
}

// describeVoice describes one window by its amplitudes of 20 ms. Silence is like nothing.
func describeVoice(amplitude []float64) (v voicing) {
	var sum, square float64
	for _, x := range amplitude {
		sum += x
		square += x * x
	}
	n := float64(max(len(amplitude), 1))
	mean := sum / n
	// Below -100 dB of full scale there is nothing to tell.
	if mean < 1e-5 {
		return voicing{}
	}
	// Variance as the mean of squares less the square of the mean; rounding may take it below 0.
	v.uneven = math.Sqrt(max(0, square/n-mean*mean)) / mean
	up, all := 0.0, 1e-12
	for i, x := range amplitude {
		if x < mean/2 {
			v.quiet += 1 / n
		}
		if i > 0 {
			d := x - amplitude[i-1]
			all += d * d
			up += max(0, d) * max(0, d)
		}
	}
	v.sharp = up / all
	v.even = periodicity(amplitude)
	return v
}

// periodicity is the highest autocorrelation of the amplitude's rises at lags
// of 0.2 s to 1 s, where the beats of music lie (60 to 300 a minute): 1 for rises that come
// again just so, less for speech, whose syllables keep no time. A rise is over two
// frames, 40 ms, as an attack may begin within a frame. The mean is taken off, or any
// two signals would be alike.
func periodicity(amplitude []float64) float64 {
	rise := make([]float64, len(amplitude))
	mean := 0.0
	for i := 2; i < len(rise); i++ {
		rise[i] = max(0, amplitude[i]-amplitude[i-2])
		mean += rise[i] / float64(len(rise))
	}
	for i := range rise {
		rise[i] -= mean
	}
	zero, best := 1e-12, 0.0
	for _, v := range rise {
		zero += v * v
	}
	// Frames are 20 ms: 10 to 50 of them.
	for lag := 10; lag <= 50 && lag < len(rise); lag++ {
		sum := 0.0
		for i := lag; i < len(rise); i++ {
			sum += rise[i] * (rise[i-lag])
		}
		best = max(best, sum/zero)
	}
	return best
}

// likeness of a window to speech, about 0 between the classes. The weights were
// set by hand on truth's babble and one speech synthesiser (flite) against
// truth's music and strikes. Speech is quiet often (its pauses) and uneven, and neither
// keeps a beat nor is struck; a window mostly quiet is rather single sounds in silence. What
// helps counts only so far, so that one trait in excess does not outvote the others.
func (v voicing) likeness() float64 {
	if v.uneven == 0 || v.quiet > 0.6 {
		return -2
	}
	return min(3, 10*(min(v.quiet, 0.4)-0.22)+4*(min(v.uneven, 1.1)-0.6)-6*(v.even-0.3)-20*max(0, v.sharp-0.63))
}

const (
	// Likeness at which a span opens and closes; shorter spans than shortVoice are dropped, ends
	// nearer to a turn than voiceSnap moved there. All set by hand with likeness.
	enterVoice  = 1.2
	leaveVoice  = 0.4
	shortVoice  = 4 * time.Second
	voiceSnap   = 2 * time.Second
	voiceSmooth = 4 // looks either side, 2 s
)

// voices finds spans of speech; their ends are moved to where a section turns
// if one does nearby. A span opens above enterVoice and closes below leaveVoice, both by
// the mean of 4 s, so that a breath or a bar of music does not cut it. A span that the end
// of the track finds open closes there.
func voices(h *heard, turns []Moment) []Moment {
	looks := voicings(h)
	like := make([]float32, len(looks))
	for i, v := range looks {
		like[i] = float32(v.likeness())
	}
	// sums[i] is the sum of the first i, so that the mean of any stretch costs one subtraction.
	sums := prefix(like)
	smooth := func(i int) float64 {
		a, b := max(0, i-voiceSmooth), min(len(like), i+voiceSmooth+1)
		return (sums[b] - sums[a]) / float64(b-a)
	}
	var out []Moment
	from, total := -1, 0.0
	for i := 0; i <= len(like); i++ {
		v := leaveVoice - 1
		if i < len(like) {
			v = smooth(i)
		}
		switch {
		case from < 0 && v > enterVoice:
			from, total = i, 0
		case from >= 0 && v < leaveVoice:
			out = appendVoice(out, h, turns, from, i, total/float64(i-from))
			from = -1
		}
		total += v
	}
	return out
}

// appendVoice adds a span that is long enough to be told from a solo.
func appendVoice(out []Moment, h *heard, turns []Moment, from, to int, mean float64) []Moment {
	const step = voiceStep * hop
	a, b := nearTurn(turns, time.Duration(from)*step, voiceSnap), min(nearTurn(turns, time.Duration(to)*step, voiceSnap), h.duration())
	if b-a < shortVoice {
		return out
	}
	return append(out, Moment{Kind: Voice, Time: a, End: b, Strength: unit(mean / 2),
		Why: fmt.Sprintf("%.0f s whose level comes and goes as in speech", (b - a).Seconds())})
}

// nearTurn returns the time of the turn nearest to t within reach, else t.
func nearTurn(turns []Moment, t, reach time.Duration) time.Duration {
	best := t
	for _, m := range turns {
		if d := (m.Time - t).Abs(); d < reach {
			best, reach = m.Time, d
		}
	}
	return best
}

// withoutPauses drops hushes that are pauses for breath: a second at most, amid speech or at
// its edge. A longer one is a silence that someone keeps.
func withoutPauses(hushes, voices []Moment) []Moment {
	const breath = 1000 * time.Millisecond
	var out []Moment
	for _, m := range hushes {
		amid := false
		for _, v := range voices {
			amid = amid || (m.Time > v.Time-breath && m.End < v.End+breath)
		}
		if !amid || m.End-m.Time > breath {
			out = append(out, m)
		}
	}
	return out
}
