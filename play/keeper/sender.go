package keeper

import (
	"runtime"
	"sync"
	"time"

	"lampblack/play/output"
)

// sender gives frames to the owner of the wire when they are due, and what stands when none
// come. It has a goroutine of its own, on a thread of its own.
type sender struct {
	owner  *output.Owner
	times  Times
	silent time.Duration // how long no frames may come before the last light stands
	queue  chan *letter  // frames on their way, at most as many as there are letters
	spare  chan *letter
	stop   chan struct{}
	done   chan struct{}
	sleep  func(time.Time)
	allies *output.Allies // set before frames come

	mu     sync.Mutex // guards what follows
	stands [3][]output.Frame
	dead   bool      // nobody computes
	heard  time.Time // when the run gave frames last, which may not be due yet
	last   time.Time // when frames came last, zero before the first
	shows  showing
	paired time.Time // when another machine stood by last; zero for never
}

// showing is what leaves.
type showing int

// What leaves, in the order in which it comes when frames stay away.
const (
	passing  showing = iota // the frames of the run
	calm                    // the last light
	dim                     // without ultraviolet
	lightsUp                // lights up
	yielded                 // nothing: another machine has the lamps
)

// letter is one frame on its way.
type letter struct {
	list []output.Frame
	due  time.Time
}

// letters is how many frames may be on their way: the run is ahead by less than two.
const letters = 8

// silent is how long no frames may come before the last light stands, and silentFrames how
// many of them: a busy machine may take that long for one.
const (
	silent       = 150 * time.Millisecond
	silentFrames = 4
)

// fresh is how old the word may be that another machine stands by, when the run fell silent.
const fresh = 2 * time.Second

// ahead is how far before they are due frames may come; no clock is further off.
const ahead = 100 * time.Millisecond

func newSender(owner *output.Owner, rate float64, times Times, sleep func(time.Time)) *sender {
	s := &sender{owner: owner, times: times, silent: max(silent, time.Duration(silentFrames*float64(time.Second)/rate)), queue: make(chan *letter, letters), spare: make(chan *letter, letters), stop: make(chan struct{}), done: make(chan struct{}), sleep: sleep}
	for range letters {
		s.spare <- &letter{}
	}
	go s.run()
	return s
}

// put takes frames of the run. When all letters are on their way it lets go of the frames: the
// run computes faster than they are due.
func (s *sender) put(due time.Time, fill func([]output.Frame) ([]output.Frame, error)) error {
	s.mu.Lock()
	s.dead, s.heard = false, time.Now()
	s.mu.Unlock()
	select {
	case l := <-s.spare:
		list, err := fill(l.list)
		if err != nil {
			s.spare <- l
			return err
		}
		l.list, l.due = list, due
		s.queue <- l
	default:
	}
	return nil
}

// stand takes light that is to stand.
func (s *sender) stand(which output.Stand, list []output.Frame) {
	if which == output.Up {
		s.owner.Prepare(list)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stands[which] = list
}

// run sends. Frames come some milliseconds before they are due, so that it is there in time.
func (s *sender) run() {
	runtime.LockOSThread() // never unlocked: the thread ends with it
	defer close(s.done)
	for {
		select {
		case <-s.stop:
			return
		case l := <-s.queue:
			s.sleep(earlier(l.due, time.Now().Add(ahead)))
			if s.came() {
				s.owner.Send(l.list, l.due)
			}
			s.spare <- l
		case <-time.After(s.silent / 3):
			s.quiet(time.Now())
		}
	}
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// came says that frames are there, and tells whether they count: none of a run that died does.
func (s *sender) came() bool {
	now := time.Now()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.dead {
		return false
	}
	s.last, s.shows = now, passing
	return true
}

// quiet sends what stands while no frames come.
func (s *sender) quiet(now time.Time) {
	s.mu.Lock()
	was := s.shows
	s.shows = s.due(now)
	is, frames := s.shows, s.standing()
	s.mu.Unlock()
	switch {
	case is == yielded && was != yielded:
		s.owner.Yield()
	case frames != nil:
		s.owner.Stand(frames)
	}
}

// due is what is to be seen, by how long no frames have come. The lock is held.
func (s *sender) due(now time.Time) showing {
	since := now.Sub(s.last)
	switch {
	case s.last.IsZero() || s.shows == passing && since < s.silent && !s.dead:
		return passing
	case s.shows >= lightsUp:
		return s.shows
	case since >= s.times.Stands && now.Sub(s.paired) < s.times.Stands+fresh:
		return yielded
	case since >= s.times.Stands:
		return lightsUp
	case since >= s.times.Ultraviolet:
		return dim
	}
	return calm
}

// standing is the light of what is shown. The lock is held.
func (s *sender) standing() []output.Frame {
	switch s.shows {
	case calm:
		return s.stands[output.Calm]
	case dim:
		return s.stands[output.Dim]
	case lightsUp:
		return s.stands[output.Up]
	}
	return nil
}

// alone says that the run is dead: the last light stands from now on.
func (s *sender) alone() {
	s.mu.Lock()
	s.dead = true
	s.mu.Unlock()
	s.quiet(time.Now())
}

// hung tells for how long a run that has sent frames sends none; 0 for one that does, or that
// has not begun.
func (s *sender) hung() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.dead || s.shows == passing {
		return 0
	}
	return time.Since(s.heard)
}

// lit is when the last frame of a run left.
func (s *sender) lit() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.last
}

func (s *sender) close() {
	close(s.stop)
	<-s.done
}
