package play

import (
	"context"
	"sync"
)

// Shelf keeps soundtracks decoded, so that one that was asked for ahead is there at once
// when its piece begins: to decode an hour takes some ten seconds. It holds two at
// the most, the one that was opened last and the one that comes next, and what was asked
// for ahead in vain gives way to what is asked for instead. Several zones have a shelf
// each.
//
// The zero value is ready. Its methods may be called from any goroutine; Close ends what
// it has started, and waits.
type Shelf struct {
	decode func(ctx context.Context, path string, rate int) (*pcm, error) // nil is load

	mu        sync.Mutex // guards what follows
	now, next *shelved   // nil for none
	running   sync.WaitGroup
	closed    bool
}

// shelved is a track that is decoded, or will be.
type shelved struct {
	path string
	rate int

	cancel context.CancelFunc
	done   chan struct{} // closed when what follows is set
	track  *pcm
	err    error
}

// is tells whether it is of a path at a rate, and worth waiting for.
func (t *shelved) is(path string, rate int) bool {
	return t != nil && t.path == path && t.rate == rate && !t.failed()
}

func (t *shelved) failed() bool {
	select {
	case <-t.done:
		return t.err != nil
	default:
		return false
	}
}

// drop lets a track go that nobody waits for any more.
func (t *shelved) drop() {
	if t != nil {
		t.cancel()
	}
}

// Ahead begins to decode the soundtrack of a path that will be opened next, by
// Speakers.Open on these speakers. It waits for nothing; what goes wrong is told when the
// track is opened.
func (s *Shelf) Ahead(path string, on *Speakers) {
	s.ahead(path, on.rate())
}

func (s *Shelf) ahead(path string, rate int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed || s.now.is(path, rate) || s.next.is(path, rate) {
		return
	}
	s.next.drop()
	s.next = s.start(path, rate)
}

// start decodes a track on a goroutine of its own. Callers hold mu.
func (s *Shelf) start(path string, rate int) *shelved {
	ctx, cancel := context.WithCancel(context.Background())
	t := &shelved{path: path, rate: rate, cancel: cancel, done: make(chan struct{})}
	decode := s.decode
	if decode == nil {
		decode = load
	}
	s.running.Go(func() {
		defer cancel()
		defer close(t.done)
		t.track, t.err = decode(ctx, path, rate)
	})
	return t
}

// take returns a track at a rate: from the shelf if it is there, or on its way, else
// decoded now. It takes the place of the one that was taken before. Of a nil shelf it is
// decoded, and not kept.
func (s *Shelf) take(ctx context.Context, path string, rate int) (*pcm, error) {
	if s == nil {
		return load(ctx, path, rate)
	}
	t, err := s.turn(path, rate)
	if err != nil {
		return nil, err
	}
	select {
	case <-t.done:
		return t.track, t.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// turn makes a track the one of now.
func (s *Shelf) turn(path string, rate int) (*shelved, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.closed:
		return nil, context.Canceled
	case s.now.is(path, rate):
	case s.next.is(path, rate):
		s.now.drop()
		s.now, s.next = s.next, nil
	default:
		s.now.drop()
		s.now = s.start(path, rate)
	}
	return s.now, nil
}

// Close stops what is being decoded, and returns when it has ended.
func (s *Shelf) Close() {
	s.mu.Lock()
	s.closed = true
	s.now.drop()
	s.next.drop()
	s.now, s.next = nil, nil
	s.mu.Unlock()
	s.running.Wait()
}
