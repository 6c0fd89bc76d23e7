package draft

import (
	"cmp"
	"slices"
	"time"

	"lampblack/si"
	"lampblack/soundtrack"
)

// price is what a cue must earn. It is the worth of the hit that would be the last if
// hits took their share of the cues that the brief allows over the whole track.
func (d *drafting) price() int64 {
	var hits []int64
	for _, c := range d.list {
		if c.kind == soundtrack.Hit {
			hits = append(hits, c.worth)
		}
	}
	slices.SortFunc(hits, func(a, b int64) int { return cmp.Compare(b, a) })
	last := int(hitShare * d.perMinute() * d.track.Duration.Minutes())
	if last >= len(hits) {
		return leastPrice
	}
	return min(max(hits[last], leastPrice), mostPrice)
}

// choose solves for the cues.
//
// The price comes off every worth first, and what is left with none goes: the choice
// then needs no bound on how many cues are too many for the music. Bounds are, in this
// order: a least distance, the most in a minute, what each section's mood bears, the
// most in all. Cues of persons take their part of each.
func (d *drafting) choose() {
	price := d.price()
	for i := range d.list {
		d.list[i].worth -= price
	}
	d.list = slices.DeleteFunc(d.list, func(c candidate) bool {
		if c.worth > 0 {
			return false
		}
		d.leave(c.moment, "weaker than what a cue costs here")
		return true
	})
	p := &d.problem
	for _, c := range d.list {
		p.at = append(p.at, c.at)
		if d.fixes.bars(c.key()) {
			p.worth = append(p.worth, 0) // never chosen, and takes nobody's place
		} else {
			p.worth = append(p.worth, c.worth)
		}
	}
	for i := range d.plan.score.Cues {
		p.fixed = append(p.fixed, d.placed(&d.plan.score.Cues[i]).Moment)
	}
	p.sortFixed()
	p.rules = []rule{{d.apart(), 1, "another cue is nearer than " + d.apart().String()}, d.density()}
	for i := range d.parts {
		q := &d.parts[i]
		bears := tempers[q.mood].bumps
		most := 1 + int(float64(bears)*(q.to-q.from).Minutes()+.5)
		p.stretches = append(p.stretches, stretch{q.from, q.to, most})
	}
	if d.wish.Most > 0 {
		p.stretches = append(p.stretches, stretch{0, d.track.Duration + time.Second, d.wish.Most})
	}
	d.chosen = p.choose()
	d.bringBack()
	for i, c := range d.list {
		if !d.chosen[i] {
			d.leave(c.moment, d.whyNot(i))
		}
	}
}

// bringBack drops silences after which no cue would bring the light back soon. Dropping
// one leaves room that is not filled again; propose has other rounds.
func (d *drafting) bringBack() {
	for i, c := range d.list {
		if d.chosen[i] && c.kind == soundtrack.Hush {
			back := false
			for j := i + 1; j < len(d.list); j++ {
				near := (d.list[j].at - c.moment.End).Abs() < 2*time.Second
				back = back || near && d.chosen[j] && d.list[j].kind == soundtrack.Turn
			}
			d.chosen[i] = back
		}
	}
}

// strong is the strength from which a moment that is left out is told of.
const strong = .4

func (d *drafting) leave(m soundtrack.Moment, why string) {
	if m.Strength >= strong || m.Kind != soundtrack.Hit {
		d.result.Left = append(d.result.Left, Left{m, why})
	}
}

// whyNot finds the bound that keeps a candidate out. The choice is one sum over all, so
// no single bound keeps a candidate out; this names the first that is full around it,
// in the order in which a person would ask.
func (d *drafting) whyNot(i int) string {
	if why := d.fixes.out[d.list[i].key()]; why != "" {
		return why
	}
	t := d.list[i].at
	near := d.apart()
	for j, c := range d.list {
		if d.chosen[j] && (c.at-t).Abs() < near {
			return "too near to the cue at " + si.FormatTime(c.at)
		}
	}
	for _, f := range d.problem.fixed {
		if (f - t).Abs() < near {
			return "too near to the cue of a person at " + si.FormatTime(f)
		}
	}
	if d.wish.Most > 0 && d.count(0, d.track.Duration+time.Second) >= d.wish.Most {
		return "the cues that were agreed are used up"
	}
	p := &d.parts[d.list[i].part]
	bears := 1 + int(float64(tempers[p.mood].bumps)*(p.to-p.from).Minutes()+.5)
	if d.count(p.from, p.to) >= bears {
		return "the section is " + string(p.mood) + " and bears no more"
	}
	return "the minute around it is full of stronger ones"
}

func (d *drafting) count(from, to time.Duration) int {
	n := d.problem.fixedIn(stretch{from: from, to: to})
	for j, c := range d.list {
		if d.chosen[j] && c.at >= from && c.at < to {
			n++
		}
	}
	return n
}
