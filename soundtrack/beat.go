package soundtrack

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// TempoSpan is a stretch of even tempo, or one without a steady beat.
type TempoSpan struct {
	From, To  time.Duration
	BPM       float64 // beats a minute, 0 where there is no steady beat
	BeatsABar int     // 0 where no bar was found
}

// Beats is one way to count the track.
type Beats struct {
	Name  string // one of Counts
	BPM   float64
	Score float64         // 0..1: how much more pulse falls on these beats than between them
	Times []time.Duration // of the beats
	First []int           // per beat: its place in the bar from 1, 0 where no bar was found
	Sure  []float64       // per beat: 0..1
}

// Counts names the ways to count: as found, every other beat, twice as many,
// on what was taken for off-beats.
var Counts = []string{"as heard", "half", "double", "shifted"}

// pulseAt is the pulse within a step of t.
func pulseAt(p []float32, t time.Duration) float64 {
	k := int((t + hop) / (2 * hop))
	return float64(max(at(p, k-1), at(p, k), at(p, k+1)))
}

// hypotheses returns the ways to count the track, as found first.
func hypotheses(h *heard, hits []peak) []Beats {
	p := pulse(h)
	times := steadyOnly(p, onHits(countBeats(p), hits))
	if len(times) < 4 {
		return nil
	}
	times = halved(h, times)
	if phaseEvidence(h, times) > leastShift {
		times = between(times)
	}
	var half, shifted []time.Duration
	for i := 0; i < len(times); i += 2 {
		half = append(half, times[i])
	}
	middles := between(times)
	shifted = append(shifted, middles...)
	double := slices.Sorted(slices.Values(append(middles, times...)))
	out := []Beats{}
	for i, t := range [][]time.Duration{times, half, double, shifted} {
		b := Beats{Name: Counts[i], Times: t, BPM: medianBPM(t)}
		if b.BPM < 30 || b.BPM > 320 {
			continue
		}
		b.Score, b.Sure = support(p, t)
		b.First = bars(h, t)
		out = append(out, b)
	}
	return out
}

// alternation says how differently every other beat is stressed, in deviations
// averaged over stretches of 16 beats, and whether the even ones (the first
// among them) have the stress. The beats of a bar with bass on every other reach
// 1.3; beats with off-beats counted among them lie above 1.5.
func alternation(h *heard, beats []time.Duration) (strength float64, even bool) {
	const stretch = 16
	weight := accentsBy(h, beats, beatWeights)
	var total, n, signed float64
	for a := 0; a+stretch <= len(weight); a += stretch {
		d := 0.0
		for i, w := range weight[a : a+stretch] {
			d += w * float64(1-2*(i%2)) / (stretch / 2)
		}
		total, n, signed = total+math.Abs(d), n+1, signed+d
	}
	return total / max(n, 1), signed >= 0
}

// halved drops every other beat where these are off-beats. The faster the
// count, the less it takes.
func halved(h *heard, beats []time.Duration) []time.Duration {
	bpm := medianBPM(beats)
	strength, even := alternation(h, beats)
	if bpm < 110 || strength < 1.45-0.3*math.Log2(bpm/120) {
		return beats
	}
	var out []time.Duration
	for i, t := range beats {
		if (i%2 == 0) == even {
			out = append(out, t)
		}
	}
	return out
}

// beatWeights tell beats from off-beats: bass and new harmony come on the beat,
// whatever is stressed (common practice, no source).
var beatWeights = accentWeights{low: 1, loud: 0.2, harmony: 0.6}

// leastShift is the evidence above which the middles between the beats are
// taken for the beats.
const leastShift = 0.8

// phaseEvidence says how much more the middles between the beats sound like
// beats than the beats do, in deviations; it is negative for the beats.
func phaseEvidence(h *heard, beats []time.Duration) float64 {
	all := slices.Sorted(slices.Values(append(between(beats), beats...)))
	if len(all) < 8 {
		return 0
	}
	weight := accentsBy(h, all, beatWeights)
	var on, off, nOn, nOff float64
	k := 0
	for i, t := range all {
		if k < len(beats) && beats[k] == t {
			on, nOn = on+weight[i], nOn+1
			k++
		} else {
			off, nOff = off+weight[i], nOff+1
		}
	}
	return off/max(nOff, 1) - on/max(nOn, 1)
}

// between returns the middles of intervals that are no gap in the count.
func between(t []time.Duration) (out []time.Duration) {
	for i := 1; i < len(t); i++ {
		if t[i]-t[i-1] < longestInterval {
			out = append(out, (t[i-1]+t[i])/2)
		}
	}
	return out
}

// longestInterval between beats of one count; a longer one is a gap.
const longestInterval = 1300 * time.Millisecond

// onHits moves each beat to the surest hit within reach, and a beat without
// one to the middle of its neighbours' pull.
func onHits(steps []int, hits []peak) []time.Duration {
	const reach = 0.045 // s
	var out []time.Duration
	moved := make([]bool, len(steps))
	k := 0
	for i, s := range steps {
		t := float64(s) / countRate
		for k < len(hits) && hits[k].Time < t-reach {
			k++
		}
		best := -1.0
		at := t
		for j := k; j < len(hits) && hits[j].Time <= t+reach; j++ {
			if v := hits[j].Score - math.Abs(hits[j].Time-t)/reach*0.5; v > best {
				best, at, moved[i] = v, hits[j].Time, true
			}
		}
		out = append(out, time.Duration(at*float64(time.Second)))
	}
	for i := 1; i+1 < len(out); i++ {
		if mid := (out[i-1] + out[i+1]) / 2; !moved[i] && (mid-out[i]).Abs() < 40*time.Millisecond {
			out[i] = mid
		}
	}
	return out
}

const (
	// steadySpan is the number of beats either side over which a beat's
	// support is averaged.
	steadySpan = 12
	// leastSupport is the mean pulse, over that between beats, below which
	// there is no steady beat. Strikes at random reach 0.5, played
	// music lies above 0.7.
	leastSupport = 0.57
)

// steadyOnly drops beats amid which the pulse is not on the beats.
func steadyOnly(p []float32, beats []time.Duration) []time.Duration {
	_, sure := support(p, beats)
	var out []time.Duration
	for i, t := range beats {
		if sure[i] >= leastSupport {
			out = append(out, t)
		}
	}
	return out
}

// support returns how much more pulse there is on the beats than at the
// quarters between them, over all and around each beat.
func support(p []float32, beats []time.Duration) (all float64, sure []float64) {
	on := make([]float32, len(beats))
	for i, t := range beats {
		d := 500 * time.Millisecond
		if i > 0 {
			d = t - beats[i-1]
		}
		if i+1 < len(beats) {
			d = min(d, beats[i+1]-t)
		}
		off := 0.5 * (pulseAt(p, t-d/4) + pulseAt(p, t+d/4))
		on[i] = float32(pulseAt(p, t) - off)
	}
	sums := prefix(on)
	sure = make([]float64, len(beats))
	for i := range sure {
		a, b := max(i-steadySpan, 0), min(i+steadySpan+1, len(beats))
		sure[i] = min(max((sums[b]-sums[a])/float64(b-a), 0), 1)
	}
	return min(max(sums[len(beats)]/float64(max(len(beats), 1)), 0), 1), sure
}

func medianBPM(t []time.Duration) float64 {
	var d []time.Duration
	for i := 1; i < len(t); i++ {
		if v := t[i] - t[i-1]; v > 0 && v < 2*longestInterval {
			d = append(d, v)
		}
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return 60 / d[len(d)/2].Seconds()
}

// moments writes the beats and bars of one count.
func (b Beats) moments() []Moment {
	var out []Moment
	bar := 0
	for i, t := range b.Times {
		m := Moment{Kind: Beat, Time: t, End: t, Strength: b.Sure[i]}
		if first := b.First[i]; first > 0 {
			if first == 1 || bar == 0 {
				bar++
			}
			m.Bar, m.Beat = bar, first
		}
		m.Why = fmt.Sprintf("beat at %.0f a minute, %s", b.around(i), b.Name)
		if m.Beat == 1 {
			out = append(out, Moment{Kind: Bar, Time: t, End: t, Strength: b.Sure[i], Bar: bar, Beat: 1,
				Why: fmt.Sprintf("bar %d, by bass, loudness and change of harmony", bar)})
		}
		out = append(out, m)
	}
	return out
}

// around is the tempo about beat i.
func (b Beats) around(i int) float64 {
	return medianBPM(b.Times[max(i-4, 0):min(i+5, len(b.Times))])
}

// spans cuts the track into stretches of even tempo and meter.
func (b Beats) spans(length time.Duration) []TempoSpan {
	var out []TempoSpan
	add := func(s TempoSpan) {
		if s.To <= s.From {
			return
		}
		if n := len(out); n > 0 && out[n-1].BeatsABar == s.BeatsABar && out[n-1].To == s.From && even(out[n-1].BPM, s.BPM) {
			out[n-1].To = s.To
			return
		}
		out = append(out, s)
	}
	last := time.Duration(0)
	meter := b.meters()
	for i := 0; i+1 < len(b.Times); i++ {
		from, to := b.Times[i], b.Times[i+1]
		if to-from > 2*longestInterval {
			continue
		}
		if from > last {
			add(TempoSpan{From: last, To: from})
		}
		add(TempoSpan{from, to, math.Round(b.around(i)*10) / 10, meter[i]})
		last = to
	}
	add(TempoSpan{From: last, To: length})
	return out
}

// even says whether two tempi differ by less than 4 %.
func even(a, b float64) bool { return a == b || (a > 0 && b > 0 && math.Abs(math.Log(a/b)) < 0.04) }

// meters gives, per beat, the number of beats of the bar that it lies in.
func (b Beats) meters() []int {
	out := make([]int, len(b.Times))
	for i := 0; i < len(out); {
		k := i + 1
		for k < len(out) && b.First[k] > b.First[k-1] {
			k++
		}
		for j := i; j < k; j++ {
			out[j] = b.First[k-1]
		}
		i = k
	}
	return out
}
