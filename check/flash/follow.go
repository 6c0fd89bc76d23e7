package flash

import "time"

// Lead is the leading edge of a flash that a change has just completed.
type Lead struct {
	At time.Duration
	Up bool // begins with a rise, or toward red
}

// RedFollower follows the red flashes of a spot while it goes on, as [RedFlashes] finds them in
// what is over. It allocates nothing once it is made. What it is given in turn comes from one
// [Instants], as with a [Follower].
type RedFollower struct {
	rule   *Rule
	since  visited
	values [mostFollowed]float32 // redness, by instant
	way    way                   // the last change
	found  time.Duration         // and when it was found
	led    dated
}

// dated is when a change to an extreme was half done, once that is left.
type dated struct {
	of   int // at which instant the extreme was
	some bool
	at   time.Duration
	left time.Duration // when the extreme was left
}

// FollowRed begins to follow a spot. few bounds what it remembers of the states since
// the last change, which it thins out when it has more: at least twice the directions
// that it keeps the farthest of.
func FollowRed(r *Rule, few int) RedFollower {
	few = max(few, 2*directions+1)
	return RedFollower{rule: r, since: visited{few: few, states: make([]chroma, 0, few+1)}, way: newWay()}
}

// Next tells whether the colour at the last instant would complete a flash, without taking it.
func (f *RedFollower) Next(t *Instants, c Colour) (lead Lead, completes bool) {
	now := f.rule.chroma(t.last(), c)
	from, _, changes := f.since.far(now, f.rule.Distance, f.way.direction)
	if !changes || f.way.direction == 0 {
		return Lead{}, false
	}
	f.leave(t)
	v := f.rule.redness(c)
	f.values[(t.count-1)%mostFollowed] = v
	back := f.way
	back.turn(-f.way.direction)
	back.see(t.count-1, v)
	second, known := f.half(t, &back, middle(&from, &now))
	if !known {
		second = f.led.left // or later
	}
	return Lead{f.led.at, f.way.direction > 0}, f.led.some && second-f.led.at <= Pairing
}

// leave dates the last change as far as it has come, while the values on the way there are
// remembered.
func (f *RedFollower) leave(t *Instants) {
	l := &f.led
	if to := f.way.to.index; l.of != to || !l.some {
		l.at, l.some = f.half(t, &f.way, f.found)
		l.of, l.left = to, t.when(to)
	}
}

// half is way.half; it is not known when it lies too far back.
func (f *RedFollower) half(t *Instants, w *way, found time.Duration) (at time.Duration, known bool) {
	if !w.tells() {
		return found, true
	}
	return crossed(&f.values, t, (w.from.value+w.to.value)/2, w.from.index, w.to.index)
}

// Take takes the colour at the last instant.
func (f *RedFollower) Take(t *Instants, c Colour) {
	i := t.count - 1
	f.values[i%mostFollowed] = f.rule.redness(c)
	now := f.rule.chroma(t.last(), c)
	from, direction, changes := f.since.far(now, f.rule.Distance, f.way.direction)
	if changes {
		f.way.turn(direction)
		f.found = middle(&from, &now)
		f.led.some = false
		f.since.forget()
	}
	f.since.add(now)
	f.way.see(i, f.values[i%mostFollowed])
	if f.way.direction != 0 && f.way.to.index != i {
		f.leave(t)
	}
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

	led dated // of the last change
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

// last is the last instant.
func (t *Instants) last() time.Duration { return t.when(t.count - 1) }

// when is an instant that is remembered.
func (t *Instants) when(i int) time.Duration { return t.at[i%mostFollowed] }

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
	second, some := crossed(&f.values, t, (to+v)/2, 0, t.count-1)
	if !some {
		second = f.led.left // or later
	}
	return Lead{f.led.at, f.up}, f.led.some && second-f.led.at <= Pairing
}

// leave dates the change to the extreme that the values have just left, while those on the
// way there are remembered.
func (f *Follower) leave(t *Instants) {
	to := f.highAt
	if !f.up {
		to = f.lowAt
	}
	if l := &f.led; l.of != to || !l.some {
		l.at, l.some = crossed(&f.values, t, (f.low+f.high)/2, 0, to)
		l.of, l.left = to, t.when(to)
	}
}

// crossed is the last time before an instant at which a value was passed, as of a change
// in package edge, which began at another; it is not known when it lies too far back.
func crossed(values *[mostFollowed]float32, t *Instants, middle float32, from, to int) (at time.Duration, known bool) {
	if to <= t.count-1-mostFollowed {
		return 0, false
	}
	end := values[to%mostFollowed]
	for i := to; i > max(from, t.count-mostFollowed); i-- {
		was, v := values[(i-1)%mostFollowed], values[i%mostFollowed]
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
		f.high, f.highAt, f.led.some = v, now, false
	case f.up && r.Counts(float64(v), float64(f.high)):
		f.up, f.low, f.lowAt, f.led.some = false, v, now, false
	case !f.up && v <= f.low:
		f.low, f.lowAt, f.led.some = v, now, false
	case !f.up && r.Counts(float64(f.low), float64(v)):
		f.up, f.high, f.highAt, f.led.some = true, v, now, false
	default:
		f.leave(t)
	}
}
