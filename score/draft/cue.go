package draft

import (
	"fmt"
	"math"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Times of what the draft makes.
const (
	quickest    = 50 * time.Millisecond // rise of a bump: two frames
	slowest     = 150 * time.Millisecond
	longestFade = 12 * time.Second
	intoHush    = 300 * time.Millisecond
	leastBack   = 400 * time.Millisecond

	// When it was too quick. A bump that falls over a second or more is no flash
	// of three in a second, and a change of half a second or more is no snap.
	intoHushSlowly = 800 * time.Millisecond
	slowBack       = time.Second
)

// place makes cues of the chosen candidates. The order is that of time, so what stands
// under a cue is known when it comes: changes are noted as they are made. What turns
// out to have no place is barred, and propose begins again without it.
func (d *drafting) place() {
	d.handChanges()
	d.moving = 0
	for i := range d.list {
		if !d.chosen[i] {
			continue
		}
		c := &d.list[i]
		cue := score.Cue{By: score.Draft, Lands: score.Starts}
		under := d.stands(c.at)
		why := ""
		switch c.kind {
		case soundtrack.Turn:
			why = d.change(&cue, c, under)
		case soundtrack.Hush:
			why = d.silence(&cue, c, under)
		case soundtrack.Swell:
			why = d.rise(&cue, c, under, d.next(i))
		default:
			why = d.bump(&cue, c, under, d.next(i))
		}
		if why != "" {
			d.barred = append(d.barred, barred{c.key(), c.moment, why})
			continue
		}
		if f := d.fixes.why[c.key()]; f != "" {
			cue.Why += "; gentler than at first, for " + f
		}
		at := land(&cue, c.at)
		d.items = append(d.items, item{c.key(), at, c.worth})
		if !cue.Bump() {
			d.stand(at.Start, cue.Look.Name)
		}
		d.result.Cues = append(d.result.Cues, cue)
	}
}

// next returns when the next chosen cue, calm or the end comes.
func (d *drafting) next(i int) time.Duration {
	next := d.track.Duration
	for j := i + 1; j < len(d.list); j++ {
		if d.chosen[j] {
			next = d.list[j].at
			break
		}
	}
	for _, s := range d.plan.score.Calm {
		if s.From > d.list[i].at {
			next = min(next, s.From)
		}
	}
	for _, f := range d.problem.fixed {
		if f > d.list[i].at {
			return min(next, f)
		}
	}
	return next
}

// sameLook is why a change is left out that would change nothing.
const sameLook = "the look stands already"

// change brings a section's look: over a time that its mood gives, or with the swell
// that leads into it. It returns why not, when it does not. The ways of hanging on a
// moment are tried from the most certain to the least: the beginning, a swell, a hit, a
// turn that was heard, and a bare time.
func (d *drafting) change(cue *score.Cue, c *candidate, under string) string {
	p := &d.parts[c.part]
	look := d.looks[c.part]
	rung := d.fixes.rung[c.key()]
	if rung >= anotherLook {
		if look = d.alternate(c.part, under); look == "" {
			return d.fixes.reason(c.key(), "no other look of the score fits here")
		}
	}
	if look = d.keepWork(under, look); look == under {
		return sameLook
	}
	cue.Look = source.Ref{Name: look}
	cue.Up = tempers[p.mood].up
	if rung >= slower {
		cue.Up = max(2*cue.Up, time.Second)
	}
	cue.Why = fmt.Sprintf("section %s begins, %s", p.label, p.mood)
	switch {
	case c.part == 0 && p.from == 0:
		if cue.At = new(time.Duration); rung < slower { // it stands before the sound starts
			cue.Up = 0
		}
	case c.swell != nil:
		cue.On = c.anchor()
		cue.Up = min(longestFade, c.swell.End-c.swell.Time).Round(100 * time.Millisecond)
		cue.Lands = score.Completes
		cue.Why += ", on the swell that leads into it"
	case c.hit:
		cue.On = &score.Anchor{Kind: "hit", Near: rounded(c.at)}
		cue.Why += ", on a hit"
	case c.moment.Kind == soundtrack.Turn && (c.moment.Time-p.from).Abs() < sameMoment:
		cue.On = &score.Anchor{Kind: "turn", Near: rounded(p.from)}
	default:
		at := rounded(p.from)
		cue.At = &at
	}
	if rung < slower {
		d.enliven(cue, c)
	}
	return ""
}

// silence takes the light away for as long as nothing is heard; the next section brings
// it back. A look that a wish names comes more slowly when it is objected to, and is
// then given up: no other is put in its place.
func (d *drafting) silence(cue *score.Cue, c *candidate, under string) string {
	name := d.wish.Hush.Name
	rung := d.fixes.rung[c.key()]
	switch {
	case name == "":
		name = d.darkest(rung >= anotherLook)
	case rung >= anotherLook:
		name = ""
	}
	if name == "" {
		return d.fixes.reason(c.key(), "no look is dark enough")
	}
	if name = d.keepWork(under, name); name == under {
		return sameLook
	}
	cue.On = &score.Anchor{Kind: "hush", Near: rounded(c.at)}
	cue.Look, cue.Up = source.Ref{Name: name}, intoHush
	if rung >= slower {
		cue.Up = intoHushSlowly
	}
	cue.Why = fmt.Sprintf("silence of %.1f s: %s", (c.moment.End - c.moment.Time).Seconds(), c.moment.Why)
	return ""
}

// rise is a bump that grows with a swell and is brightest at its end. Its way back is 3
// s, or less where the mood or the next cue wants it.
func (d *drafting) rise(cue *score.Cue, c *candidate, under string, next time.Duration) string {
	cue.On = c.anchor()
	cue.Up = min(longestFade, c.moment.End-c.moment.Time).Round(100 * time.Millisecond)
	cue.Why = "a swell: " + c.moment.Why
	return d.back(cue, c, under, 3*time.Second, next, false)
}

// anchor of a swell is the hit that it leads to, or its end.
func (c *candidate) anchor() *score.Anchor {
	if c.hit {
		return &score.Anchor{Kind: "hit", Near: rounded(c.at)}
	}
	return &score.Anchor{Kind: "swell", Near: rounded(c.swell.End), End: true}
}

// bump lights a hit as it sounds: up with its attack, back with its decay.
func (d *drafting) bump(cue *score.Cue, c *candidate, under string, next time.Duration) string {
	cue.On = &score.Anchor{Kind: "hit", Near: rounded(c.at)}
	cue.Up = min(max(c.moment.Attack, quickest), slowest).Round(10 * time.Millisecond)
	cue.Why = fmt.Sprintf("hit of rank %d: %s", c.moment.Rank, c.moment.Why)
	return d.back(cue, c, under, max(c.moment.Decay, leastBack), next, c.moment.After < d.loudest(c.part)-softHit)
}

// softHit is how far under a section's loudest lit hit, in LU, one gets a
// softer light.
const softHit = 6

// loudest is the loudness of the loudest hit that is lit in a part. -∞ where none is
// lit, so that nothing is softer.
func (d *drafting) loudest(part int) float64 {
	most := math.Inf(-1)
	for i, c := range d.list {
		if d.chosen[i] && c.part == part && c.kind == soundtrack.Hit {
			most = max(most, c.moment.After)
		}
	}
	return most
}

// back gives a bump its look and the time in which it falls back to what stands under
// it. It returns why not, when nothing may be raised. It must be over by nine tenths of
// the way to the next cue, lest two bumps run into one; and lasts at least 0.2 s even
// where that is too long for it.
func (d *drafting) back(cue *score.Cue, c *candidate, under string, returns, next time.Duration, soft bool) string {
	rung := d.fixes.rung[c.key()]
	longest := tempers[d.parts[c.part].mood].returns
	if rung >= slower {
		returns, longest = max(2*returns, slowBack), 2*longest
	}
	room := (next - c.at) * 9 / 10
	returns = max(leastBack/2, min(returns, longest, room)).Round(50 * time.Millisecond)
	cue.Returns = &returns
	cue.Lands = score.Peaks
	look := d.accent(under, &d.parts[c.part], soft, max(0, rung-slower))
	if look == "" {
		return d.fixes.reason(c.key(), nothingToRaise(under))
	}
	cue.Look = source.Ref{Name: d.keepWork(under, look)}
	return ""
}

func nothingToRaise(under string) string {
	if under == "" {
		return "no look stands under it"
	}
	return "nothing in the look " + under + " may be made brighter"
}

func rounded(t time.Duration) time.Duration { return t.Round(time.Millisecond) }

// Line writes a cue as one line of a score. It writes what score.Read reads; keys that
// have their usual value are left out.
func Line(c *score.Cue) string {
	s := fmt.Sprintf("{cue: %s, ", c.Number.Name)
	if c.On != nil {
		s += "on: " + c.On.String()
	} else {
		s += "at: " + si.FormatTime(*c.At)
	}
	s += ", look: " + source.Quote(c.Look.Name)
	if c.Up > 0 {
		s += ", up: " + seconds(c.Up)
	}
	if c.Returns != nil {
		s += ", returns: " + seconds(*c.Returns)
	}
	s += ", lands: " + string(c.Lands) + livesText(&c.Lives)
	return s + ", by: " + string(c.By) + ", why: " + source.Quote(c.Why) + "}"
}

func seconds(d time.Duration) string {
	return fmt.Sprintf("%g s", float64(d.Round(time.Millisecond))/float64(time.Second))
}
