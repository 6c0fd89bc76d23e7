package main

import (
	"time"

	"lampblack/play"
	"lampblack/play/beacon"
	"lampblack/play/output"
	"lampblack/si"
	"lampblack/source"
)

// What is wrong with a pair of machines, told on both of them for as long as it is so.
const (
	// unheardFor is how long the other machine may say nothing until a person is told.
	unheardFor = 3 * time.Second
	// unmetFor is how long it may take to come at all: both are started by hand.
	unmetFor = 10 * time.Second
	// differFor is how long the other machine may take to go over to texts that were taken here.
	differFor = 3 * time.Second
)

// second is what a trouble of the pair is of.
const second = "the second machine"

// copyThem is what to do about other texts.
const copyThem = "copy the folder from the one to the other; what fits is taken by itself, the rest when it is started again"

// troubles are what is wrong with the pair.
func (q *paired) troubles(now time.Time) []play.Trouble {
	c := q.Company(now)
	q.mu.Lock()
	defer q.mu.Unlock()
	other := &c.Other
	there := !other.In.IsZero() && now.Sub(other.In) < unheardFor && !other.Ended
	switch {
	case !there || other.Version == q.version || other.Version == "" || q.version == "":
		q.differ = time.Time{}
	case q.differ.IsZero():
		q.differ = now
	}
	var all []play.Trouble
	stood := q.stood
	q.stood = map[string]time.Time{}
	add := func(cause output.Cause, who, text, hint string) {
		since, is := stood[who]
		if !is {
			since = now
		}
		q.stood[who] = since
		all = append(all, play.Trouble{Of: second, Fault: output.Fault{Cause: cause, Degree: output.Partly, Who: who, Since: since, Text: source.Visible(text), Hint: hint}})
	}
	if c.Double != "" {
		if q.standby {
			add(output.TwoAlike, "alike", c.Double+" stands by with this word as well: without the main machine both would send, and lamps would jump", "quit one of the two that stand by")
		} else {
			add(output.TwoAlike, "alike", c.Double+" is a main machine with this word as well: lamps jump between the two", "quit one of them, and start it again with --standby")
		}
	}
	switch {
	case there:
	case c.Stranger != "":
		add(output.OtherWord, "word", "another machine speaks of a pair with another word: "+c.Stranger, "the word after --pair must be the same on both, to the letter: quit the one where it is wrong, and start it again")
	case c.Deaf != "":
		add(output.NoSecond, "deaf", c.Deaf+" is heard, and hears nothing of this machine", "a firewall there, or here, lets nothing through: UDP port 15569 must come in on both")
	default:
		q.unheard(now, &c, add)
	}
	if !q.differ.IsZero() && now.Sub(q.differ) > differFor {
		add(output.OtherTexts, "texts", q.differs(other), copyThem)
	}
	return all
}

// unheard tells that the other machine is not heard, and for how long. The lock is held.
func (q *paired) unheard(now time.Time, c *beacon.Company, add func(cause output.Cause, who, text, hint string)) {
	const hint = "is it on and awake, its cable in, its run begun with the same word? it is heard again by itself"
	name, since := c.Other.Machine, si.Say(now.Sub(c.Other.In).Truncate(time.Second).Seconds(), "s")
	switch {
	case c.Other.In.IsZero() && now.Sub(c.Begun) < unmetFor:
	case c.Other.In.IsZero() && q.standby:
		add(output.NoSecond, "unmet", "no main machine has been heard yet: nothing is sent", "start the run there with the same --pair, in the same network")
	case c.Other.In.IsZero():
		add(output.NoSecond, "unmet", "no machine that stands by has been heard yet", "start it there with the same --pair and --standby, in the same network")
	case q.standby:
		add(output.NoSecond, "silent", name+" has not been heard for "+since+", and this machine goes on alone", hint)
	case c.Other.Ended:
		add(output.NoSecond, "ended", name+" was ended there, and stands by no more", "start it again there, or go on without it")
	default:
		add(output.NoSecond, "silent", name+", which stands by, has not been heard for "+since, hint)
	}
}

// differs says what other texts come to. The lock is held.
func (q *paired) differs(other *beacon.Heard) string {
	name := other.Machine
	switch {
	case other.Shape != q.shape && q.standby:
		return name + " runs another show, with other units, zones, steps or waits, and is not followed"
	case other.Shape != q.shape:
		return name + " does not stand by: its show is another, with other units, zones, steps or waits"
	case q.standby:
		return name + " runs other texts of this show: what was changed there is not in the light of this machine"
	}
	return name + " stands by with other texts of this show: what was changed here is not in its light"
}
