package chase

import (
	"fmt"
	"math"
	"sync"
	"time"

	"lampblack/play/clock"
	"lampblack/si"
)

// Limits of a Follower.
const (
	// Tolerance is how far a mark may lie from where it was expected.
	Tolerance = 40 * time.Millisecond
	// FreewheelAfter is the time without marks after which a follower says
	// that it goes on by itself: four frames of the slowest timecode.
	FreewheelAfter = 150 * time.Millisecond
	// Freewheel is how long it does where nobody says.
	Freewheel = 2 * time.Second

	// agree is how many marks must follow each other to be believed, and
	// within is how much they may differ for jitter.
	agree  = 3
	within = 15 * time.Millisecond
	// settling is the time constant of the filter.
	settling = 150 * time.Millisecond
	// maxSpeed is how much faster or slower than itself a tape may run.
	maxSpeed = 0.1
)

// State says how a follower knows where the show is.
type State int

// The states of the package's picture; Standing is after a full message.
const (
	Waiting State = iota
	Locked
	Freewheeling
	Lost
	Standing
)

// String returns the state in a word.
func (s State) String() string {
	return [...]string{"waiting", "locked", "freewheeling", "lost", "standing"}[s]
}

// Status is what a follower can say about itself.
type Status struct {
	State    State
	Position time.Duration // on the show's line
	// Off is how far the last mark lay from where it was expected, and Jitter
	// the mean square root of that over the last marks.
	Off, Jitter time.Duration
	Speed       float64       // 1 when the other machine's clock is ours
	Silent      time.Duration // since the last mark
	Jumps       int           // since it locked first
	Early       bool          // the timecode is that of the hour before the show: Position is 0
	Held        bool          // Position is kept by Hold

	tape time.Duration // where the timecode is on the show's line, held or not
}

// String is a line for a person.
func (s Status) String() string {
	return fmt.Sprintf("%v, last mark %+.1f ms off, jitter %.1f ms, speed %+.2f %%", s.State,
		1e3*s.Off.Seconds(), 1e3*s.Jitter.Seconds(), 100*(s.Speed-1))
}

// day is where timecode begins again.
const day = 24 * time.Hour

// Follower follows timecode. Mark, Locate and At may be called from any
// goroutine; Read, Run and Hold, which make it a clock, from one.
// Times on the wire count from midnight; start is the one at which the show
// begins.
type Follower struct {
	name  string
	start time.Duration

	mu        sync.Mutex // guards what follows
	state     State      // Locked, Standing, Waiting; the others follow from the time
	at        time.Time  // the line: p at this instant
	p         time.Duration
	speed     float64
	lastMark  time.Time
	off       time.Duration
	square    float64 // mean of off² in s²
	suspects  []mark
	jumps     int
	held      bool
	heldPlace time.Duration
	loss      Loss
	own       own

	forward clock.Forward // owned by who calls Read
}

// Loss says what a show does when its timecode is gone. The zero value freewheels for
// [Freewheel], stands then, and follows again by itself.
type Loss struct {
	Freewheel time.Duration // how long it goes on before that counts as lost; 0 is [Freewheel]
	GoesOn    bool          // then by the computer's clock; else it stands until go
	Asks      bool          // timecode that comes again is followed on go, and not before
	Light     string        // what the light does while the show stands, for a person; "" is that it stands too
}

// own is the computer's own clock, by which a show goes on without its timecode.
type own struct {
	runs bool
	at   time.Time
	p    time.Duration // on the show's line, at that instant
}

func (o *own) position(now time.Time) time.Duration { return max(o.p+now.Sub(o.at), 0) }

// mark is an instant and the timecode that it had.
type mark struct {
	at time.Time
	p  time.Duration
}

// NewFollower returns a follower; the show begins when the timecode shows
// start, and name says where that comes from.
func NewFollower(name string, start time.Duration, loss Loss) *Follower {
	if loss.Freewheel <= 0 {
		loss.Freewheel = Freewheel
	}
	return &Follower{name: name, start: start, speed: 1, loss: loss}
}

// wrap brings a difference of timecodes into half a day either way.
func wrap(d time.Duration) time.Duration {
	d %= day
	switch {
	case d > day/2:
		d -= day
	case d < -day/2:
		d += day
	}
	return d
}

// expected is the timecode on the line at an instant.
func (f *Follower) expected(at time.Time) time.Duration {
	return f.p + time.Duration(f.speed*float64(at.Sub(f.at)))
}

// Mark takes the news that the timecode was p at an instant. Marks come in the
// order of their instants.
func (f *Follower) Mark(at time.Time, p time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.state == Locked && at.Sub(f.lastMark) <= f.loss.Freewheel {
		off := wrap(p - f.expected(at))
		if off.Abs() <= Tolerance {
			f.follow(at, off)
			return
		}
	}
	f.suspect(mark{at, p})
}

// follow corrects the line by a mark that lies off from it: with
// θ = exp(-dt/τ), the position by (1-θ²) off, the speed by (1-θ)² off/dt.
func (f *Follower) follow(at time.Time, off time.Duration) {
	dt := at.Sub(f.lastMark).Seconds()
	if dt <= 0 {
		return
	}
	theta := math.Exp(-dt / settling.Seconds())
	f.p = f.expected(at) + time.Duration((1-theta*theta)*float64(off))
	f.at = at
	// After a gap, off says little about the speed: a step counts as if it
	// had come within the time constant.
	f.speed += (1 - theta) * (1 - theta) * off.Seconds() / max(dt, settling.Seconds()/10)
	f.speed = min(max(f.speed, 1-maxSpeed), 1+maxSpeed)
	f.off = off
	f.square += (off.Seconds()*off.Seconds() - f.square) * (1 - theta)
	f.lastMark, f.suspects = at, f.suspects[:0]
}

// suspect collects marks that were not expected, until enough agree.
func (f *Follower) suspect(m mark) {
	if n := len(f.suspects); n > 0 && !follows(f.suspects[n-1], m) {
		f.suspects = f.suspects[:0]
	}
	f.suspects = append(f.suspects, m)
	if len(f.suspects) < agree {
		return
	}
	// The line through their middle, at the speed of our own clock.
	var sum time.Duration
	for _, s := range f.suspects {
		sum += wrap(s.p - m.p + m.at.Sub(s.at))
	}
	if f.state == Locked && wrap(m.p-f.expected(m.at)).Abs() > Tolerance {
		f.jumps++
	}
	f.state, f.speed, f.off, f.square = Locked, 1, 0, 0
	f.at, f.p, f.lastMark = m.at, m.p+sum/time.Duration(len(f.suspects)), m.at
	f.suspects = f.suspects[:0]
}

// follows reports whether b is a later mark of the same run as a.
func follows(a, b mark) bool {
	dt := b.at.Sub(a.at)
	off := wrap(b.p-a.p) - dt
	return dt > 0 && dt < time.Second && off.Abs() <= within+dt/10
}

// Locate takes the news that the timecode stands at p.
func (f *Follower) Locate(at time.Time, p time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.state, f.at, f.p, f.lastMark = Standing, at, p, at
	f.suspects, f.off, f.square, f.speed = f.suspects[:0], 0, 0, 1
}

// At returns the status at an instant, which must not be before the last mark.
func (f *Follower) At(now time.Time) Status {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.status(now)
}

// status is At. Callers hold mu.
func (f *Follower) status(now time.Time) Status {
	s := Status{State: f.state, Off: f.off, Jitter: time.Duration(1e9 * math.Sqrt(f.square)), Speed: f.speed, Jumps: f.jumps}
	p := f.p
	if f.state == Locked {
		s.Silent = now.Sub(f.lastMark)
		switch {
		case s.Silent > f.loss.Freewheel:
			s.State = Lost
			p = f.expected(f.lastMark.Add(f.loss.Freewheel))
		default:
			p = f.expected(now)
			if s.Silent > FreewheelAfter {
				s.State = Freewheeling
			}
		}
	}
	if f.state != Waiting {
		s.Position, s.Early = f.place(p)
		s.tape = s.Position
	}
	if s.Held = f.held; f.held {
		s.Position = f.heldPlace
	}
	return s
}

// lead is how long before its beginning a show may be announced by timecode:
// in the last hour of the day before it, the position is 0.
const lead = time.Hour

// place is where the show is when the timecode shows p.
func (f *Follower) place(p time.Duration) (place time.Duration, early bool) {
	d := ((p-f.start)%day + day) % day
	if d >= day-lead {
		return 0, true
	}
	return d, false
}

// Read returns where the show is at an instant, as a clock. Lost, it stands until the timecode
// is back or go is given, or goes on by the computer's clock.
func (f *Follower) Read(now time.Time) clock.Reading {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.status(now)
	back := s.State == Locked || s.State == Freewheeling || s.State == Standing
	switch {
	case f.own.runs && back && !f.loss.Asks:
		f.own.runs = false
	case s.State == Lost && !f.own.runs && f.loss.GoesOn && !s.Held:
		f.goOn(f.lastMark.Add(f.loss.Freewheel), s.Position)
	}
	if f.own.runs {
		return f.readOwn(now, s, back)
	}
	r := clock.Reading{Position: s.Position, Fault: f.fault(s)}
	switch s.State {
	case Locked:
		r.State, r.Speed = clock.Runs, s.Speed
	case Freewheeling:
		r.State, r.Speed = clock.Freewheels, s.Speed
	case Lost:
		r.State = clock.Lost
	}
	if s.Held && r.State != clock.Lost {
		r.State = clock.Held
	}
	if s.Held || s.Early {
		r.Speed = 0
	}
	if !s.Held {
		r.Position = f.forward.Keep(s.Position, Tolerance)
	}
	return r
}

// readOwn is the reading while the computer's clock runs instead; back tells whether there is
// timecode that could be followed again. Callers hold mu.
func (f *Follower) readOwn(now time.Time, s Status, back bool) clock.Reading {
	r := clock.Reading{Position: s.Position, State: clock.Lost}
	if !s.Held {
		r.Position, r.Speed = f.own.position(now), 1
	}
	switch {
	case back:
		r.State, r.Offers = clock.Freewheels, true
		r.Fault = clock.Fault{Text: fmt.Sprintf("%s is back, at %s; the show goes on by the computer's clock", f.name, si.FormatTime(s.tape)),
			Hint: "go follows it again, wherever it is by then"}
	case s.State == Waiting:
		r.Fault = clock.Fault{Text: fmt.Sprintf("no %s has come; the show goes by the computer's clock", f.name), Hint: "see to the other machine and its cable: " + f.again()}
	default:
		r.Fault = clock.Fault{Text: fmt.Sprintf("no %s for %s; the show goes on by the computer's clock", f.name, si.Say(s.Silent.Truncate(time.Second).Seconds(), "s")),
			Hint: "see to the other machine and its cable: " + f.again()}
	}
	if s.Held && back {
		r.State = clock.Held
	}
	return r
}

// again says how timecode that comes again is followed.
func (f *Follower) again() string {
	if f.loss.Asks {
		return "go follows its timecode when it is back"
	}
	return "its timecode is followed again as soon as it comes"
}

// goOn lets the computer's clock run from a place on. Callers hold mu.
func (f *Follower) goOn(at time.Time, p time.Duration) {
	f.own = own{runs: true, at: at, p: p}
	f.forward.Jump()
}

// Begin is go: without timecode the show goes on by the computer's clock, and timecode that is
// back is followed again. It tells whether there was that to do.
func (f *Follower) Begin(now time.Time) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.status(now)
	away := s.State == Waiting || s.State == Lost
	switch {
	case f.own.runs && !away:
		f.own.runs = false
		f.forward.Jump()
	case !f.own.runs && away:
		f.goOn(now, s.Position)
	default:
		return false
	}
	return true
}

// Follows tells whether the other machine says where the show is, so that a hand can take it
// nowhere.
func (f *Follower) Follows() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return !f.own.runs
}

// fault is what is wrong in a status, in words.
func (f *Follower) fault(s Status) clock.Fault {
	switch s.State {
	case Waiting:
		return clock.Fault{Text: "waits for " + f.name + ": none has come yet",
			Hint: "start the other machine, and see that it sends; or go, which begins by the computer's clock"}
	case Freewheeling:
		return clock.Fault{Text: fmt.Sprintf("no %s for %s; the show goes on by itself for %s", f.name, si.Say(s.Silent.Seconds(), "s"), si.Say(f.loss.Freewheel.Seconds(), "s")),
			Hint: "see to the other machine and its cable"}
	case Lost:
		light := "the light stands"
		if f.loss.Light != "" {
			light = f.loss.Light
		}
		return clock.Fault{Text: fmt.Sprintf("no %s for %s; %s", f.name, si.Say(s.Silent.Seconds(), "s"), light),
			Hint: "go goes on from " + si.FormatTime(s.Position) + " by the computer's clock. See to the other machine and its cable: " + f.again()}
	}
	return clock.Fault{}
}

// Hold keeps the position where it is while the other machine goes on.
func (f *Follower) Hold(now time.Time) {
	p := f.Read(now).Position
	f.mu.Lock()
	defer f.mu.Unlock()
	f.held, f.heldPlace = true, p
}

// Run ends a Hold. While the other machine says where the show is, the position is its own to
// give, and from is not used. Where the timecode was lost meanwhile, the computer's clock goes
// on from there.
func (f *Follower) Run(now time.Time, from time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.own.runs || f.held && f.status(now).State == Lost {
		f.goOn(now, from)
	}
	f.held = false
}

// Name says where the time comes from.
func (f *Follower) Name() string { return f.name }
