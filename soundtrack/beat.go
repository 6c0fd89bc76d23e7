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

// hypotheses returns the ways to count the track, as found first. The steps are: how likely a
// beat is at each instant, where a hand round a dial would be, put onto the hits, without the
// stretches in which nothing is steady.
func hypotheses(h *heard, hits []peak) []Beats {
	a := activate(beatNet, rhythm(h))
	times := fromStart(a.steadyOnly(onHits(countBeats(a.beat), hits), hits))
	if len(times) < 4 {
		return nil
	}
	var half []time.Duration
	for i := 0; i < len(times); i += 2 {
		half = append(half, times[i])
	}
	shifted := between(times)
	double := slices.Sorted(slices.Values(append(slices.Clone(shifted), times...)))
	out := []Beats{}
	for i, t := range [][]time.Duration{times, half, double, shifted} {
		b := Beats{Name: Counts[i], Times: t, BPM: medianBPM(t)}
		// Nobody counts so slowly or so fast.
		if b.BPM < 30 || b.BPM > 320 {
			continue
		}
		b.Score, b.Sure = a.support(t)
		b.First = a.bars(t)
		out = append(out, b)
	}
	return out
}

// fromStart puts a beat on a hit that seems to begin before the sound onto its start.
func fromStart(t []time.Duration) []time.Duration {
	for i := range t {
		t[i] = max(t[i], 0)
	}
	return t
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

// medianBPM is the tempo of the middle interval; gaps in the count are none.
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

// around is the tempo about beat i, of the four intervals on either side.
func (b Beats) around(i int) float64 {
	return medianBPM(b.Times[max(i-4, 0):min(i+5, len(b.Times))])
}

// spans cuts the track into stretches of even tempo and meter, back to back from its beginning
// to its end: intervals that agree with the stretch before them are added to it.
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

// meters gives, per beat, the number of beats of the bar that it lies in: the place of the
// bar's last beat. A bar goes on while places rise.
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
