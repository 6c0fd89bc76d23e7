package flash

import "time"

// Lead is the leading edge of a flash that a change has just completed.
type Lead struct {
	At time.Duration
	Up bool // begins with a rise, or toward red
}

// RedFollower follows the red flashes of a spot while it goes on, as [RedFlashes] finds them in
// what is over. It allocates nothing once it is made.
type RedFollower struct {
	rule   *Rule
	since  visited
	last   int           // direction of the last change, 0 for none
	lastAt time.Duration // and when it was
}

// FollowRed begins to follow a spot. few bounds what it remembers of the states since
// the last change, which it thins out when it has more: at least twice the directions
// that it keeps the farthest of.
func FollowRed(r *Rule, few int) RedFollower {
	few = max(few, 2*directions+1)
	return RedFollower{rule: r, since: visited{few: few, states: make([]chroma, 0, few+1)}}
}

// Next tells whether the colour at an instant would complete a flash, without taking it.
func (f *RedFollower) Next(at time.Duration, c Colour) (lead Lead, completes bool) {
	now := f.rule.chroma(at, c)
	from, _, changes := f.since.far(now, f.rule.Distance, f.last)
	if !changes || f.last == 0 || middle(&from, &now)-f.lastAt > Pairing {
		return Lead{}, false
	}
	return Lead{f.lastAt, f.last > 0}, true
}

// Take takes the colour at an instant.
func (f *RedFollower) Take(at time.Duration, c Colour) {
	now := f.rule.chroma(at, c)
	from, direction, changes := f.since.far(now, f.rule.Distance, f.last)
	if changes {
		f.last, f.lastAt = direction, middle(&from, &now)
		f.since.forget()
	}
	f.since.add(now)
}

// mostFollowed is how many values a Follower remembers: of a second and a half at 44
// frames a second, more than there may lie between the changes of a flash.
const mostFollowed = 66

// Follower follows the general flashes of a spot while it goes on, as [General] finds them in what
// is over. The zero value has seen nothing. What it is given in turn comes from one
// [Instants], which many of them share.
type Follower struct {
	values    [mostFollowed]float32 // the last ones, by instant
	low, high float32               // the extremes since the last change
	lowAt     int                   // and at which instant they were
	highAt    int
	up, known bool

	lead     time.Duration // of the change to the extreme at which leadOf is, once that is left
	leadOf   int
	leadSome bool
	left     time.Duration // when it was left
}

// Instants are those at which followers were given a value: the last of them, in a ring.
type Instants struct {
	at    [mostFollowed]time.Duration
	count int
}

// Add takes the next instant. Values of it are then asked for, and taken.
func (t *Instants) Add(at time.Duration) {
	t.at[t.count%mostFollowed] = at
	t.count++
}

// None tells whether there were none yet.
func (t *Instants) None() bool { return t.count == 0 }

// Next tells whether a value at the last instant would complete a flash, without taking it.
func (f *Follower) Next(r *Rule, t *Instants, v float32) (lead Lead, completes bool) {
	switch {
	case !f.known:
		return Lead{}, false
	case f.up && (v >= f.high || !r.Counts(float64(v), float64(f.high))):
		return Lead{}, false
	case !f.up && (v <= f.low || !r.Counts(float64(f.low), float64(v))):
		return Lead{}, false
	}
	f.values[(t.count-1)%mostFollowed] = v
	to := f.high
	if !f.up {
		to = f.low
	}
	f.leave(t)
	second, some := f.crossed(t, (to+v)/2, t.count-1)
	if !some {
		second = f.left // or later
	}
	return Lead{f.lead, f.up}, f.leadSome && second-f.lead <= Pairing
}

// leave dates the change to the extreme that the values have just left, while those on the
// way there are remembered.
func (f *Follower) leave(t *Instants) {
	at := f.highAt
	if !f.up {
		at = f.lowAt
	}
	if f.leadOf != at || !f.leadSome {
		f.lead, f.leadSome = f.crossed(t, (f.low+f.high)/2, at)
		f.leadOf, f.left = at, t.at[at%mostFollowed]
	}
}

// crossed is the last time before an instant at which a value was passed, as of a change
// in package edge; it is not known when it lies too far back.
func (f *Follower) crossed(t *Instants, middle float32, to int) (at time.Duration, known bool) {
	end := f.values[to%mostFollowed]
	for i := to; i > max(0, t.count-mostFollowed); i-- {
		was, v := f.values[(i-1)%mostFollowed], f.values[i%mostFollowed]
		if was == middle || (was > middle) != (end > middle) {
			a, b := t.at[(i-1)%mostFollowed], t.at[i%mostFollowed]
			share := float64(middle-was) / float64(v-was)
			return (a + time.Duration(share*float64(b-a))).Round(time.Microsecond), true
		}
	}
	return 0, false
}

// Take takes the value at the last instant.
func (f *Follower) Take(r *Rule, t *Instants, v float32) {
	now := t.count - 1
	f.values[now%mostFollowed] = v
	switch {
	case now == 0:
		f.low, f.high, f.lowAt, f.highAt = v, v, now, now
	case !f.known:
		if v <= f.low {
			f.low, f.lowAt = v, now
		}
		if v >= f.high {
			f.high, f.highAt = v, now
		}
		f.known, f.up = r.Counts(float64(f.low), float64(f.high)), f.lowAt < f.highAt
	case f.up && v >= f.high:
		f.high, f.highAt, f.leadSome = v, now, false
	case f.up && r.Counts(float64(v), float64(f.high)):
		f.up, f.low, f.lowAt, f.leadSome = false, v, now, false
	case !f.up && v <= f.low:
		f.low, f.lowAt, f.leadSome = v, now, false
	case !f.up && r.Counts(float64(f.low), float64(v)):
		f.up, f.high, f.highAt, f.leadSome = true, v, now, false
	default:
		f.leave(t)
	}
}
