package lamps

import (
	"context"
	"errors"
	"fmt"

	"lampblack/wire/rdm"
)

// asker is what a search needs of a line.
type asker interface {
	// branch asks the unmuted of a range, and returns what came back: nothing, one reply, or
	// the noise of several at once.
	branch(ctx context.Context, low, high uint64) ([]byte, error)
	// mute tells a device to answer no more ranges, and whether it said that it will.
	mute(ctx context.Context, u rdm.UID) (bool, error)
	// unmute tells all to answer ranges again.
	unmute(ctx context.Context) error
}

// Bounds of a search: a line that answers nonsense to everything must not hold it up for
// ever. A path from all identifiers down to one takes 48 halvings, each with silence asked
// twice.
const (
	mostDevices  = 512 // more than one slot each is no lamp
	mostFruitles = 500 // questions without a new device
	silences     = 2   // how often nobody answers before nobody is there: packets get lost
	mutes        = 3   // how often a device is told to be silent
	stubborn     = 3   // how often one that said so may answer all the same
)

// search finds devices by halving (ANSI E1.20, clause 7.6): a range that several answer at
// once is asked by halves, one that answers alone is muted and asked no more.
type search struct {
	asker
	progress  Progress
	found     []rdm.UID
	known     map[rdm.UID]int // how often it answered once it was known
	fruitless int
}

// errNoise ends a search that leads nowhere.
var errNoise = errors.New("something on this line answers every question, or disturbs: unplug half of the lamps, ask again, and so find the one; look at the terminator too")

// find searches the whole range.
func (s *search) find(ctx context.Context) ([]rdm.UID, error) {
	s.known = map[rdm.UID]int{}
	for range 2 { // one that was lost may miss being told
		if err := s.unmute(ctx); err != nil {
			return nil, err
		}
	}
	err := s.look(ctx, 0, rdm.MaxUID)
	return s.found, err
}

// look finds all in a range.
func (s *search) look(ctx context.Context, low, high uint64) error {
	for silent := 0; silent < silences; {
		if err := s.pace(ctx, low); err != nil {
			return err
		}
		b, err := s.branch(ctx, low, high)
		if err != nil {
			return err
		}
		if len(b) == 0 {
			silent++
			continue
		}
		silent = 0
		alone, err := s.alone(ctx, b, low, high)
		if err != nil {
			return err
		}
		if alone {
			continue
		}
		if low == high {
			return s.single(ctx, low)
		}
		middle := low + (high-low)/2
		if err := s.look(ctx, low, middle); err != nil {
			return err
		}
		return s.look(ctx, middle+1, high)
	}
	return nil
}

// pace counts a question, and tells how far the search is: identifiers go up.
func (s *search) pace(ctx context.Context, low uint64) error {
	if s.fruitless++; s.fruitless > mostFruitles {
		return errNoise
	}
	if s.progress != nil {
		s.progress(len(s.found), float64(low)/rdm.MaxUID)
	}
	return ctx.Err()
}

// alone takes a reply of one device; false is that the range must be halved. Two replies
// over one another can look like the reply of a third, which does not answer to its name.
func (s *search) alone(ctx context.Context, b []byte, low, high uint64) (bool, error) {
	u, err := rdm.ParseDiscoveryReply(b)
	if n := u.Number(); err != nil || n < low || n > high {
		return false, nil
	}
	if times, known := s.known[u]; known {
		if s.known[u] = times + 1; times+1 >= stubborn {
			return false, nil // go round it: others in this range may be hidden behind it
		}
	}
	muted, err := s.tell(ctx, u)
	if muted {
		err = s.add(u)
	}
	return muted, err
}

// tell tells one device to be silent.
func (s *search) tell(ctx context.Context, u rdm.UID) (muted bool, err error) {
	for n := 0; n < mutes && !muted && err == nil; n++ {
		muted, err = s.mute(ctx, u)
	}
	return muted, err
}

// single asks the one identifier that is left of a range by its name.
func (s *search) single(ctx context.Context, n uint64) error {
	u := rdm.UIDOf(n)
	muted, err := s.tell(ctx, u)
	if muted && err == nil {
		err = s.add(u)
	}
	return err
}

func (s *search) add(u rdm.UID) error {
	if _, known := s.known[u]; known {
		return nil
	}
	if len(s.found) == mostDevices {
		return fmt.Errorf("more than %d devices answer on one line", mostDevices)
	}
	s.known[u], s.fruitless = 0, 0
	s.found = append(s.found, u)
	return nil
}
