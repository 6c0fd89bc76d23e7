package lamps

import (
	"context"
	"errors"
	"time"

	"lampblack/play/line"
	"lampblack/play/output"
	"lampblack/wire/dmx"
	"lampblack/wire/rdm"
)

// port is a serial device with an interface behind it.
type port interface {
	Write(b []byte) (int, error)
	// ReadWithin waits so long for some octets; none, and no error, when none come.
	ReadWithin(b []byte, most time.Duration) (int, error)
	Close() error
}

// answerWithin is how long an interface may take to say what came, or that nothing did: the
// line itself takes 2.8 ms to begin an answer and 11.5 ms for the longest (ANSI E1.20, table
// 3-2 and clause 3.2, from memory), the rest is the way through the computer.
const answerWithin = 400 * time.Millisecond

// widget is the data line of an interface.
type widget struct {
	port     port
	place    string
	universe int
	scanner  dmx.Scanner
	caller   *Caller // counts transactions of the search
	heard    bool    // it has answered to RDM at least once
	unheard  int
}

func openWidget(out line.Out) (*Lines, error) {
	p, err := output.OpenTalk(&out)
	if err != nil {
		return nil, err
	}
	w := newWidget(p, out.Place, int(out.First()))
	return &Lines{All: []Line{w}, close: p.Close}, nil
}

func newWidget(p port, place string, universe int) *widget {
	w := &widget{port: p, place: place, universe: universe}
	w.caller = NewCaller(w)
	return w
}

func (w *widget) Name() string  { return "interface " + w.place }
func (w *widget) Universe() int { return w.universe }

// Find searches the line.
func (w *widget) Find(ctx context.Context, progress Progress) ([]rdm.UID, error) {
	s := search{asker: w, progress: progress}
	return s.find(ctx)
}

// errNoRDM is that an interface takes no RDM.
var errNoRDM = errors.New("the interface does not answer when it is to ask lamps: it has no RDM, or its firmware is of before")

// mostUnheard is how many messages an interface may leave without any answer at first.
const mostUnheard = 4

// say sends a message and waits for what came of it: the octets of the line, none when
// nobody answered.
func (w *widget) say(ctx context.Context, label byte, packet []byte) ([]byte, error) {
	w.drain()
	m := dmx.Message{Label: label, Data: packet}
	if _, err := w.port.Write(m.Append(nil)); err != nil {
		return nil, err
	}
	buffer := make([]byte, 1024)
	for end := time.Now().Add(answerWithin); ctx.Err() == nil && time.Until(end) > 0; {
		n, err := w.port.ReadWithin(buffer, min(time.Until(end), answerWithin/4))
		if err != nil {
			return nil, err
		}
		var got []byte
		came := false
		w.scanner.Feed(buffer[:n], func(m dmx.Message) {
			switch {
			case came:
			case m.Label == dmx.LabelReceived && len(m.Data) > 1:
				got, came = append(got, m.Data[1:]...), true
			case m.Label == dmx.LabelNoAnswer:
				came = true
			}
		})
		if came {
			w.heard = true
			return got, nil
		}
	}
	if w.unheard++; !w.heard && w.unheard >= mostUnheard {
		return nil, errNoRDM
	}
	return nil, ctx.Err()
}

// drain forgets what came late.
func (w *widget) drain() {
	buffer := make([]byte, 1024)
	for range 16 {
		n, err := w.port.ReadWithin(buffer, 0)
		if n == 0 || err != nil {
			return
		}
		w.scanner.Feed(buffer[:n], func(dmx.Message) {})
	}
}

// Exchange sends a request to one device.
func (w *widget) Exchange(ctx context.Context, request *rdm.Packet) (rdm.Packet, error) {
	b, err := w.say(ctx, dmx.LabelRDM, request.Append(nil))
	if err != nil {
		return rdm.Packet{}, err
	}
	p, err := rdm.Parse(b)
	if err != nil || !p.Answers(request) {
		return rdm.Packet{}, errSilent // nothing, or noise
	}
	return p, nil
}

func (w *widget) branch(ctx context.Context, low, high uint64) ([]byte, error) {
	p := w.caller.request(rdm.Broadcast, rdm.Discover, rdm.UniqueBranch, rdm.Branch(low, high))
	return w.say(ctx, dmx.LabelDiscover, p.Append(nil))
}

func (w *widget) mute(ctx context.Context, u rdm.UID) (bool, error) {
	p := w.caller.request(u, rdm.Discover, rdm.Mute, nil)
	reply, err := w.Exchange(ctx, &p)
	if errors.Is(err, errSilent) {
		return false, nil
	}
	return err == nil && reply.Port == rdm.Ack && reply.PID == rdm.Mute, err
}

// unmute is to all: nobody answers.
func (w *widget) unmute(ctx context.Context) error {
	p := w.caller.request(rdm.Broadcast, rdm.Discover, rdm.Unmute, nil)
	_, err := w.say(ctx, dmx.LabelRDM, p.Append(nil))
	return err
}
