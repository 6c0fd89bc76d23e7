package draft

import (
	"fmt"
	"time"

	"lampblack/living"
	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
)

// Light moves by itself where the music is lively and its beat is sure, and then not in one
// section after another: what always moves is not seen any more (common practice, no source;
// the figures are this tool's choice).
const (
	leastLively = 8 * time.Second // of a section
	sureBeat    = .6              // of the beats' own sureness, on the mean
	leastBeats  = 8
	beatsLong   = 110 // a minute; see the checks' flash-long, from 2 Hz on
)

// enliven lets the light of a lively section move with the beat, unless somebody refused it.
func (d *drafting) enliven(cue *score.Cue, c *candidate) {
	p := &d.parts[c.part]
	if d.refusesMoves(c, p) || d.moving == c.part && c.part > 0 || p.voice || p.to-p.from < leastLively {
		return
	}
	bpm, sure := beatOf(d.track, p.from, p.to)
	if sure < sureBeat {
		return
	}
	switch p.mood {
	case Lively:
		every := living.Often("2 bars")
		cue.InTurn = &score.InTurn{Swing: downTo(.5), Order: score.Outward, Every: &every, Overlap: 1}
		cue.Why += fmt.Sprintf("; goes from lamp to lamp, two bars a round, as it is lively and its beat (%.0f a minute) is sure", bpm)
	case Fierce:
		every := living.Often("beat")
		if bpm > beatsLong { // flashing at two a second or more is not to go on
			every = living.Often("2 beats")
		}
		cue.OnBeat = &score.OnBeat{Swing: downTo(.4), Every: &every}
		cue.Why += fmt.Sprintf("; moves with the beat, %.0f a minute, as it is fierce and the beat is sure", bpm)
	default:
		return
	}
	d.moving = c.part + 1
}

func downTo(x float64) score.Swing {
	r := si.Ratio(x)
	return score.Swing{Down: &r}
}

// refusesMoves tells whether a wish or a decision says that nothing moves here. What is said
// of the moment goes before what is said of the section, and that before all.
func (d *drafting) refusesMoves(c *candidate, p *part) bool {
	said := d.wish.Moves
	if p.wish != nil && p.wish.Moves != nil {
		said = p.wish.Moves
	}
	if o := find(d.options.Decisions, c.moment); o != nil && o.Moves != nil {
		said = o.Moves
	}
	return said != nil && !*said
}

// beatOf is the tempo of a span, and how sure its beats are on the mean; 0 where there are
// too few.
func beatOf(t *soundtrack.Track, from, to time.Duration) (bpm, sure float64) {
	if len(t.Hypotheses) == 0 {
		return 0, 0
	}
	b := &t.Hypotheses[0]
	n := 0
	for i, at := range b.Times {
		if at >= from && at < to && i < len(b.Sure) {
			sure += b.Sure[i]
			n++
		}
	}
	if n < leastBeats || time.Duration(n)*time.Minute/time.Duration(max(b.BPM, 1)) < (to-from)*2/3 {
		return 0, 0
	}
	return b.BPM, sure / float64(n)
}

// livesText is what moves by itself as keys of a cue's line; what the draft writes has its
// place here.
func livesText(l *score.Lives) string {
	s := ""
	if b := l.InTurn; b != nil {
		s += fmt.Sprintf(", in turn: {order: %s, every: %v, overlap: %s, down to: %s}", b.Order, b.Every, percent(float64(b.Overlap)), percent(float64(*b.Down)))
	}
	if b := l.OnBeat; b != nil {
		s += fmt.Sprintf(", on the beat: {every: %v, down to: %s}", b.Every, percent(float64(*b.Down)))
	}
	return s
}
