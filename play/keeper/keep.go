package keeper

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"slices"
	"sync"
	"time"

	"lampblack/play/output"
	"lampblack/si"
)

// Options of a keeper.
type Options struct {
	// Start begins the process that computes. again is nil for the first.
	Start func(again *Again) (*Child, error)
	// Outputs opens what a run asks for, and returns what is called before they are closed.
	Outputs func(o *Opening) (sinks []output.Sink, end func(), err error)
	// Tell has a word for whoever is at the terminal.
	Tell func(what, text string)
	// Tries is how often a run may die within [Lasts] of its start, one after another, before
	// it is given up; 0 is 4.
	Tries int
	// Granted is the priority at which frames are sent, and how more can be had.
	Granted, Hint string

	sleep func(until time.Time) // nil is the system's
}

// Again is what a run that follows a dead one has to know.
type Again struct {
	Journal string    // of the one that died
	Address string    // where its pages were
	Died    time.Time // when
	Lit     time.Time // when its last frame left
	Hold    bool      // runs have died so soon that it may be the show which they die of
}

// Child is a process that computes.
type Child struct {
	Conn net.Conn     // the line to it
	Done <-chan int   // its exit status, when it has ended; below 0 when it was killed
	Kill func() error // ends it at once
}

// Times of a keeper.
const (
	grace     = 2 * time.Second        // for a run that was told to end
	tries     = 4                      // runs that die soon are given up after so many
	hung      = 5 * time.Second        // a run that is alive and sends nothing for so long is ended
	reporting = 100 * time.Millisecond // how often the run hears how the outputs do
	lastLight = 200 * time.Millisecond // how long lights up is sent where the run cannot say
	failed    = 2                      // the exit status of a run that cannot say another
)

// Lasts is how long a run must last for its death to count as the first: one that dies
// sooner may not be able to run.
const Lasts = 10 * time.Second

// keeper is one that keeps. What a run asks for comes from the goroutine that hears it; the
// next is heard when that has ended.
type keeper struct {
	Options
	hearing hearing
	memory  memory // of the goroutine that hears

	mu      sync.Mutex // guards what follows
	opening Opening
	wire    *wire // nil before a run has asked for outputs
	closed  bool  // the outputs are ended
}

// wire is what a keeper keeps.
type wire struct {
	owner  *output.Owner
	sender *sender
	sinks  []output.Sink
	ends   func()
}

// close sends lights up for a time, and ends the outputs.
func (w *wire) close(over time.Duration) (all []output.Summary, err error) {
	w.sender.close()
	w.ends()
	return w.owner.Close(over)
}

// Keep owns the outputs of a run until that ends, and returns the run's exit status. A run that
// dies is started again. When ctx is done the run is told to end; when it does not, or when it
// cannot be started again, the lights come up and the outputs are ended all the same.
func Keep(ctx context.Context, o Options) (status int, err error) {
	k := &keeper{Options: o}
	if k.sleep == nil {
		k.sleep = sleepUntil
	}
	if k.Tries == 0 {
		k.Tries = tries
	}
	defer func() {
		_, failed := k.end(lastLight)
		err = errors.Join(err, failed)
		k.deaf()
	}()
	var again *Again
	for short := 0; ; {
		begun := time.Now()
		c, err := k.Start(again)
		if err != nil {
			return 1, fmt.Errorf("start the run: %w", err)
		}
		status, meant := k.serve(ctx, c)
		w, closed := k.now()
		if status < 0 {
			status = failed
			if !meant && w == nil {
				k.Tell("error", "the run was killed before it began")
			}
		}
		if meant || w == nil || closed {
			return status, nil
		}
		w.sender.alone()
		if short++; time.Since(begun) >= Lasts {
			short = 1
		}
		if short >= k.Tries {
			k.Tell("error", fmt.Sprintf("the run has failed %d times: lights up, and the outputs are ended", short))
			return max(status, 1), nil
		}
		k.Tell("warning", "the run has failed, and is started again: meanwhile the lamps keep their light, without flashing")
		again = &Again{Journal: k.opening.Journal, Address: k.opening.Address, Died: time.Now(), Lit: w.sender.lit(), Hold: short >= k.Tries-2}
	}
}

// serve has a run until its process ends, and tells whether that was meant to.
func (k *keeper) serve(ctx context.Context, c *Child) (status int, meant bool) {
	l := &link{conn: c.Conn}
	heard := make(chan struct{})
	go func() {
		defer close(heard)
		k.hear(l)
	}()
	tick := time.NewTicker(reporting)
	defer tick.Stop()
	told, over := ctx.Done(), (<-chan time.Time)(nil)
	for {
		select {
		case status = <-c.Done:
			<-heard // what it said last is on the line, which ends with it
			c.Conn.Close()
			return status, meant || status == 0
		case <-told:
			told, meant = nil, true
			_ = l.write(stop, nil)
			over = time.After(grace)
		case <-over:
			over = nil
			_ = c.Kill()
		case <-tick.C:
			k.look(l, c)
		}
	}
}

// now is what is kept, and whether it is ended.
func (k *keeper) now() (*wire, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.wire, k.closed
}

// look tells the run how the outputs do, and ends one that is alive and sends nothing.
func (k *keeper) look(l *link, c *Child) {
	w, closed := k.now()
	if w == nil || closed {
		return
	}
	if since := w.sender.hung(); since >= hung {
		k.Tell("warning", fmt.Sprintf("the run has sent nothing for %s, and is ended", si.Say(since.Seconds(), "s")))
		_ = c.Kill()
		return
	}
	_ = l.writeJSON(stats, report{w.owner.Stats(), w.owner.Late()})
}

// hear takes what a run says until its line ends. A run that says what it should not is heard
// no more: it is hung then, and ended.
func (k *keeper) hear(l *link) {
	var buf []byte
	for {
		kind, body, used, err := l.read(buf)
		if err != nil {
			return
		}
		buf = used
		switch kind {
		case opening:
			err = l.writeJSON(opened, k.open(body))
		case ending:
			var over time.Duration
			if err = json.Unmarshal(body, &over); err == nil {
				f, _ := k.end(min(over, time.Minute)) // what failed is in f
				err = l.writeJSON(ended, f)
			}
		case listens:
			err = k.listen(l, body)
		case remembers:
			err = k.memory.take(body)
		case recalls:
			err = l.writeJSON(recalled, k.memory)
		case typed, reset:
			err = k.ofAlarm(l, kind, body)
		case standing:
			_, hears := k.alarmed() // who listens knows better than who was told
			if w, closed := k.now(); w != nil && !closed && !hears && len(body) == 1 {
				w.owner.Alarm(body[0] == 1)
			}
		default:
			if w, closed := k.now(); w != nil && !closed {
				err = w.sender.hear(kind, body)
			}
		}
		if err != nil {
			return
		}
	}
}

// hear takes frames, and light that is to stand.
func (s *sender) hear(k kind, body []byte) error {
	switch {
	case k == paired && len(body) == 17:
		s.allies.Add([16]byte(body))
		if body[16] == 1 {
			s.mu.Lock()
			s.paired = time.Now()
			s.mu.Unlock()
		}
		return nil
	case k == frames && len(body) >= 8:
		due := timeOf(int64(binary.LittleEndian.Uint64(body)))
		return s.put(due, func(list []output.Frame) ([]output.Frame, error) { return parseFrames(body[8:], list) })
	case k == stands && len(body) >= 1 && body[0] < byte(len(s.stands)):
		list, err := parseFrames(body[1:], nil)
		if err == nil {
			s.stand(output.Stand(body[0]), list)
		}
		return err
	}
	return errCut
}

// open opens outputs, or takes those that are open where the same are asked for: a run that is
// started again goes on with the sequence numbers of the one before.
func (k *keeper) open(body []byte) answer {
	var o Opening
	if err := json.Unmarshal(body, &o); err != nil || o.Rate <= 0 {
		return answer{Error: "the run does not say what it wants to send"}
	}
	w, closed := k.now()
	switch {
	case closed:
		return answer{Error: "the outputs are ended"}
	case w != nil && !slices.Equal(o.Outputs, k.opening.Outputs):
		k.keep(nil, o)
		_, _ = w.close(0)
		w = nil
	}
	if w == nil {
		o.Allies = &output.Allies{}
		sinks, ends, err := k.Outputs(&o)
		if err != nil {
			return answer{Error: err.Error()}
		}
		owner := output.Own(sinks, o.Rate)
		w = &wire{owner, newSender(owner, o.Rate, o.Times.filled(), k.sleep), sinks, ends}
		w.sender.allies = o.Allies
	}
	k.keep(w, o)
	if stands, hears := k.alarmed(); hears {
		w.owner.Alarm(stands)
	}
	a := answer{Priority: k.Granted, Hint: k.Hint}
	for _, s := range w.sinks {
		a.Names = append(a.Names, s.Name())
	}
	return a
}

// keep takes over what a run has asked for; nil while that is being opened.
func (k *keeper) keep(w *wire, o Opening) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.wire, k.opening = w, o
}

// end ends the outputs, once: lights up for a time, then goodbye.
func (k *keeper) end(over time.Duration) (f farewell, err error) {
	k.mu.Lock()
	w, closed := k.wire, k.closed
	k.closed = true
	k.mu.Unlock()
	if w == nil || closed {
		return f, nil
	}
	f.Outputs, err = w.close(over)
	f.Late = w.owner.Late()
	if err != nil {
		f.Error = err.Error()
	}
	return f, err
}
