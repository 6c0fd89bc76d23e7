package beacon

import (
	"bytes"
	"crypto/hmac"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"sync"
	"time"

	"lampblack/play/course"
	"lampblack/play/output"
	"lampblack/wire/beacon"
)

// Pair lets two machines that run the same show know of each other, one of which stands by:
// [OpenPair] sends what the run says and hears what the other does, Close ends it.
//
//	main     where the show is, at each event and five times a second ──▶
//	standby  ◀── that it is there, or where the show is while it goes on alone
//
// Both know a word. A message counts when it is signed with a key that is made of the word
// (HMAC, RFC 2104; PBKDF2, RFC 8018), is newer than the last, and names this run as one that
// its sender hears: what was recorded another evening is no message. What is sent can be
// read by whoever is in the network.
type Pair struct {
	air  air
	key  []byte
	stop chan struct{}
	wake chan struct{} // holds one when there is something to send at once
	done sync.WaitGroup
	mono func() int64 // of this machine

	mu      sync.Mutex // guards what follows
	ours    Said
	peers   map[string]*peer
	met     Heard // the other machine, as it was heard last
	strange strange
	begun   time.Time
}

// Said is what a machine says to its pair.
type Said struct {
	Run     string   // another for every run
	Seq     uint64   // of the message
	Machine string   // its name
	Standby bool     // it stands by
	Alone   bool     // it stands by, and goes on alone
	Runs    bool     // it sends light
	Ended   bool     // its run has ended as it should
	Version string   // of the show that it runs now
	Shape   string   // of that: who has another cannot send the same light
	CID     [16]byte // component identifier of its outputs
	Sent    int64    // ns, of the sender's own clock
	Hears   []string // the runs that the sender has heard
	Zones   []course.Told
}

// Heard is what another said last.
type Heard struct {
	Said
	At time.Time // when it was sent, by the clock of this machine
	In time.Time // when it came
}

// peer is another machine with the word.
type peer struct {
	first time.Time // when it was heard first
	seq   uint64
	least []int64 // the last differences between arriving and sending
	last  Heard
	known bool // it has said that it hears us
}

const (
	pairPort  = beacon.Port + 1
	pairHead  = "lmpp\x01"
	pairEvery = 200 * time.Millisecond
	rounds    = 100_000 // of PBKDF2
	mostPeers = 8
	mostPair  = 60_000 // octets of a message
	steadies  = 100    // how many differences are looked back on: twenty seconds
	// Gone is after how long without a message a machine counts as gone.
	Gone = time.Second
)

// OpenPair begins to send and hear. The word is a secret of both machines.
func OpenPair(word string, standby bool) (*Pair, error) {
	a, err := openAir(pairPort)
	if err != nil {
		return nil, fmt.Errorf("hear the other machine: %w", err)
	}
	begun := time.Now()
	return openPair(word, standby, a, func() int64 { return int64(time.Since(begun)) })
}

func openPair(word string, standby bool, a air, mono func() int64) (*Pair, error) {
	key, err := pbkdf2.Key(sha256.New, word, []byte("lampblack pair"), rounds, 32)
	if err != nil {
		return nil, errors.Join(err, a.Close())
	}
	p := &Pair{air: a, key: key, stop: make(chan struct{}), wake: make(chan struct{}, 1), mono: mono, peers: map[string]*peer{}, begun: time.Now()}
	p.ours = Said{Run: rand.Text(), Standby: standby, CID: output.ComponentID(output.Options{Standby: standby})}
	p.ours.Machine, _ = os.Hostname()
	p.done.Go(p.speak)
	p.done.Go(p.hear)
	return p, nil
}

// Close ends it.
func (p *Pair) Close() error {
	close(p.stop)
	err := p.air.Close()
	p.done.Wait()
	return err
}

// Shows says which show this machine runs from now on.
func (p *Pair) Shows(version, shape string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ours.Version, p.ours.Shape = version, shape
}

// Say says how this machine's run stands from now on. now says at once that something has
// happened, and not with the next message.
func (p *Pair) Say(zones []course.Told, runs, alone, now bool) {
	p.mu.Lock()
	p.ours.Zones, p.ours.Runs, p.ours.Alone = zones, runs, alone
	p.mu.Unlock()
	if now {
		select {
		case p.wake <- struct{}{}:
		default:
		}
	}
}

// Bye says that this machine's run has ended as it should, three times: a message may be lost.
func (p *Pair) Bye() {
	p.mu.Lock()
	p.ours.Ended, p.ours.Runs = true, false
	p.mu.Unlock()
	for range 3 {
		p.air.send(p.message(), nil)
	}
}

// Other is what the other machine of the pair said last, if it is there: the main one for a
// standby, and the standby for the main one. Of several the newest counts.
func (p *Pair) Other(now time.Time) (h Heard, ok bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, o := range p.peers {
		if o.known && o.last.Standby != p.ours.Standby && now.Sub(o.last.In) < Gone && (!ok || o.last.In.After(h.In)) {
			h, ok = o.last, true
		}
	}
	return h, ok
}

func (p *Pair) speak() {
	t := time.NewTicker(pairEvery)
	defer t.Stop()
	for {
		p.air.send(p.message(), nil)
		select {
		case <-p.stop:
			return
		case <-t.C:
		case <-p.wake:
		}
	}
}

// message is the next message, signed.
func (p *Pair) message() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ours.Seq++
	p.ours.Hears = p.ours.Hears[:0]
	now := time.Now()
	for run, o := range p.peers {
		if now.Sub(o.last.In) < 10*Gone {
			p.ours.Hears = append(p.ours.Hears, run)
		}
	}
	said := p.ours
	said.Sent = p.mono()
	said.Zones = slices.Clone(said.Zones)
	for i := range said.Zones {
		z := &said.Zones[i]
		if i == 0 {
			z.For += now.Sub(z.State.Instant)
		}
		z.State = z.State.On(now) // as it stands when it is sent
	}
	body, err := json.Marshal(&said)
	if err == nil && len(body) > mostPair { // light of a large rig: the rest goes all the same
		for i := range said.Zones {
			said.Zones[i].State.Stands, said.Zones[i].State.Enters = "", ""
		}
		body, err = json.Marshal(&said)
	}
	if err != nil {
		return nil
	}
	return append(append([]byte(pairHead), p.sign(body)...), body...)
}

func (p *Pair) sign(body []byte) []byte {
	m := hmac.New(sha256.New, p.key)
	m.Write(body)
	return m.Sum(nil)
}

// hear takes what comes, at most so many packets a second.
func (p *Pair) hear() {
	packet := make([]byte, 1<<16)
	var second time.Time
	for count := 0; ; count++ {
		n, _, err := p.air.receive(packet)
		if err != nil {
			return
		}
		now := time.Now()
		if now.Sub(second) >= time.Second {
			second, count = now, 0
		}
		if count <= mostPackets {
			p.take(now, packet[:n])
		}
	}
}

// take takes a message, if it is one of the pair.
func (p *Pair) take(now time.Time, packet []byte) {
	body, ok := bytes.CutPrefix(packet, []byte(pairHead))
	if !ok || len(body) < sha256.Size {
		return
	}
	if !hmac.Equal(body[:sha256.Size], p.sign(body[sha256.Size:])) {
		p.other(now, body[sha256.Size:])
		return
	}
	var said Said
	if json.Unmarshal(body[sha256.Size:], &said) != nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	o := p.peers[said.Run]
	switch {
	case said.Run == p.ours.Run:
		return
	case o == nil:
		p.forget(now)
		if len(p.peers) >= mostPeers {
			return
		}
		o = &peer{first: now}
		p.peers[said.Run] = o
	case said.Seq <= o.seq:
		return
	}
	o.seq, o.known = said.Seq, slices.Contains(said.Hears, p.ours.Run)
	o.last = Heard{Said: said, In: now, At: o.sentAt(now, p.mono()-said.Sent)}
	for i := range o.last.Zones {
		o.last.Zones[i].State.Instant = o.last.At
	}
	if o.known && said.Standby != p.ours.Standby {
		p.met = o.last
	}
}

// sentAt is when a message was sent, by this machine's clock: what was on its way for longer
// than the quickest of late was delayed by that much.
func (o *peer) sentAt(now time.Time, difference int64) time.Time {
	o.least = append(o.least, difference)
	if len(o.least) > steadies {
		o.least = slices.Delete(o.least, 0, len(o.least)-steadies)
	}
	return now.Add(-time.Duration(difference - slices.Min(o.least)))
}

// forget lets go of who has said nothing for long. The lock is held.
func (p *Pair) forget(now time.Time) {
	for run, o := range p.peers {
		if now.Sub(o.last.In) > 60*Gone {
			delete(p.peers, run)
		}
	}
}
