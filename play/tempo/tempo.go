// Package tempo follows a player's beat: make a follower with [New], tell it
// each beat with Tap (or each pulse of MIDI clock with Pulse), and ask Position
// where the player is in a piece whose beats are known, so that cues on bars
// keep their place when the piece is played live.
//
// The piece is a list of beat times on the show's line. The player is a place
// x in beats and a pace r in beats a second, which run on between taps:
//
//	x(t) = x + r·(t - t0)
//
// A tap at t is taken for the whole beat k nearest to x(t), and pulls both by
// a share of its miss e = k - x(t) (an alpha-beta filter, whose gains fall
// from those of a first guess to those of a steady player):
//
//	x += α·e    r += β·e/(t - t0)
//
// Corrections are bounded: a tap that misses by more than a third of a beat is
// doubted and pulls nothing, and so is a first tap of a double. Three doubted
// taps in a row that agree with one another make a new start from the beat at
// hand. Without taps the place runs on for a beat and a quarter and then holds:
// the player has stopped, and the light waits. The next tap is the beat that
// was waited for, unless it comes just two to four beats after the last: then
// the others were forgotten.
package tempo

import (
	"math"
	"time"
)

// Follower follows one player. Its methods belong to one goroutine; times come
// from the caller and must not run backwards.
type Follower struct {
	beats []time.Duration // of the piece, ascending

	started bool
	place   float64 // beats, at the instant of at
	pace    float64 // beats a second
	at      time.Time
	last    time.Time // of the last tap that was believed
	lastOn  float64   // its beat
	parts   float64   // of a beat, of which each is told
	taps    int       // believed since the start
	doubted []time.Time
}

// Gains of the filter: alpha pulls the place, beta the pace. The steady ones
// suit taps that scatter by some 15 ms and a tempo that drifts by a few per
// cent in ten beats.
const (
	alphaFirst, alphaSteady = .9, .45
	betaFirst, betaSteady   = .6, .12
	settling                = 8 // taps until the gains are steady
	doubtBeyond             = 1. / 3
	runOn                   = 1.25 // beats without a tap until the place holds
	forgotten               = .25  // how near to whole beats a gap is forgotten taps
	slowest, fastest        = .4, 6
)

// New returns a follower of a piece whose beats are at the given times. Less
// than two beats give no pace to begin with: then 120 a minute is taken.
func New(beats []time.Duration) *Follower {
	f := &Follower{beats: beats, pace: 2}
	if len(beats) > 1 {
		if gap := beats[1] - beats[0]; gap > 0 {
			f.pace = limit(1 / gap.Seconds())
		}
	}
	return f
}

func limit(pace float64) float64 { return min(max(pace, slowest), fastest) }

// Begin says that the next tap is on this beat of the piece, counted from 0.
func (f *Follower) Begin(beat int) {
	*f = Follower{beats: f.beats, pace: f.planned(float64(beat)), place: float64(beat)}
}

// planned is the pace that the piece has at a place.
func (f *Follower) planned(beat float64) float64 {
	i := min(max(int(beat), 0), len(f.beats)-2)
	if i < 0 || f.beats[i+1] <= f.beats[i] {
		return 2
	}
	return limit(1 / (f.beats[i+1] - f.beats[i]).Seconds())
}

// Tap takes a beat of the player.
func (f *Follower) Tap(t time.Time) { f.pulse(t, 1) }

// Pulse takes one of the 24 pulses to a beat of MIDI clock.
func (f *Follower) Pulse(t time.Time) { f.pulse(t, 24) }

// pulse takes an event that comes parts times a beat.
func (f *Follower) pulse(t time.Time, parts float64) {
	f.parts = parts
	if !f.started {
		f.started, f.at, f.last, f.lastOn, f.taps = true, t, t, f.place, 1
		return
	}
	if f.taps == 1 {
		f.second(t, parts)
		return
	}
	if _, moving := f.Beat(t); !moving {
		f.resume(t, parts)
		return
	}
	x := f.free(t)
	grid := math.Round(x*parts) / parts
	miss := grid - x
	gap := t.Sub(f.last).Seconds()
	if math.Abs(miss)*parts > doubtBeyond || grid <= f.lastOn {
		f.doubt(t, parts)
		return
	}
	f.doubted = f.doubted[:0]
	n := float64(f.taps) / parts
	alpha, beta := gain(alphaFirst, alphaSteady, n)/math.Sqrt(parts), gain(betaFirst, betaSteady, n)/parts
	f.place, f.at = x+alpha*miss, t
	f.pace = limit(f.pace + beta*miss/max(gap, .05))
	f.last, f.lastOn = t, grid
	f.taps++
}

// second takes the second tap: it is the next beat, and the first measure of
// the player's own pace.
func (f *Follower) second(t time.Time, parts float64) {
	gap := t.Sub(f.last).Seconds()
	if gap*parts < 1./fastest {
		return // the first tap, twice
	}
	pace := f.pace
	if own := 1 / gap / parts; own > slowest {
		pace = own
	}
	f.restart(t, f.lastOn+1/parts, pace)
}

func gain(first, steady, taps float64) float64 {
	return steady + (first-steady)*max(0, 1-(taps-1)/settling)
}

// doubt keeps a tap that fits nothing. Three that fit one another are a player
// who has changed: the count goes on from the beat at hand, at their pace.
func (f *Follower) doubt(t time.Time, parts float64) {
	f.doubted = append(f.doubted, t)
	n := len(f.doubted)
	if n < 3 {
		return
	}
	a, b := f.doubted[n-2].Sub(f.doubted[n-3]).Seconds(), t.Sub(f.doubted[n-2]).Seconds()
	if a <= 0 || math.Abs(a-b) > .2*a {
		return
	}
	f.restart(t, f.lastOn+math.Max(1, math.Round((f.free(t)-f.lastOn)*parts))/parts, 2/(a+b)/parts)
}

// resume goes on from a stop.
func (f *Follower) resume(t time.Time, parts float64) {
	waited := f.pace * t.Sub(f.last).Seconds()
	step := 1 / parts
	if n := math.Round(waited); n >= 2 && n <= 4 && math.Abs(waited-n) < forgotten {
		step = n
	}
	f.restart(t, f.lastOn+step, f.pace)
}

func (f *Follower) restart(t time.Time, beat, pace float64) {
	f.place, f.pace, f.at = beat, limit(pace), t
	f.last, f.lastOn, f.taps = t, beat, 2
	f.doubted = f.doubted[:0]
}

// free is where the place would be at t if nothing held it.
func (f *Follower) free(t time.Time) float64 { return f.place + f.pace*t.Sub(f.at).Seconds() }

// Beat returns the place in the piece at t, in beats from its first, and
// whether it moves. Before the first tap it stands still, and so it does when
// no tap came for a beat and a quarter.
func (f *Follower) Beat(t time.Time) (beat float64, moving bool) {
	if !f.started {
		return f.place, false
	}
	x := f.free(t)
	if x > f.lastOn+runOn {
		return f.lastOn + runOn, false
	}
	return x, true
}

// Position returns the place at t on the show's line: between beats in
// proportion, outside them at the pace of the nearest.
func (f *Follower) Position(t time.Time) time.Duration {
	beat, _ := f.Beat(t)
	return At(f.beats, beat)
}

// Speed returns how fast the place moves on the show's line at t, in seconds a
// second: 1 at the pace of the rehearsal, 0 while it stands.
func (f *Follower) Speed(t time.Time) float64 {
	beat, moving := f.Beat(t)
	if !moving {
		return 0
	}
	return f.pace * (At(f.beats, math.Floor(beat)+1) - At(f.beats, math.Floor(beat))).Seconds()
}

// Overdue returns by how many beats the next tap or pulse is late at t; below 0
// it is still to come.
func (f *Follower) Overdue(t time.Time) float64 {
	if !f.started {
		return 0
	}
	return f.free(t) - f.lastOn - 1/f.parts
}

// Late returns the same as a time.
func (f *Follower) Late(t time.Time) time.Duration {
	return time.Duration(f.Overdue(t) / f.pace * 1e9)
}

// Silent returns the time since the last tap that was believed, 0 before the
// first.
func (f *Follower) Silent(t time.Time) time.Duration {
	if !f.started {
		return 0
	}
	return t.Sub(f.last)
}

// Started tells whether there was a tap since New or Begin.
func (f *Follower) Started() bool { return f.started }

// Tempo returns the player's pace in beats a minute.
func (f *Follower) Tempo() float64 { return f.pace * 60 }

// At returns the time of a place in beats on a list of beat times.
func At(beats []time.Duration, beat float64) time.Duration {
	switch n := len(beats); n {
	case 0:
		return time.Duration(beat * float64(time.Second) / 2)
	case 1:
		return beats[0] + time.Duration(beat*float64(time.Second)/2)
	default:
		i := min(max(int(math.Floor(beat)), 0), n-2)
		return beats[i] + time.Duration((beat-float64(i))*float64(beats[i+1]-beats[i]))
	}
}
