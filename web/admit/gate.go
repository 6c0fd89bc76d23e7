package admit

import (
	"crypto/rand"
	"crypto/subtle"
	"net/http"
	"strings"
	"sync"
	"time"
)

// Options of a gate.
type Options struct {
	// Own is the key of this computer's user: text of 16 letters or more. "" lets
	// nobody in by it.
	Own string
	// Devices are those that were paired before, and Keep is called with all that are
	// whenever that changes; it does not wait for a disk.
	Devices []Device
	Keep    func([]Device)
	// Codes wait from before, and Waits is called with all that do whenever that changes.
	Codes []Code
	Waits func([]Code)
	For   time.Duration // how long a device is paired; 0 is PairedFor
	// Write is called with each order, to be kept; it does not wait for a disk.
	Write func(Asked)
}

// Gate knows who may come. It is safe for use by many goroutines.
type Gate struct {
	o     Options
	epoch string // the name of this run: what was signed for another counts in none
	book  book   // of what was asked

	mu        sync.Mutex
	devices   []*paired
	codes     []Code
	named     int // devices so far
	own       nonces
	pairing   nonces
	strangers strangers
	all       bucket
	streams   int
}

// New returns a gate.
func New(o Options) *Gate {
	if o.For <= 0 {
		o.For = PairedFor
	}
	g := &Gate{o: o, epoch: strings.ToLower(rand.Text()[:16])}
	now := time.Now()
	for _, d := range o.Devices {
		if _, err := ParseRight(string(d.Right)); err == nil && len(d.Key) >= 16 && d.ID != "" && now.Before(d.Until) && len(g.devices) < mostDevices {
			g.devices = append(g.devices, &paired{Device: d, gone: make(chan struct{})})
			g.named++
		}
	}
	for _, c := range o.Codes {
		if _, err := ParseRight(string(c.Right)); err == nil && len(c.Text) >= 16 && len(g.codes) < mostCodes {
			g.codes = append(g.codes, c)
		}
	}
	g.forget(now)
	return g
}

// Epoch names this run in signatures.
func (g *Gate) Epoch() string { return g.epoch }

// Wanted says how a request is to be signed (RFC 9421, 5.1).
func (g *Gate) Wanted() string {
	return `sig=` + covered + `;created;nonce;keyid;tag="` + g.epoch + `"`
}

// Own is the key of this computer's user.
func (g *Gate) Own() string { return g.o.Own }

// Who is somebody who asks.
type Who struct {
	ID, Name, From string
	Right          Right
	Gone           <-chan struct{} // closes when that is so no more; nil for the owner
}

// ownID is the name of the owner's key in signatures; codeID begins that of a code's.
const (
	ownID  = "own"
	codeID = "code"
)

// Refusal is why somebody may not: with a status of HTTP, words for who asked, and a word for
// the list of what was asked.
type Refusal struct {
	Status    int
	Text, Why string
}

func (r Refusal) Error() string { return r.Text }

// What is refused before anybody is known.
var (
	errBusy    = Refusal{429, "too much is asked at once: wait a second", "too often"}
	errNobody  = Refusal{401, "this browser is not paired: scan the code that the laptop shows on its page Devices, or open the link that the program has printed", "not paired"}
	errStale   = Refusal{401, "this was signed for another run, or at another time: ask again", "old"}
	errTwice   = Refusal{401, "this was asked before: what is signed counts once", "asked before"}
	errOwn     = Refusal{403, "that is for the laptop alone", "for the laptop alone"}
	errMayNot  = Refusal{403, "this device may not do that: the page Devices on the laptop says what it may", "not allowed"}
	errStreams = Refusal{503, "too many pages are open", "too many pages"}
)

// Local tells who asks on this computer's own address: its user, by a signature with the
// key, or by the key itself, for scripts (RFC 6750, 2.1).
func (g *Gate) Local(r *http.Request, body []byte, d Deed) (Who, error) {
	owner := Who{ID: ownID, Name: "laptop", Right: own}
	if text, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok && g.o.Own != "" && subtle.ConstantTimeCompare([]byte(text), []byte(g.o.Own)) == 1 {
		owner.Name = "script"
		return owner, nil
	}
	p, signed := proofOf(r)
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	if !signed || p.keyID != ownID || g.o.Own == "" || !p.fits([]byte(g.o.Own), r, body) {
		if !g.strangers.take("this computer", now) {
			return Who{}, errBusy
		}
		return Who{}, errNobody
	}
	return owner, g.fresh(&p, &g.own, now)
}

// fresh refuses what was signed for another run or time, or came before. The caller holds mu.
func (g *Gate) fresh(p *proof, seen *nonces, now time.Time) error {
	switch off := now.Sub(p.created).Abs(); {
	case p.epoch != g.epoch || off > window:
		return errStale
	case !seen.first(p.nonce, now):
		return errTwice
	}
	return nil
}

// Guest tells who asks from another machine: a device that was paired, by a signature with
// its key, if it may do the deed.
func (g *Gate) Guest(r *http.Request, from string, body []byte, d Deed) (Who, error) {
	p, signed := proofOf(r)
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	g.forget(now)
	if signed {
		for _, x := range g.devices {
			if x.ID == p.keyID && p.fits(x.Key, r, body) {
				return g.device(x, &p, from, d, now)
			}
		}
	}
	if !g.passes(from, now) {
		return Who{}, errBusy
	}
	return Who{}, errNobody
}

// device is Guest of a device that has shown that it is one. What others send in its name
// takes nothing from its bucket. The caller holds mu.
func (g *Gate) device(x *paired, p *proof, from string, d Deed, now time.Time) (Who, error) {
	who := Who{x.ID, x.Name, from, x.Right, x.gone}
	if !x.bucket.take(ofDevice, now) {
		return who, errBusy
	}
	if err := g.fresh(p, &x.nonces, now); err != nil {
		return who, err
	}
	x.Seen, x.From = now, from
	switch {
	case d == Owns:
		return who, errOwn
	case !x.Right.May(d):
		return who, errMayNot
	}
	return who, nil
}

// passes tells whether a stranger may ask for what strangers may: the page that says that it
// is not paired. The caller holds mu.
func (g *Gate) passes(from string, now time.Time) bool {
	return g.strangers.take(from, now) && g.all.take(ofAll, now)
}

// Stranger refuses a stranger who asks too often.
func (g *Gate) Stranger(from string) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	if !g.passes(from, time.Now()) {
		return errBusy
	}
	return nil
}

// Pair makes a device of who asks, if it signed with a code; the nonce of the signature
// becomes part of the device's key.
func (g *Gate) Pair(r *http.Request, from string, body []byte) (Device, error) {
	p, signed := proofOf(r)
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	g.forget(now)
	if !g.passes(from, now) {
		return Device{}, errBusy
	}
	if !signed || p.keyID != codeID {
		return Device{}, errCode
	}
	for _, c := range g.codes {
		if !p.fits([]byte(c.Text), r, body) {
			continue
		}
		if err := g.fresh(&p, &g.pairing, now); err != nil {
			return Device{}, err
		}
		return g.pair(c, p.nonce, from, now)
	}
	return Device{}, errCode
}

// Bounds of the streams of events that are open at once: a browser gives one server six
// connections.
const (
	mostStreams   = 32
	mostOfADevice = 4
)

// Stream lets who asks hold a stream of events, until it calls end.
func (g *Gate) Stream(w Who) (end func(), err error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	var of *paired
	for _, x := range g.devices {
		if x.ID == w.ID {
			of = x
		}
	}
	if of != nil && (of.streams >= mostOfADevice || g.streams >= mostStreams) {
		return nil, errStreams
	}
	if of != nil {
		of.streams++
		g.streams++
	}
	return func() {
		g.mu.Lock()
		defer g.mu.Unlock()
		if of != nil {
			of.streams--
			g.streams--
		}
	}, nil
}
