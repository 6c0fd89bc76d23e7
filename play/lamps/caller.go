package lamps

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"lampblack/wire/rdm"
)

// ourMaker is the maker's code that the standard keeps for prototypes and experiments
// (ANSI E1.20, appendix; from memory: 0x7FF0 to 0x7FFF).
const ourMaker = 0x7FF0

// us is who asks.
var us = rdm.UIDOf(ourMaker<<32 | 1)

// Caller asks the devices of one line. It is for one goroutine.
type Caller struct {
	line        Line
	transaction byte
}

// NewCaller returns a caller of a line.
func NewCaller(l Line) *Caller { return &Caller{line: l} }

// Refused is that a device said no.
type Refused struct {
	PID    rdm.PID
	Reason rdm.Reason
}

func (r Refused) Error() string { return fmt.Sprintf("%v is refused: %v", r.PID, r.Reason) }

const (
	asks       = 3  // how often a question is asked that nobody answers
	mostParts  = 32 // of an answer that is too long for one packet
	mostQueued = 16 // messages that are taken out before the one that is waited for
	mostLater  = 20 * time.Second
)

// request is one packet to a device itself, with the next transaction number.
func (c *Caller) request(to rdm.UID, class rdm.Class, pid rdm.PID, data []byte) rdm.Packet {
	c.transaction++
	return rdm.Packet{To: to, From: us, Transaction: c.transaction, Port: 1, Class: class, PID: pid, Data: data}
}

// once asks, again where nobody answers.
func (c *Caller) once(ctx context.Context, to rdm.UID, class rdm.Class, pid rdm.PID, data []byte) (rdm.Packet, error) {
	var reply rdm.Packet
	err := errSilent
	for n := 0; n < asks && errors.Is(err, errSilent) && ctx.Err() == nil; n++ {
		p := c.request(to, class, pid, data)
		reply, err = c.line.Exchange(ctx, &p)
	}
	return reply, errors.Join(err, ctx.Err())
}

// ask asks until the whole answer is there.
func (c *Caller) ask(ctx context.Context, to rdm.UID, class rdm.Class, pid rdm.PID, data []byte) ([]byte, error) {
	var all []byte
	for range mostParts {
		reply, err := c.once(ctx, to, class, pid, data)
		if err == nil && reply.Port == rdm.AckTimer {
			reply, err = c.later(ctx, &reply, to, class, pid)
		}
		switch {
		case err != nil:
			return nil, err
		case reply.PID != pid:
			return nil, fmt.Errorf("%v: it answers with %v", pid, reply.PID)
		case reply.Port == rdm.Nack:
			reason, err := rdm.Number16(pid, reply.Data)
			if err != nil {
				return nil, err
			}
			return nil, Refused{pid, rdm.Reason(reason)}
		}
		all = append(all, reply.Data...)
		if reply.Port == rdm.Ack {
			return all, nil
		}
	}
	return nil, fmt.Errorf("%v: the answer does not end", pid)
}

// later waits as long as a device asked for, and fetches the answer from those that wait
// in it (clauses 6.3.2 and 10.3.1).
func (c *Caller) later(ctx context.Context, reply *rdm.Packet, to rdm.UID, class rdm.Class, pid rdm.PID) (rdm.Packet, error) {
	until := time.Now().Add(mostLater)
	for n := 0; n < mostQueued && time.Now().Before(until); n++ {
		if reply.Port == rdm.AckTimer {
			tenths, err := rdm.Number16(pid, reply.Data)
			if err != nil {
				return rdm.Packet{}, err
			}
			wait := min(time.Duration(tenths)*100*time.Millisecond, time.Until(until))
			select {
			case <-ctx.Done():
				return rdm.Packet{}, ctx.Err()
			case <-time.After(wait):
			}
		}
		next, err := c.once(ctx, to, rdm.Get, rdm.QueuedMessage, []byte{byte(rdm.GradeAdvisory)})
		if err != nil {
			return next, err
		}
		if next.PID == pid && next.Class == class+1 && next.Port != rdm.AckTimer {
			return next, nil
		}
		if next.PID == rdm.QueuedMessage && next.Port == rdm.Nack {
			break // it keeps none
		}
		reply = &next
	}
	return rdm.Packet{}, fmt.Errorf("%v: it asked for time, and then did not answer", pid)
}

func (c *Caller) get(ctx context.Context, to rdm.UID, pid rdm.PID, data ...byte) ([]byte, error) {
	return c.ask(ctx, to, rdm.Get, pid, data)
}

// SetAddress gives a device its start address, and reads it back.
func (c *Caller) SetAddress(ctx context.Context, to rdm.UID, address int) error {
	if address < 1 || address > 512 {
		return fmt.Errorf("address: got %d, want 1 to 512", address)
	}
	if _, err := c.ask(ctx, to, rdm.Set, rdm.StartAddress, binary.BigEndian.AppendUint16(nil, uint16(address))); err != nil {
		return err
	}
	b, err := c.get(ctx, to, rdm.StartAddress)
	if err != nil {
		return fmt.Errorf("read it back: %w", err)
	}
	if got, err := rdm.Number16(rdm.StartAddress, b); err != nil || int(got) != address {
		return fmt.Errorf("it took the address, and says %d when it is asked again", got)
	}
	return nil
}

// SetMode puts a device into one of its modes, from 1, and reads it back.
func (c *Caller) SetMode(ctx context.Context, to rdm.UID, mode int) error {
	if mode < 1 || mode > 255 {
		return fmt.Errorf("mode: got %d, want 1 to 255", mode)
	}
	if _, err := c.ask(ctx, to, rdm.Set, rdm.Personality, []byte{byte(mode)}); err != nil {
		return err
	}
	b, err := c.get(ctx, to, rdm.Personality)
	if err != nil {
		return fmt.Errorf("read it back: %w", err)
	}
	if len(b) != 2 || int(b[0]) != mode {
		return fmt.Errorf("it took the mode, and says % x when it is asked again", b)
	}
	return nil
}

// Identify makes a device show itself by what it has for that, or ends it.
func (c *Caller) Identify(ctx context.Context, to rdm.UID, on bool) error {
	state := byte(0)
	if on {
		state = 1
	}
	_, err := c.ask(ctx, to, rdm.Set, rdm.IdentifyDevice, []byte{state})
	return err
}
