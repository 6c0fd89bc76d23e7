package beacon

import (
	"encoding/json"
	"time"
)

// Company is whom a machine of a pair has heard, for a person. Names are as they were said, by
// whoever said them.
type Company struct {
	Begun    time.Time // when it began to listen
	Other    Heard     // the other machine, as it was heard last; In is zero when it never was
	Double   string    // a machine with the word that plays the same part; "" for none
	Deaf     string    // one with the word that does not hear this one; "" for none
	Stranger string    // one that speaks of a pair with another word; "" for none
}

const (
	// lately is how long after its last message a machine is told of that should not be there.
	lately = 3 * time.Second
	// deafFor is how long a machine may not say that it hears us: five of its messages.
	deafFor = time.Second
	// longName bounds a name that anybody may have sent, in letters.
	longName = 64
)

// strange is who speaks of a pair with another word.
type strange struct {
	machine      string
	seen, looked time.Time
}

// other takes a message that was not signed with our word: it tells a person that the words may
// differ, and does nothing else. One a second is looked at, for anybody can send it.
func (p *Pair) other(now time.Time, body []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if now.Sub(p.strange.looked) < time.Second {
		return
	}
	p.strange.looked = now
	var said struct{ Machine string }
	if json.Unmarshal(body, &said) == nil {
		p.strange.machine, p.strange.seen = name(said.Machine), now
	}
}

// name is what a machine says that it is called, bounded.
func name(said string) string {
	letters := []rune(said)
	switch {
	case len(letters) == 0:
		return "one without a name"
	case len(letters) > longName:
		return string(letters[:longName])
	}
	return said
}

// Company is whom it has heard.
func (p *Pair) Company(now time.Time) Company {
	p.mu.Lock()
	defer p.mu.Unlock()
	c := Company{Begun: p.begun, Other: p.met}
	for _, o := range p.peers {
		there := now.Sub(o.last.In) < lately && !o.last.Ended
		switch {
		case there && !o.known && now.Sub(o.first) > deafFor:
			c.Deaf = name(o.last.Machine)
		case there && o.known && o.last.Standby == p.ours.Standby:
			c.Double = name(o.last.Machine)
		}
	}
	if now.Sub(p.strange.seen) < lately {
		c.Stranger = p.strange.machine
	}
	return c
}
