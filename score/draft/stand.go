package draft

import (
	"slices"
	"sort"
	"time"

	"lampblack/score"
)

// Placed is where a cue lies in time: what it lands on, its first change, and
// when all is done.
type Placed struct {
	Moment, Start, Complete time.Duration
}

// placed returns where a cue of the score lies.
func (d *plan) placed(c *score.Cue) Placed {
	if p, ok := d.options.Placed[c.Number.Name]; ok {
		return p
	}
	return land(c, when(c))
}

// when returns the time of a cue's moment as far as its text tells.
func when(c *score.Cue) time.Duration {
	switch {
	case c.At != nil:
		return *c.At
	case c.On != nil:
		return c.On.Near
	}
	return 0
}

// land places a cue about its moment, as a show does. It must do the same as package
// show, which places the score at last.
func land(c *score.Cue, moment time.Duration) Placed {
	after := max(c.Up, c.Falls())
	if c.Bump() {
		after = c.Up + c.Hold + *c.Returns
	}
	start := moment + c.Delay
	switch c.Lands {
	case score.Peaks:
		start -= c.Up
	case score.Completes:
		start -= after
	}
	return Placed{moment, start, start + after}
}

// change is when another look begins to stand.
type change struct {
	at   time.Duration
	look string
}

// handChanges takes in the changes that a person wrote.
func (d *drafting) handChanges() {
	for i := range d.plan.score.Cues {
		if c := &d.plan.score.Cues[i]; !c.Bump() {
			d.stand(d.placed(c).Start, c.Look.Name)
		}
	}
}

// stand notes a change; of two at one time the later noted stands.
func (d *drafting) stand(at time.Duration, look string) {
	i := sort.Search(len(d.changes), func(i int) bool { return d.changes[i].at > at })
	d.changes = slices.Insert(d.changes, i, change{at, look})
}

// stands returns the look that stands at a time, "" before the first.
func (d *drafting) stands(at time.Duration) string {
	i := sort.Search(len(d.changes), func(i int) bool { return d.changes[i].at > at })
	if i == 0 {
		return ""
	}
	return d.changes[i-1].look
}

// overfull finds a stretch that has more starts of cues in it than were agreed, and of
// the draft's own the one that is worth least. The checks count cues by their starts,
// which lands and fades move away from their moments; that is why the choice, which
// counts by moments, can come out too full.
func (d *drafting) overfull() (worst key, full bool) {
	type start struct {
		at   time.Duration
		item int // index in items, -1 for a person's
	}
	var all []start
	for i := range d.plan.score.Cues {
		all = append(all, start{d.placed(&d.plan.score.Cues[i]).Start, -1})
	}
	for i := range d.items {
		all = append(all, start{d.items[i].at.Start, i})
	}
	slices.SortStableFunc(all, func(a, b start) int { return int(min(max(a.at-b.at, -1), 1)) })
	limit := d.density()
	first := 0
	for i := range all {
		for all[i].at-all[first].at >= limit.within {
			first++
		}
		if i-first+1 <= limit.most {
			continue
		}
		least := -1
		for _, s := range all[first : i+1] {
			if s.item >= 0 && (least < 0 || d.items[s.item].worth < d.items[least].worth) {
				least = s.item
			}
		}
		if least >= 0 {
			return d.items[least].key, true
		}
	}
	return key{}, false
}
