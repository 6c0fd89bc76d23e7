package play

import (
	"errors"
	"sync"
	"time"

	"lampblack/play/retry"
)

// device is a way to be heard. It belongs to one goroutine.
type device interface {
	// start plays what comes from a stream, giving up what it played before.
	start(from stream) error
	// heard returns how many frames since start have left the device, and
	// whether it has begun.
	heard() (frames int64, moving bool, err error)
	stop()
	// reopen looks for a device that was lost.
	reopen() error
	// outputs is its own rate, and how many channels it has.
	outputs() format
	close() error
	name() string
}

// errNothingPlays is heard of a device that was not told to start.
var errNothingPlays = errors.New("nothing plays")

// soundLine is where the sound is as a line over time, and what is wrong.
type soundLine struct {
	pos    time.Duration
	at     time.Time // when the position was pos
	moving bool      // the device has begun to play, or is not to be waited for
	held   bool
	over   time.Duration // that a held sound fades out in
	since  time.Time     // when the device was last seen to get on, or was told to begin
	away   error         // why there is no device, nil while there is
}

// position is where the sound is at an instant. A device that does not begin is
// waited for, but not for ever.
func (l *soundLine) position(now time.Time) time.Duration {
	since := now.Sub(l.at)
	if !l.moving {
		since = max(since-beginWait, 0)
	}
	if l.held {
		since = 0
	}
	return l.pos + since
}

// begins tells whether the device is still waited for.
func (l *soundLine) begins(now time.Time) bool {
	return !l.moving && !l.held && now.Sub(l.at) <= beginWait
}

// beginWait is how long the show waits for a device to begin: those without a
// cable take two seconds.
const beginWait = 3 * time.Second

// soundPlayer drives the device from a goroutine of its own, so that one that
// takes its time holds up no frame.
//
// What is wanted comes in as line and a count of orders; the goroutine compares that
// with what it has obeyed, so an order that is overtaken by a newer one is never
// carried out.
type soundPlayer struct {
	track *pcm
	wake  chan struct{}
	stop  chan struct{}
	done  chan struct{}

	mu     sync.Mutex // guards what follows
	line   soundLine
	reel   *reel // what the device plays, or will when it has obeyed
	orders int   // counts what was wanted

	// Owned by the goroutine.
	device  device
	obeyed  int           // of orders
	plays   bool          // the device was told to start: behind the track's end it is not
	playing *reel         // what it was told to play last
	fades   time.Time     // until when it plays on, fading, though it is held
	base    time.Duration // where the device was told to begin
	told    time.Time     // and when
	frames  int64         // heard since then
	delay   time.Duration // from being told until it is heard
	rejoins int           // how often since it was lost the device has been told to begin where the show is
	unheard bool          // it plays, and is not heard until it is where the light is
	joined  bool          // it plays since a loss: the light is not the sound's to move
	retry   retry.Times
}

// asking is the time between two questions to the device.
const asking = 50 * time.Millisecond

func startPlayer(r *reel, d device) *soundPlayer {
	p := &soundPlayer{track: r.track, reel: r, device: d, line: soundLine{held: true}, wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{})}
	go p.run()
	return p
}

// want asks for the sound to play or stand as a line says, its loops with so many passes;
// nil leaves those as they are.
func (p *soundPlayer) want(l soundLine, passes []int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.reel = p.reel.at(l.pos)
	if passes != nil {
		p.reel.pass(passes)
	}
	l.away = p.line.away
	l.moving = l.away != nil || l.pos >= p.reel.end() // nothing will be heard: the computer's clock runs on
	p.line = l
	p.orders++
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// release has the loop that is heard left, and returns its passes.
func (p *soundPlayer) release(now time.Time) (passes int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.reel.release(p.line.position(now), !p.line.held && p.line.away == nil)
}

// lower takes what is heard of the track to a gain over a time.
func (p *soundPlayer) lower(gain float64, over time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.reel.hand.move(gain, p.track.frame(over))
}

// where returns the line. Past the track's end the device stands still as it
// should.
func (p *soundPlayer) where(now time.Time) soundLine {
	p.mu.Lock()
	defer p.mu.Unlock()
	l := p.line
	if l.position(now) > p.reel.end()-ending {
		l.since = now
	}
	return l
}

// ending is the last of the track, which a device may take without a word.
const ending = 500 * time.Millisecond

func (p *soundPlayer) close() error {
	close(p.stop)
	<-p.done
	return p.device.close()
}

func (p *soundPlayer) run() {
	defer close(p.done)
	tick := time.NewTicker(asking)
	defer tick.Stop()
	for {
		select {
		case <-p.stop:
			p.device.stop()
			return
		case <-p.wake:
		case <-tick.C:
		}
		p.step()
	}
}

// step does the next thing: looks for the device, obeys, or asks it.
func (p *soundPlayer) step() {
	now := time.Now()
	p.mu.Lock()
	l, orders := p.line, p.orders
	p.mu.Unlock()
	switch fresh := orders != p.obeyed; {
	case l.away != nil:
		p.obeyed = orders
		p.look(now)
	case l.held:
		p.hold(now, l.over, fresh)
		p.obeyed = orders
	case fresh:
		p.obeyed = orders
		p.rejoins, p.joined = 0, false
		p.begin(now, l.pos, false)
	case p.plays:
		p.ask()
	}
}

// hold stops the device, at once or when it has faded. What it holds when the fade ends is
// silence.
func (p *soundPlayer) hold(now time.Time, over time.Duration, fresh bool) {
	switch {
	case fresh && over > 0 && p.plays:
		p.playing.out.move(Silence, p.track.frame(over))
		p.fades = now.Add(over + asking)
	case fresh, p.plays && !now.Before(p.fades):
		p.plays = false
		p.device.stop()
	}
}

// begin has the device play from a position, unless it is about to be told something else:
// unheard at first, where that is wished.
func (p *soundPlayer) begin(now time.Time, from time.Duration, unheard bool) {
	p.mu.Lock()
	overtaken := p.orders != p.obeyed
	r := p.reel
	if !overtaken {
		r = r.at(from) // what plays now may go on taking the one before
		if p.unheard = unheard; unheard {
			r.out.move(inaudible, 0)
		}
		p.reel = r
	}
	p.mu.Unlock()
	p.base, p.told, p.frames, p.playing = from, now, 0, r
	if overtaken {
		return
	}
	if p.plays = from < r.end(); !p.plays {
		p.device.stop()
	} else if err := p.device.start(r); err != nil {
		p.lost(now, err)
	}
}

// lost notes that there is no device: the show goes on without.
func (p *soundPlayer) lost(now time.Time, err error) {
	p.retry.Lost(now)
	p.rejoins = 0
	p.mu.Lock()
	defer p.mu.Unlock()
	p.line.away = err
	if l := &p.line; !l.moving {
		l.moving, l.at = true, now
	}
}

// look tries to open a device that was lost, and has it play from where the
// show is.
func (p *soundPlayer) look(now time.Time) {
	if p.retry.Wait(now) > 0 {
		return
	}
	if err := p.device.reopen(); err != nil {
		p.retry.Tried(now)
		return
	}
	now = time.Now()
	p.mu.Lock()
	p.line.away = nil
	from, held := p.line.position(now), p.line.held
	p.mu.Unlock()
	if !held {
		p.rejoin(now, from)
	}
}

// How the sound comes in again: where the light is, to within aimed, unheard until it is there,
// and then faded in, so that nobody hears a click. Both from memory: steps of light and sound that nobody notices.
const (
	fadesIn = 100 * time.Millisecond
	aimed   = 20 * time.Millisecond
	mostAim = 4 // times that it is told anew where to begin

	inaudible = 1e-6 // of the amplitude: less than any sample has, and not the end of it
)

// rejoin has the device play from where the show will be when it is heard. It aims
// ahead by what the device took to be heard the last time.
func (p *soundPlayer) rejoin(now time.Time, at time.Duration) {
	p.rejoins++
	p.joined = true
	p.begin(now, at+p.delay, true)
}

// ask takes in how far the device is.
//
// The device counts frames since it was told to begin. The first count also tells how
// long it took to be heard, which rejoin makes up for. A device that comes in again beside
// the light, as another takes another time, or one that has stood still and then goes on
// behind the show, is told anew to begin where the show is: the light is never pulled there.
func (p *soundPlayer) ask() {
	frames, moving, err := p.device.heard()
	now := time.Now()
	if err != nil {
		p.lost(now, err)
		return
	}
	p.mu.Lock()
	l := &p.line
	if p.orders != p.obeyed {
		p.mu.Unlock() // it is about to be told something else
		return
	}
	if !moving || frames <= p.frames {
		p.mu.Unlock() // the line says for how long
		return
	}
	played := p.track.time(frames)
	first := p.frames == 0
	if first {
		p.delay = min(max(now.Sub(p.told)-played, 0), beginWait)
	}
	p.frames = frames
	heard := p.base + played
	was := l.position(now)
	off := (heard - was).Abs()
	stood := (p.joined || now.Sub(l.since) > quietAfter) && off > pulled
	if p.rejoins < mostAim && (stood || first && p.rejoins > 0 && off > aimed) {
		p.mu.Unlock()
		p.rejoin(now, was)
		return
	}
	if p.rejoins = 0; p.unheard {
		p.unheard = false
		p.playing.out.move(1, p.track.frame(fadesIn))
	}
	l.since = now
	p.correct(now, heard)
	p.mu.Unlock()
}

// pulled is how far off an answer of the device may lie to be followed bit by
// bit; further off, the sound is elsewhere.
const pulled = 60 * time.Millisecond

// correct takes in that at now the device was at heard. Callers hold mu. A tenth of
// each miss, twenty times a second, is a time constant of half a second: slower than
// the jitter of the answers, faster than the drift of any two crystals.
func (p *soundPlayer) correct(now time.Time, heard time.Duration) {
	l := &p.line
	if heard >= p.reel.end()-20*time.Millisecond {
		return // past the end the device stands still, the show does not
	}
	if !l.moving {
		l.moving, l.at, l.pos = true, now, heard
		return
	}
	expected := l.position(now)
	miss := heard - expected
	switch {
	case p.joined: // a hundredth of the speed at most: no light leaps for sound that comes in again
		miss = min(max(miss/10, -asking/100), asking/100)
	case miss.Abs() < pulled:
		miss /= 10
	}
	l.at, l.pos = now, expected+miss
}
