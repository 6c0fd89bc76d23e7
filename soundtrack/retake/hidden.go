package retake

import "math"

// Where nothing can be heard, signs and codes say nothing. What is left is the
// level: on its line the new track must be as loud as the old one was, under the
// gain of the run, or as loud as the noise that covers it.

const (
	// sameLevel is how far levels may lie apart, half decibels.
	sameLevel = 10
	// covered is how far above the quietest sound of the new track a sound may
	// lie and still be covered by it, half decibels.
	covered = 16
	// leak is how far a frame hears loud sound beside it, samples: 0.2 s.
	leak = frameLength / 2
)

// gain is by how much the new track is louder along a run, half decibels: the
// middle of the differences.
func (a *aligner) gain(r *run) int {
	var all []float64
	for at := r.from; at <= r.to; at += hop {
		n, o := a.t.levelAt(at), a.p.levelAt(r.place(at))
		if n > 0 && o > 0 {
			all = append(all, float64(n)-float64(o))
		}
	}
	return int(quantile(all, 0.5))
}

// fits tells whether the level at a new time is that of the old sound, or of
// noise over it, and whether that noise, or silence, is all there is to hear.
func (a *aligner) fits(r *run, at float64) (same, silent bool) {
	floor := int(a.floor)
	expected := max(int(a.p.levelAt(r.place(at)))+r.gain, floor)
	got := max(int(a.t.levelAt(at)), floor)
	return max(got-expected, expected-got) <= sameLevel, expected <= floor+covered
}

// hidden tells whether what lies in a gap of a run can be the old sound, too soft
// to be heard.
func (a *aligner) hidden(r *run, gap span) bool {
	for at := gap.from; at < gap.to; at += hop {
		same, silent := a.fits(r, at)
		inside := at > gap.from+leak && at < gap.to-leak
		if !same || inside && !silent {
			return false
		}
	}
	return true
}

// reach follows a run from one of its ends into silence, in direction -1 or 1, up
// to a limit in new time, and returns how far it goes. Frames near the end still
// hear the sound there, and what a codec smears; so the first 0.2 s are passed over
// and count only when silence lies behind them.
func (a *aligner) reach(r *run, from, limit float64, direction int, free func(old float64) bool) float64 {
	const step = hop / 5
	end := from
	for at := from; float64(direction)*(limit-at) > 0 && free(r.place(at)); at += float64(direction) * step {
		if math.Abs(at-from) < leak {
			continue
		}
		if same, silent := a.fits(r, at); !same || !silent {
			break
		}
		end = at
	}
	if end == from {
		return from
	}
	if math.Abs(limit-end) <= 2*step || math.Abs(limit-end) < leak && limit != 0 && limit != float64(len(a.t.signal)) {
		return limit // the last frames hear the sound behind the silence
	}
	return end
}
