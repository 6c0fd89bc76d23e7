package living

import (
	"fmt"
	"math"
	"sync"
	"time"

	"lampblack/soundtrack"
)

// Ear is sound that is heard as it comes, as light goes by it: events as [Events] has them
// from a file, and levels as [Follow] has. It is told by one goroutine, by [Ear.Hear], and asked
// by another, which first says the instant of its next frame by [Ear.Go]. Instants only go
// on; none of the calls that a frame makes allocates, but for the first of each kind.
//
// Where the beat is sure, the next one is said ahead, since frames are made before they are seen.
// An event that has come stays where it came, whatever is heard later. Where the beat is not
// sure, hits stand in, each from the frame at which it is known; where none comes for long, slow
// time. Bars are four beats, counted from the first of a sure beat.
type Ear struct {
	mu    sync.Mutex
	queue [64]told // a ring: what was heard and not yet taken; the oldest goes first
	first int
	count int

	now      time.Duration
	newest   told
	last     time.Duration // of the ear's line, when something was told
	began    bool          // something was told
	away     bool          // nothing is told any more
	silent   time.Duration // since when it is silent, or away; Never where it is not
	unsure   time.Duration // since when no beat is sure
	hit      time.Duration // the last, as it was known
	hits     int           // of newest that were taken
	struck   bool          // a hit since the last frame
	sure     bool
	beats    int           // counted since it is sure
	beat     time.Duration // the last that has come
	next     time.Duration // the next that is expected; Never where none is
	period   time.Duration
	hushed   float64
	asked    []*heardBeats
	followed []*heardLoud
}

// told is what was heard, and how much later its times are on the ear's line.
type told struct {
	soundtrack.Heard
	shift time.Duration
}

const (
	earHop    = 10 * time.Millisecond // between values of loudness that are told
	earAway   = 500 * time.Millisecond
	lessSure  = .8               // of SureBeat, below which a beat that was sure is not: it would else come and go
	hushAfter = time.Second      // of silence that was told, which is two seconds of it
	lostFor   = 30 * time.Second // without a sure beat
	hitsGone  = 10 * time.Second // and without a hit
	hushOver  = 4 * time.Second
	hushBack  = time.Second
	oldBeat   = 10 * time.Second // a beat that was, or will be, longer from now is none
	// shortestBeat is less than any time between beats that is counted.
	shortestBeat = 100 * time.Millisecond
	mostAsked    = 64 // kinds of events, and of levels, that are kept
	foretold     = 8  // beats ahead
	keptEvents   = 32 // more than any movement looks back
)

// NewEar returns an ear that has heard nothing.
func NewEar() *Ear { return &Ear{next: Never, hit: -hitsGone, hits: -1, now: -1} }

// Hear tells what is known by now; room is when the sound at h.At was in the room, on the ear's line.
func (e *Ear) Hear(h soundtrack.Heard, room time.Duration) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.count == len(e.queue) {
		e.first, e.count = (e.first+1)%len(e.queue), e.count-1
	}
	e.queue[(e.first+e.count)%len(e.queue)] = told{h, room - h.At}
	e.count++
}

// Go says when the next frame is seen. An instant before the last is the last.
func (e *Ear) Go(now time.Duration) {
	if e.now < 0 {
		e.now, e.last, e.silent, e.unsure, e.beat = now, now-earAway, now, now, now-time.Hour
	}
	since := max(now-e.now, 0)
	e.now = max(now, e.now)
	e.struck = false
	e.take()
	if away := e.now-e.last >= earAway; away {
		e.away = true
		for _, f := range e.followed { // as a show without sound stands
			f.idle(since)
		}
	}
	e.judge()
	e.count4()
	for _, b := range e.asked {
		b.goOn(e)
	}
	e.hush(since)
}

// take takes what was told since the last frame.
func (e *Ear) take() {
	e.mu.Lock()
	defer e.mu.Unlock()
	for ; e.count > 0; e.count-- {
		t := &e.queue[e.first]
		e.first = (e.first + 1) % len(e.queue)
		if e.hits < 0 || t.Hits < e.hits { // it begins to hear, or another does
			e.hits = t.Hits
		}
		if t.Hits > e.hits {
			e.hits, e.struck, e.hit = t.Hits, true, e.now
		}
		for _, f := range e.followed {
			f.step(&t.Heard)
		}
		e.newest, e.last, e.away, e.began = *t, e.now, false, true
	}
}

// judge tells whether there is a beat, and whether there is anything.
func (e *Ear) judge() {
	h := &e.newest
	switch quiet := e.away || !e.began || h.Silent; {
	case !quiet:
		e.silent = Never
	case e.silent == Never:
		e.silent = e.now
	}
	least := soundtrack.SureBeat
	if e.sure {
		least *= lessSure
	}
	near := h.Beat+h.shift > e.now-oldBeat && h.Beat+h.shift < e.now+oldBeat
	sure := e.silent == Never && h.Sure >= least && near && h.Period >= shortestBeat && h.Period <= 2*longestBeat
	if !sure && e.sure {
		e.unsure = e.now
	}
	if sure && !e.sure && e.now-e.beat > 2*longestBeat {
		e.beats = 0
	}
	if e.sure = sure; !sure {
		e.next = Never
	}
}

// count4 lets beats come that are due, and says when the next is expected.
func (e *Ear) count4() {
	if !e.sure {
		return
	}
	h := &e.newest
	e.period = h.Period
	next := h.Beat + h.shift
	if behind := e.beat + h.Period/2 - next; behind >= 0 {
		next += (behind/h.Period + 1) * h.Period
	}
	if late := e.now - next; late > longestBeat { // those that were slept over do not come
		next += late / h.Period * h.Period
	}
	for ; next <= e.now; next += h.Period {
		e.beat = next
		e.beats++
	}
	e.next = next
}

// hush takes the light a step to what stands in silence, or back.
func (e *Ear) hush(since time.Duration) {
	lost := !e.sure && e.now-e.unsure > lostFor && e.now-e.hit > hitsGone
	if lost || e.silent != Never && e.now-e.silent > hushAfter {
		e.hushed = min(e.hushed+since.Seconds()/hushOver.Seconds(), 1)
		return
	}
	e.hushed = max(e.hushed-since.Seconds()/hushBack.Seconds(), 0)
}

// Now is the instant of the frame.
func (e *Ear) Now() time.Duration { return e.now }

// Hushed is how far the light has gone to what stands in silence, or while the beat is lost
// for long: 0 to 1.
func (e *Ear) Hushed() float32 { return float32(e.hushed) }

// String says in plain words what is heard.
func (e *Ear) String() string {
	switch {
	case !e.began || e.away:
		return "hears nothing: no sound comes"
	case e.silent != Never:
		return "silent"
	case e.sure:
		return fmt.Sprintf("hears %.0f beats a minute, sure", 60/e.period.Seconds())
	case e.now-e.hit > hitsGone:
		return "hears sound, no beat and no hits"
	}
	return "hears hits, no sure beat"
}

// Beats is when something happens. What goes by time alone is not for an ear.
func (e *Ear) Beats(every Every) Beats {
	for _, b := range e.asked {
		if b.every.is(&every) {
			return b
		}
	}
	if len(e.asked) >= mostAsked {
		e.asked = e.asked[1:]
	}
	b := &heardBeats{every: every, usual: every.usual(), coming: Never, beat: e.beats, last: e.now - time.Hour}
	e.asked = append(e.asked, b)
	return b
}

// is tells whether two are the same, without the memory that == on their texts takes.
func (e *Every) is(o *Every) bool {
	if e.beats != o.beats || e.bars != o.bars || e.off != o.off || e.time != o.time || len(e.pattern) != len(o.pattern) {
		return false
	}
	for i := range e.pattern {
		if e.pattern[i] != o.pattern[i] {
			return false
		}
	}
	return true
}

// happens tells whether it happens on a beat, counted from 0, of bars of four.
func (e *Every) happens(beat int) bool {
	bar, in := beat/beatsABar, beat%beatsABar
	switch {
	case e.beats > 0:
		return beat%e.beats == 0
	case e.bars > 0:
		return in == 0 && bar%e.bars == 0
	case len(e.pattern) > 0:
		b := &e.pattern[bar%len(e.pattern)]
		return in < b.beats && b.on>>in&1 == 1
	}
	return false
}

// heardBeats are the events of one Every.
type heardBeats struct {
	every  Every
	usual  time.Duration
	times  [keptEvents]time.Duration // a ring
	n      int                       // that have come
	last   time.Duration             // when the last came
	coming time.Duration             // the next, where it is known
	beat   int                       // of the ear's that were looked at
}

// goOn lets events come up to the ear's instant.
func (b *heardBeats) goOn(e *Ear) {
	if b.beat > e.beats {
		b.beat = 0
	}
	if e.sure {
		b.onBeats(e)
		return
	}
	b.beat, b.coming = e.beats, Never
	slow := max(slowest, b.usual)
	gap := max(apart, time.Duration(hitsApart*float64(b.usual)))
	if since := e.now - b.last; e.struck && since >= gap || since >= slow {
		b.come(e.now)
	}
}

// onBeats lets those come that go by the beat.
func (b *heardBeats) onBeats(e *Ear) {
	shift := time.Duration(0)
	if b.every.off {
		shift = e.period / 2
	}
	for b.beat < e.beats { // counted from 1: beat k is k-1 beats from the first
		at := e.beat - time.Duration(e.beats-b.beat-1)*e.period + shift
		if at > e.now {
			break
		}
		if b.every.happens(b.beat) && at-b.last >= e.period/2 {
			b.come(at)
		}
		b.beat++
	}
	b.coming = Never
	for k := range foretold {
		if b.every.happens(b.beat + k) {
			b.coming = max(e.next+time.Duration(b.beat+k-e.beats)*e.period+shift, e.now+1)
			return
		}
	}
}

func (b *heardBeats) come(at time.Duration) {
	b.times[b.n%keptEvents] = at
	b.n++
	b.last = at
}

// Before is the last event at or before an instant.
func (b *heardBeats) Before(t time.Duration) int {
	if b.coming <= t {
		return b.n
	}
	i := b.n - 1
	for ; i >= 0 && i >= b.n-keptEvents && b.times[i%keptEvents] > t; i-- {
	}
	return i
}

// Time is when an event was, or is expected.
func (b *heardBeats) Time(i int) time.Duration {
	switch {
	case i == b.n:
		return b.coming
	case i < 0 || i > b.n || i < b.n-keptEvents:
		return Never
	}
	return b.times[i%keptEvents]
}

// Loud is the level of a band, with the times that it takes from 10 to 90 % of a step up, and
// of a step down. It lags by what is heard late, and by its rise.
func (e *Ear) Loud(of Band, rise, fall time.Duration) Loud {
	for _, f := range e.followed {
		if f.of == of && f.rise == rise && f.fall == fall {
			return f
		}
	}
	if len(e.followed) >= mostAsked {
		e.followed = e.followed[1:]
	}
	per := tenToNinety
	if of == Centre {
		per = tenToNinetyTwo
	}
	pole := Follow{hop: earHop}
	f := &heardLoud{of: of, rise: rise, fall: fall, up: pole.pole(rise, per), down: pole.pole(fall, per)}
	if e.began {
		f.value = f.of.share(&e.newest.Heard)
	}
	e.followed = append(e.followed, f)
	return f
}

// share is what is heard of a band, 0 to 1.
func (b Band) share(h *soundtrack.Heard) float32 {
	v := h.Share[3]
	switch b {
	case Low:
		v = h.Share[0]
	case Mid:
		v = h.Share[1]
	case High:
		v = h.Share[2]
	case Centre:
		v = h.Centre
	}
	if !(v >= 0) { // nor a number
		return 0
	}
	return min(v, 1)
}

// heardLoud follows one band.
type heardLoud struct {
	of         Band
	rise, fall time.Duration
	up, down   float32 // what is left of a distance after a hop
	value      float32
}

// step takes what was heard 10 ms later.
func (f *heardLoud) step(h *soundtrack.Heard) {
	v, left := f.of.share(h), f.down
	if v > f.value {
		left = f.up
	}
	f.value = v + float32(left*(f.value-v))
}

// idle takes the level to where it stands without sound, within seconds.
func (f *heardLoud) idle(since time.Duration) {
	f.value = 1 + float32(math.Exp(-since.Seconds()))*(f.value-1)
}

// At is the level at the ear's instant, whatever is asked for.
func (f *heardLoud) At(time.Duration) float32 { return f.value }
