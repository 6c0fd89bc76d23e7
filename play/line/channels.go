package line

import (
	"fmt"
	"strconv"
	"strings"
)

// Channels are the outputs of a sound device that a soundtrack goes to: a pair of
// neighbours, left First, or one alone, which is both First and Last. As text, counted
// from 1 as on the device:
//
//	channels = number "-" number | number
//
// as in "1-2" or "3".
type Channels struct{ First, Last int }

// MaxChannels is how many a sound device may have: those of a PulseAudio stream
// (PA_CHANNELS_MAX; from memory).
const MaxChannels = 32

// ParseChannels reads channels. Its error joins a *Fault for everything that is wrong.
func ParseChannels(text string) (Channels, error) {
	r := newReader(text)
	c := r.channels(r.take("channels of the sound device, as 1-2 or 3"))
	for _, w := range r.words {
		r.fault(w, "", "got %q behind the channels", w.text)
	}
	if err := r.err("channels", text); err != nil {
		return Channels{}, err
	}
	return c, nil
}

func (r *reader) channels(w word) Channels {
	if w.text == "" {
		return Channels{}
	}
	first, last, pair := strings.Cut(w.text, "-")
	a := r.channel(word{first, w.column})
	if !pair {
		return Channels{a, a}
	}
	b := r.channel(word{last, w.column + len(first) + 1})
	if a > 0 && b > 0 && b != a+1 {
		a = min(a, b, MaxChannels-1)
		r.fault(w, fmt.Sprintf("%d-%d", a, a+1), "got %q, want one channel or two neighbours, the left one first", w.text)
	}
	return Channels{a, b}
}

// channel reads one number; 0 is a fault.
func (r *reader) channel(w word) int {
	n, err := strconv.ParseUint(w.text, 10, 8)
	if err != nil || n < 1 || n > MaxChannels {
		r.fault(w, "", "got %q, want a channel from 1 to %d, or a pair as 1-2", w.text, MaxChannels)
		return 0
	}
	return int(n)
}

// Count is 1 or 2.
func (c Channels) Count() int { return c.Last - c.First + 1 }

// Meets tells whether a channel is in both.
func (c Channels) Meets(o Channels) bool { return c.First <= o.Last && o.First <= c.Last }

// String writes channels as they are read.
func (c Channels) String() string {
	if c.Count() == 1 {
		return strconv.Itoa(c.First)
	}
	return fmt.Sprintf("%d-%d", c.First, c.Last)
}

// Say is String with a word before it.
func (c Channels) Say() string {
	if c.Count() == 1 {
		return "channel " + c.String()
	}
	return "channels " + c.String()
}
