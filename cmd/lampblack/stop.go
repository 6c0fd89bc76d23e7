package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"
)

// grace is how long a command has to end by itself once it is told to. Whatever
// it is doing then can be cut off: an edit is whole or not made at all.
const grace = 800 * time.Millisecond

// stopper ends the command: on the first signal, or ctrl-c in raw mode, it
// cancels the context and ends the process after the grace; the second signal
// ends it at once, as the system does by itself.
//
// Two ways lead to it, a signal and a byte on a raw terminal, and both may come; once
// sees to it that the first counts. mu guards restore alone.
type stopper struct {
	patient bool // the keeper of a run, which ends when the run has; set before anything can stop it
	once    sync.Once
	cancel  context.CancelFunc
	mu      sync.Mutex
	restore func()        // puts the terminal back as it was
	longer  time.Duration // how long it has beside the grace, to say what it found by then
}

// stop is that of this process.
var stop = &stopper{}

// context returns the context of the command.
func (s *stopper) context() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	s.cancel = cancel
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		for range signals {
			s.stop()
		}
	}()
	return ctx
}

// stop tells the command to end. It owns the process from here on. The message is
// written by a goroutine as standard error may be a pipe that nobody reads: the exit
// must not wait for it.
func (s *stopper) stop() {
	s.once.Do(func() {
		if s.patient {
			s.cancel()
			return
		}
		signal.Reset(os.Interrupt, syscall.SIGTERM)
		s.cooked()
		if s.cancel != nil {
			s.cancel()
		}
		time.AfterFunc(grace+s.wants(), func() {
			go fmt.Fprintln(os.Stderr, "lampblack: stopped in the middle of its work") // which may never be read
			time.Sleep(20 * time.Millisecond)
			os.Exit(exitFailed)
		})
	})
}

// allow gives the command longer than the grace, for one that has something to say when it is stopped.
func (s *stopper) allow(longer time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.longer = longer
}

func (s *stopper) wants() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.longer
}

// raw remembers how to put the terminal back.
func (s *stopper) raw(restore func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.restore = restore
}

// cooked puts the terminal back as it was, so that ctrl-c is a signal again.
func (s *stopper) cooked() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.restore != nil {
		s.restore()
		s.restore = nil
	}
}
