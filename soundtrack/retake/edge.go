package retake

import (
	"math"
	"math/bits"
)

// evidence is the logarithm of how much likelier it is that a sign agrees, or
// does not, on the line than off it.
type evidence struct{ same, other float64 }

// evidence takes the share of signs that agree along the run for what is likely on the
// line; off it half of them agree.
func (r *run) evidence() evidence {
	p := math.Min(math.Max(r.agree, 0.6), 0.85) // soft passages agree less than most
	return evidence{math.Log(p / 0.5), math.Log((1 - p) / 0.5)}
}

const (
	// edgeReach is how far from its last sure place a run is followed, samples.
	edgeReach = 20 * rate
	// edgePatience is how far an edge is sought behind the last place that spoke
	// for the run: rests between notes drown in noise.
	edgePatience = 4 * rate
)

// edge follows the run from a new time in direction -1 or 1 and returns where the
// evidence for it is greatest: where it ends. It is the sum of logarithms, sign after sign,
// whose highest point is the likeliest place of a change (a CUSUM test); each 64 signs are
// compared at once.
func (a *aligner) edge(r *run, from float64, direction int) float64 {
	e := r.evidence()
	sum, top := 0.0, 0.0
	end := from
	const chunk = 64
	var wide [1]uint64
	for done := 0; done < edgeReach; done += chunk {
		start := from + float64(direction*done)
		if direction < 0 {
			start -= chunk
		}
		if start < 0 || start+chunk > float64(len(a.t.signal)) {
			break
		}
		old := r.place(start)
		if old < 0 || old+chunk > float64(a.p.signs.n) {
			break
		}
		differ := a.differ(wide[:0], r, start, chunk)
		if differ == 0 && a.p.signs.word(int(math.Ceil(old))) == 0 {
			continue // silence agrees with silence and proves nothing
		}
		for k := range chunk {
			bit := k
			if direction < 0 {
				bit = chunk - 1 - k
			}
			if differ>>bit&1 == 0 {
				sum += e.same
			} else {
				sum += e.other
			}
			if sum > top {
				top, end = sum, from+float64(direction*(done+k+1))
			}
		}
		if float64(direction)*(start-end) > edgePatience {
			break
		}
	}
	return end
}

// differ returns for 64 signs from the new time start on where old and new differ.
// New signs are read on the grid of the old track.
func (a *aligner) differ(buf []uint64, r *run, start float64, n int) uint64 {
	old := r.place(start)
	slope := (r.place(start+float64(n)) - old) / float64(n)
	k0 := int(math.Ceil(old))
	buf = a.t.readSigns(buf, start+(float64(k0)-old)/slope, 1/slope, n)
	return buf[0] ^ a.p.signs.word(k0)
}

// part is a stretch of a run in new time.
type part struct {
	from, to float64
	good     bool
}

const (
	// stretch is the unit in which a run is looked through, samples: 0.13 s.
	stretch = 640
	// holes shorter than this many units are no edits.
	leastHole = 3
)

// lookThrough finds the stretches within a run where the signs do not agree
// although there is something to hear.
func (a *aligner) lookThrough(r *run) (parts []part) {
	limit := 0.5 + 0.35*(math.Min(r.agree, 0.97)-0.5)
	bad := 0
	flush := func(end float64) {
		if bad >= leastHole {
			parts = append(parts, part{end - float64(bad*stretch), end, false})
		}
		bad = 0
	}
	at := r.from
	for ; at+stretch <= r.to; at += stretch {
		if a.agreeing(r, at, stretch) < limit && a.audible(r, at) {
			bad++
		} else {
			flush(at)
		}
	}
	flush(at)
	return parts
}

// agreeing returns the share of signs that agree in n samples from at on.
func (a *aligner) agreeing(r *run, at float64, n int) float64 {
	wrong := 0
	var buf [1]uint64
	for k := 0; k < n; k += 64 {
		wrong += bits.OnesCount64(a.differ(buf[:0], r, at+float64(k), 64))
	}
	return 1 - float64(wrong)/float64(n)
}

// audible tells whether the new or the old track is not quiet there.
func (a *aligner) audible(r *run, at float64) bool {
	return a.t.levelAt(at) > 0 || a.p.levelAt(r.place(at)) > 0
}

func (t *take) levelAt(at float64) uint8  { return levelAt(t.level, at) }
func (p *Print) levelAt(at float64) uint8 { return levelAt(p.level, at) }

// levelAt is the level of the frame nearest to a sample; outside it is quiet.
func levelAt(level []uint8, at float64) uint8 {
	i := int(at/hop + 0.5)
	if i < 0 || i >= len(level) {
		return 0
	}
	return level[i]
}

// settle finds where a run begins and ends, and cuts it where its inside is
// something else. It returns the pieces. A hole is looked at from both sides: the run before
// it is followed forward to its end, the run behind it backward to its beginning. When one of
// the two runs through, there was no hole. What is shorter than a quarter of a second after
// all is not kept.
func (a *aligner) settle(r *run) (pieces []*run) {
	middle := math.Min(rate, (r.to-r.from)/4)
	r.from = math.Max(a.edge(r, r.from+middle, -1), 0)
	r.to = math.Min(a.edge(r, r.to-middle, 1), float64(len(a.t.signal)))
	r.gain = a.gain(r)
	if r.to-r.from < rate/4 {
		return nil
	}
	from := r.from
	for _, hole := range a.lookThrough(r) {
		if a.hidden(r, span{hole.from, hole.to}) {
			continue
		}
		before, after := *r, *r
		before.from, before.to = from, math.Max(from, a.edge(r, math.Max(hole.from-rate/4, from), 1))
		if before.to-before.from > rate/4 && before.to < hole.to {
			pieces = append(pieces, &before)
		}
		from = a.edge(&after, math.Min(hole.to+rate/4, r.to), -1)
		if before.to >= hole.to || from <= hole.from { // the hole was none after all
			from = before.from
			if len(pieces) > 0 && pieces[len(pieces)-1] == &before {
				pieces = pieces[:len(pieces)-1]
			}
		}
	}
	last := *r
	last.from = from
	if last.to-last.from > rate/4 {
		pieces = append(pieces, &last)
	}
	return pieces
}
