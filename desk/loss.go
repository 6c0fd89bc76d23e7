package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"lampblack/si"
)

// Loss is something that the desk cannot keep.
type Loss struct {
	Harm float64 // CIEDE2000 times seconds; 0 for what is only told
	Text string
	Cues []string // numbers
	From time.Duration

	wanted, shown []float32 // levels, for a picture; nil when there is none
	from, to      int       // states of a change
}

// report lists the losses, worst first, and adds their harm up.
func (p *Plan) report() {
	p.lostStates()
	p.lostFades()
	p.lostCues()
	p.lostUnits()
	slices.SortStableFunc(p.Losses, func(a, b Loss) int {
		switch {
		case a.Harm > b.Harm:
			return -1
		case a.Harm < b.Harm:
			return 1
		}
		return int(min(max(a.From-b.From, -1), 1))
	})
	for _, l := range p.Losses {
		p.Harm += l.Harm
	}
}

// lostStates are looks that another scene stands for, or that shared slots
// change.
func (p *Plan) lostStates() {
	for i := range p.need.states {
		s := &p.need.states[i]
		scene := &p.Scenes[p.of[i]]
		mean, most := p.eye.difference(s.sight, scene.sight)
		if most < alike {
			continue
		}
		thing := p.eye.worst(s.sight, scene.sight)
		text := fmt.Sprintf("%s is shown as %s", s.name, scene.Name)
		if scene.Name == s.name {
			text = fmt.Sprintf("%s is not quite itself, because slots are shared", s.name)
		}
		text += fmt.Sprintf(": colours differ by %.1f on the mean, by %.1f on %s (CIEDE2000), for %s", mean, most, thing, si.FormatTime(s.stands))
		l := Loss{Harm: mean * s.weight(), Text: text, wanted: s.levels, shown: scene.shown}
		l.From, l.Cues = p.usedBy(i)
		p.Losses = append(p.Losses, l)
	}
}

// worst names the thing that differs most.
func (e *eye) worst(a, b sight) string {
	name, most := "", -1.0
	for i := range e.things {
		one := eye{things: []thing{{weight: 1}}}
		if _, d := one.difference(sight{a[i]}, sight{b[i]}); d > most {
			most, name = d, e.things[i].name
		}
	}
	return name
}

func (p *Plan) usedBy(state int) (first time.Duration, cues []string) {
	first = -1
	for _, a := range p.need.asks {
		if a.state == state {
			if first < 0 {
				first = a.at
			}
			if n := p.Show.Cues[a.cue].Number.Name; !slices.Contains(cues, n) {
				cues = append(cues, n)
			}
		}
	}
	return first, cues
}

// lostFades are changes that the desk cannot make over their time.
func (p *Plan) lostFades() {
	for i := range p.need.asks {
		a := &p.need.asks[i]
		if a.before < 0 || p.of[a.before] == p.of[a.state] || a.over <= 0 {
			continue
		}
		mean, _ := p.eye.difference(p.need.states[a.before].sight, p.need.states[a.state].sight)
		harm, text := p.lostFade(i, a, mean)
		if harm <= 0 {
			continue
		}
		p.add(Loss{Harm: harm, Text: text, From: a.at, Cues: []string{p.Show.Cues[a.cue].Number.Name}}, a)
	}
}

// add joins losses that are the same change again.
func (p *Plan) add(l Loss, a *ask) {
	l.from, l.to = a.before, a.state
	for i := range p.Losses {
		o := &p.Losses[i]
		if o.from == l.from && o.to == l.to && o.Text == l.Text {
			o.Harm += l.Harm
			o.Cues = append(o.Cues, l.Cues...)
			return
		}
	}
	p.Losses = append(p.Losses, l)
}

func (p *Plan) lostFade(i int, a *ask, difference float64) (harm float64, text string) {
	what := "its change"
	if a.back {
		what = "its return"
	}
	if p.Desk.Fade.Kind == FadeNone {
		k := pair{p.of[a.before], p.of[a.state]}
		n := len(p.steps[k]) + len(p.steps[pair{k.b, k.a}]) + 1
		if a.over < snap {
			return 0, "" // as good as it was meant
		}
		harm = difference * a.over.Seconds() / (4 * float64(n))
		if n == 1 {
			return harm, fmt.Sprintf("%s of %v snaps", what, short(a.over))
		}
		return harm, fmt.Sprintf("%s of %v goes in %d jumps", what, short(a.over), n)
	}
	given := p.Fade
	if p.Desk.Fade.Kind == FadeEachScene {
		given = p.Scenes[p.sceneFor(i)].Fade
	}
	harm = difference * (a.over - given).Abs().Seconds() / 2
	return harm, fmt.Sprintf("%s of %v takes %v", what, short(a.over), short(given))
}

func short(d time.Duration) string {
	return fmt.Sprintf("%.3g s", math.Round(d.Seconds()*1000)/1000)
}

// lostCues are recalls that change nothing, or that come at another time.
func (p *Plan) lostCues() {
	sent := map[int]bool{}
	for _, r := range p.Recalls {
		sent[r.Cue] = true
	}
	for i := range p.Show.Cues {
		c := &p.Show.Cues[i]
		if !sent[i] && i > 0 {
			p.Losses = append(p.Losses, Loss{Text: "the cue changes nothing that this desk shows", From: c.Start, Cues: []string{c.Number.Name}})
		}
	}
	for u, rate := range p.flashing() {
		p.Losses = append(p.Losses, Loss{Text: fmt.Sprintf("%s flashes at up to %.3g Hz by its own strobe slot, which a scene holds as it is", u, rate)})
	}
}

// flashing lists units that some look makes flash, with the fastest rate.
func (p *Plan) flashing() map[string]float32 {
	out := map[string]float32{}
	for _, l := range p.Show.Looks {
		for u, rate := range l.Flash {
			if name := p.Show.Rig.Units[u].Name.Name; rate > out[name] {
				out[name] = rate
			}
		}
	}
	return out
}

// lostUnits are those that the desk's data does not reach.
func (p *Plan) lostUnits() {
	var far []string
	for i := range p.Show.Rig.Units {
		if u := &p.Show.Rig.Units[i]; u.Universe != p.Desk.universe() {
			far = append(far, u.Name.Name)
		}
	}
	if len(far) > 0 {
		p.Losses = append(p.Losses, Loss{Text: fmt.Sprintf("%s: in a universe that the desk does not feed", strings.Join(far, ", "))})
	}
	reached := map[string]bool{}
	for _, s := range p.Slots {
		if s.Feeds != "" {
			for i := range p.Show.Rig.Units {
				name := p.Show.Rig.Units[i].Name.Name
				reached[name] = reached[name] || strings.Contains(s.Feeds, name)
			}
		}
	}
	for i := range p.Show.Rig.Units {
		u := &p.Show.Rig.Units[i]
		if u.Universe == p.Desk.universe() && !reached[u.Name.Name] {
			p.Losses = append(p.Losses, Loss{Text: u.Name.Name + " is not used: the desk has no slots left for it"})
		}
	}
}
