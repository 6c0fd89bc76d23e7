package play

import (
	"math"
	"time"

	"lampblack/play/clock"
)

// join is how a loop goes from its end over into its beginning: what follows To fades out
// while what leads up to From fades in.
//
//	            To − 7.5 ms   To   To + 7.5 ms
//	the pass    ━━━━━━━━━━━╲
//	                        ╲
//	the next               ╱ ━━━━━━━━━━━━━━━
//	            From − 7.5 ms From From + 7.5 ms
//
// Both sides count d from their marks, in frames; the marks stay where they are whatever
// the gains do.
//
// How loud the middle of a crossfade is depends on how alike the sides are. With gains
// that add up to 1 (equal gain) what is alike keeps its level, as music does whose marks
// fit its bars, and what is not loses 3 dB; with squares that add up to 1 (equal power) it
// is the other way round, 3 dB too loud. So the sides are compared, and the gains of a
// raised cosine c made for just that likeness r, from 0 to 1:
//
//	out = (1−c)/N, in = c/N, N² = (1−c)² + c² + 2·r·c·(1−c)
//
// which is equal gain at r = 1 and of equal power at r = 0. What is opposed (r < 0) is
// taken as unlike: to make up for what cancels would be louder than either side.
type join struct {
	from, to int64     // the marks, in frames of the track
	first    int64     // d of the first frame in which anything fades
	out, in  []float32 // gains from there on
}

const (
	// joinTime is how long a join fades: 10 to 20 ms hide the splice of most material and
	// are too short to be heard as two things at once. Common practice, no source.
	joinTime = 15 * time.Millisecond
	// leastJoin is what is left of it at the least where the track ends close to a mark.
	leastJoin = 10 * time.Millisecond
)

// newJoin plans the join of a loop. Where there is too little of the track behind To or
// ahead of From the fade moves to the side of the marks on which there is enough. Where
// neither has enough, as when the whole track is the loop, nothing can be crossed: the
// end fades out up to its mark, and the beginning in from its own.
func newJoin(track *pcm, l clock.Loop) join {
	j := join{from: track.frame(l.From), to: min(track.frame(l.To), track.frames())}
	width := track.frame(joinTime)
	last := min(width/2, track.frames()-j.to) // of the fade, and the frame after it
	j.first = max(last-width, -j.from)
	last = min(j.first+width, track.frames()-j.to)
	if last-j.first < track.frame(leastJoin) {
		j.apart(width / 2)
		return j
	}
	j.crossed(last-j.first, j.likeness(track, last))
	return j
}

// crossed makes the gains of a crossfade of n frames.
func (j *join) crossed(n int64, r float64) {
	for i := range n {
		c := raised(i, n)
		norm := math.Sqrt((1-c)*(1-c) + c*c + 2*r*c*(1-c))
		j.out, j.in = append(j.out, float32((1-c)/norm)), append(j.in, float32(c/norm))
	}
}

// apart makes the gains of n frames that fade out and n that fade in behind them.
func (j *join) apart(n int64) {
	j.first = -n
	j.out, j.in = make([]float32, 2*n), make([]float32, 2*n)
	for i := range n {
		j.out[i], j.in[n+i] = float32(1-raised(i, n)), float32(raised(i, n))
	}
}

// raised is a raised cosine from 0 to 1 over n frames.
func raised(i, n int64) float64 { return (1 - math.Cos(math.Pi*(float64(i)+.5)/float64(n))) / 2 }

// likeness is the correlation of the sides over the fade, of all channels together. Where
// a side is silent the other has the plain gain.
func (j *join) likeness(track *pcm, last int64) float64 {
	var both, out, in float64
	for d := j.first; d < last; d++ {
		for c := range track.channels {
			a, b := float64(track.at(j.to+d, c)), float64(track.at(j.from+d, c))
			both, out, in = both+a*b, out+a*a, in+b*b
		}
	}
	if out == 0 || in == 0 {
		return 1
	}
	return min(max(both/math.Sqrt(out*in), 0), 1)
}

// end is the frame after the fade, counted as d is.
func (j *join) end() int64 { return j.first + int64(len(j.out)) }

// gains returns those of frame d.
func (j *join) gains(d int64) (out, in float32) {
	switch i := d - j.first; {
	case i < 0:
		return 1, 0
	case i >= int64(len(j.out)):
		return 0, 1
	default:
		return j.out[i], j.in[i]
	}
}

// mix writes n frames from d on, where the old pass is at frame out of the track and the
// new one at in.
func (j *join) mix(dst []int16, track *pcm, d, out, in, n int64) {
	for i := range n {
		a, b := j.gains(d + i)
		for c := range track.channels {
			v := a*float32(track.at(out+i, c)) + b*float32(track.at(in+i, c))
			dst[int(i)*track.channels+c] = rounded(v)
		}
	}
}

// rounded is the nearest sample to v.
func rounded(v float32) int16 {
	return int16(min(max(math.Round(float64(v)), math.MinInt16), math.MaxInt16))
}
