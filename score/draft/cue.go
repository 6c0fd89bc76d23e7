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
)

// place makes cues of the chosen candidates.
func (d *drafting) place() {
	stands := ""
	for i, c := range d.list {
		if !d.chosen[i] {
			continue
		}
		switch {
		case c.kind == soundtrack.Hush:
			stands = "" // whatever the silence shows
		case c.kind == soundtrack.Turn && stands == d.looks[c.part]:
			continue // nothing would change
		case c.kind == soundtrack.Turn:
			stands = d.looks[c.part]
		}
		cue := score.Cue{By: score.Draft, Lands: score.Starts}
		switch c.kind {
		case soundtrack.Turn:
			d.change(&cue, &c)
		case soundtrack.Hush:
			d.silence(&cue, &c)
		case soundtrack.Swell:
			d.rise(&cue, &c, d.next(i))
		default:
			d.bump(&cue, &c, d.next(i))
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
	for _, s := range d.score.Calm {
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

// change brings a section's look: over a time that its mood gives, or with the
// swell that leads into it.
func (d *drafting) change(cue *score.Cue, c *candidate) {
	p := &d.parts[c.part]
	cue.Look = source.Ref{Name: d.looks[c.part]}
	cue.Up = tempers[p.mood].up
	cue.Why = fmt.Sprintf("section %s begins, %s", p.label, p.mood)
	switch {
	case c.part == 0 && p.from == 0:
		cue.At, cue.Up = new(time.Duration), 0
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
}

// silence takes the light away for as long as nothing is heard; the next
// section brings it back.
func (d *drafting) silence(cue *score.Cue, c *candidate) {
	name := d.wish.Hush.Name
	if name == "" {
		name = d.darkest()
	}
	cue.On = &score.Anchor{Kind: "hush", Near: rounded(c.at)}
	cue.Look, cue.Up = source.Ref{Name: name}, intoHush
	cue.Why = fmt.Sprintf("silence of %.1f s: %s", (c.moment.End - c.moment.Time).Seconds(), c.moment.Why)
}

// rise is a bump that grows with a swell and is brightest at its end.
func (d *drafting) rise(cue *score.Cue, c *candidate, next time.Duration) {
	cue.On = c.anchor()
	cue.Up = min(longestFade, c.moment.End-c.moment.Time).Round(100 * time.Millisecond)
	d.back(cue, c, 3*time.Second, next)
	cue.Why = "a swell: " + c.moment.Why
}

// anchor of a swell is the hit that it leads to, or its end.
func (c *candidate) anchor() *score.Anchor {
	if c.hit {
		return &score.Anchor{Kind: "hit", Near: rounded(c.at)}
	}
	return &score.Anchor{Kind: "swell", Near: rounded(c.swell.End), End: true}
}

// bump lights a hit as it sounds: up with its attack, back with its decay.
func (d *drafting) bump(cue *score.Cue, c *candidate, next time.Duration) {
	cue.On = &score.Anchor{Kind: "hit", Near: rounded(c.at)}
	cue.Up = min(max(c.moment.Attack, quickest), slowest).Round(10 * time.Millisecond)
	d.back(cue, c, max(c.moment.Decay, leastBack), next)
	if c.moment.After < d.loudest(c.part)-softHit {
		cue.Look.Name = d.softer(d.looks[c.part], cue.Look.Name)
	}
	cue.Why = fmt.Sprintf("hit of rank %d: %s", c.moment.Rank, c.moment.Why)
}

// softHit is how far under a section's loudest lit hit, in LU, one gets a
// softer light.
const softHit = 6

// loudest is the loudness of the loudest hit that is lit in a part.
func (d *drafting) loudest(part int) float64 {
	most := math.Inf(-1)
	for i, c := range d.list {
		if d.chosen[i] && c.part == part && c.kind == soundtrack.Hit {
			most = max(most, c.moment.After)
		}
	}
	return most
}

func (d *drafting) back(cue *score.Cue, c *candidate, returns, next time.Duration) {
	longest := tempers[d.parts[c.part].mood].returns
	room := (next - c.at) * 9 / 10
	returns = max(leastBack/2, min(returns, longest, room)).Round(50 * time.Millisecond)
	cue.Returns = &returns
	cue.Lands = score.Peaks
	cue.Look = source.Ref{Name: d.bumpLook(c.part)}
}

func (d *drafting) bumpLook(part int) string {
	if w := d.parts[part].wish; w != nil && w.Accent.Name != "" {
		return w.Accent.Name
	}
	return d.accent(d.looks[part])
}

func rounded(t time.Duration) time.Duration { return t.Round(time.Millisecond) }

// Line writes a cue as one line of a score.
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
	s += ", lands: " + string(c.Lands)
	return s + ", by: " + string(c.By) + ", why: " + source.Quote(c.Why) + "}"
}

func seconds(d time.Duration) string {
	return fmt.Sprintf("%g s", float64(d.Round(time.Millisecond))/float64(time.Second))
}
