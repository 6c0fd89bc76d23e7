package desk

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"lampblack/si"
)

// Loss is something that the desk cannot keep. from and to tell the same change from
// another, so that a change that comes ten times is one loss.
type Loss struct {
	Harm float64 // CIEDE2000 times seconds; 0 for what is only told
	Text string
	Cues []string // numbers
	From time.Duration

	kind          kind
	wanted, shown []float32 // levels, for a picture; nil when there is none
	from, to      int       // states of a change
}

// kind is what a loss comes from.
type kind int8

const (
	told   kind = iota // no harm of its own
	shared             // a look that has another's scene
	off                // units that are off, slots that are shared
	fades              // changes that take another time, or none
	waits              // changes that come late
)

// by adds the harm of one kind up.
func (p *Plan) by(k kind) float64 {
	sum := 0.0
	for i := range p.Losses {
		if p.Losses[i].kind == k {
			sum += p.Losses[i].Harm
		}
	}
	return sum
}

// report lists the losses, worst first, and adds their harm up. Losses are counted
// apart by cause, and no harm twice: states for the time that they stand, changes for
// the time that they take, lateness for how late they are.
func (p *Plan) report() {
	p.lostStates()
	p.lostFades()
	p.lostCues()
	p.lostMoves()
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

// lostStates are looks that another scene stands for, or that come out of the
// desk as something else.
func (p *Plan) lostStates() {
	for i := range p.need.states {
		s := &p.need.states[i]
		scene := &p.Scenes[p.of[i]]
		mean, most := p.eye.unlike(s.sight, scene.sight, s.flash, scene.flash)
		if most < alike {
			continue
		}
		text, of := p.whyOther(s, scene)
		thing := p.eye.worst(s.sight, scene.sight)
		text += fmt.Sprintf("; colours differ by %.1f on the mean, by %.1f on %s (CIEDE2000)", mean, most, thing)
		if s.stands > 0 {
			text += ", for " + si.FormatTime(s.stands)
		}
		l := Loss{Harm: mean * s.weight(), Text: text, kind: of, wanted: s.levels, shown: scene.shown}
		l.From, l.Cues = p.usedBy(i)
		p.Losses = append(p.Losses, l)
	}
}

// whyOther says what stands for a state, and why: because its scene is that of another,
// or because the desk cannot light that as it was meant. Two differences are asked:
// between the state and the scene that was stored for it (shared), and between the
// scene as stored and as the desk's slots can show it (off). The greater gives the
// kind.
func (p *Plan) whyOther(s *state, scene *Scene) (text string, of kind) {
	stored := p.eye.see(scene.levels)
	other, most := p.eye.unlike(s.sight, stored, s.flash, scene.flash)
	unlit, lacks := p.eye.difference(stored, scene.sight)
	text = s.name + " is not as it was meant"
	if scene.Name != s.name {
		text = fmt.Sprintf("%s is shown as %s", s.name, scene.Name)
	}
	var why []string
	if most >= alike {
		why = append(why, p.whyShared())
	}
	if lacks >= alike || len(why) == 0 {
		why = append(why, p.whyOff(scene))
	}
	of = off
	if other > unlit {
		of = shared
	}
	return text + ": " + strings.Join(why, "; "), of
}

// whyShared says why two looks have one scene.
func (p *Plan) whyShared() string {
	used := 0
	for i := range p.Scenes {
		if p.Scenes[i].Uses > 0 {
			used++
		}
	}
	switch {
	case used >= p.scenes:
		return fmt.Sprintf("messages recall only %s", count(p.scenes, "scene"))
	case p.way.fade == FadeOneTime:
		return fmt.Sprintf("a change in the one fade time of %s would lose more", short(p.Fade))
	}
	return "a change that this desk cannot make would lose more"
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// whyOff names what keeps a scene from its light: units that are off, and the units
// that change the most because slots are shared. Units that are off are blamed where
// taking them out of the wanted scene explains a quarter of the difference; what is
// left is blamed on units one at a time.
func (p *Plan) whyOff(scene *Scene) string {
	wanted := p.eye.see(scene.levels)
	all, _ := p.eye.difference(wanted, scene.sight)
	var why, missing []string
	mine := slices.Clone(scene.levels)
	for _, o := range p.Off {
		first, last := p.Show.Rig.UnitDrives(p.Show.Rig.Index(o.Unit))
		if slices.ContainsFunc(mine[first:last], func(l float32) bool { return l > 0 }) {
			missing = append(missing, o.Unit)
		}
		clear(mine[first:last])
	}
	if dark, _ := p.eye.difference(wanted, p.eye.see(mine)); dark >= all/4 && len(missing) > 0 {
		why = append(why, "without "+strings.Join(missing, ", "))
	}
	if names := p.changed(mine, scene, all/4); len(names) > 0 {
		why = append(why, "slots are shared, at "+strings.Join(names, ", "))
	}
	if len(why) == 0 {
		return "slots are shared"
	}
	return strings.Join(why, "; ")
}

// changed names the units that come out otherwise than wanted by at least so
// much, each by itself, the worst first.
func (p *Plan) changed(wanted []float32, scene *Scene, least float64) []string {
	seen := p.eye.see(wanted)
	by := map[string]float64{}
	for i := range p.Show.Rig.Units {
		first, last := p.Show.Rig.UnitDrives(i)
		one := slices.Clone(wanted)
		copy(one[first:last], scene.shown[first:last])
		if mean, _ := p.eye.difference(seen, p.eye.see(one)); mean > least {
			by[p.Show.Rig.Units[i].Name.Name] = mean
		}
	}
	return slices.SortedFunc(maps.Keys(by), func(a, b string) int {
		return cmp.Or(cmp.Compare(by[b], by[a]), cmp.Compare(a, b))
	})
}

// worst names the thing that differs most. The first of several that differ alike is
// named.
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

// usedBy returns when a state is first asked for, and by which cues; -1 and none where
// no recall asks for it.
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

// lostFades are changes that the desk cannot make over their time. A change between two
// looks of one scene is none, and its cue is told by lostCues.
func (p *Plan) lostFades() {
	sent := map[int][]*Sent{} // by ask
	for i := range p.Recalls {
		r := &p.Recalls[i]
		sent[r.ask] = append(sent[r.ask], r)
	}
	for i := range p.need.asks {
		a := &p.need.asks[i]
		if a.before < 0 || p.Scenes[p.of[a.before]].page == p.Scenes[p.of[a.state]].page {
			continue
		}
		from, to := &p.need.states[a.before], &p.need.states[a.state]
		mean, _ := p.eye.difference(from.sight, to.sight)
		l := Loss{From: a.at, Cues: []string{p.Show.Cues[a.cue].Number.Name}}
		l.kind = fades
		if l.Harm, l.Text = p.lostFade(i, a, len(sent[i]), mean); l.Harm > 0 {
			p.add(l, a)
		}
		l.kind = waits
		for _, r := range sent[i] {
			if l.Harm, l.Text = p.late(a, r, mean); l.Harm > 0 {
				p.add(l, a)
			}
		}
	}
}

// lateTold is how late a change that lands may come before that is told: light
// that comes late is noticed from 20 ms on (see show.MostLead).
const lateTold = 20 * time.Millisecond

// late tells of a change that misses its moment.
func (p *Plan) late(a *ask, r *Sent, difference float64) (harm float64, text string) {
	there := p.landed(r)
	if r.land == begins {
		there = p.begins(r)
	}
	late := there - r.wants
	if r.land == anyhow || late <= lateTold {
		return 0, ""
	}
	why := fmt.Sprintf("the desk takes no recalls nearer than %v", p.gap())
	switch {
	case r.At == 0:
		why = "it would have to be sent before the soundtrack begins"
	case r.land == ends && r.over > a.lit:
		why = fmt.Sprintf("the desk takes %s for it", short(r.over))
	}
	return difference * late.Seconds(), fmt.Sprintf("it comes %d ms late: %s", late.Milliseconds(), why)
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

// lostFade tells of a change for which so many recalls are sent. What a wrong time
// costs is half of the difference for as long as the times differ; a change left out is
// wrong by half of its time and for the gap after it. Jumps cost what lies between them
// and the fade (ask.off).
func (p *Plan) lostFade(i int, a *ask, sent int, difference float64) (harm float64, text string) {
	what := "its change"
	if a.back {
		what = "its return"
	}
	if sent == 0 {
		return difference * (a.over.Seconds()/2 + p.gap().Seconds()), what + " is left out: the next recall comes too soon after it"
	}
	given := p.fade(p.sceneFor(i))
	switch {
	case given > 0:
		harm = difference * (a.over - given).Abs().Seconds() / 2
		return harm, fmt.Sprintf("%s of %v takes %v%s", what, short(a.over), short(given), p.whyTime(a.over, given))
	case a.over < snap:
		return 0, "" // as good as it was meant
	case sent == 1:
		return difference * a.off(1), fmt.Sprintf("%s of %v snaps%s", what, short(a.over), p.whySnap(a.over))
	}
	return difference * a.off(sent), fmt.Sprintf("%s of %v goes in %d jumps%s", what, short(a.over), sent, p.whySnap(a.over))
}

// whySnap says why a change is not faded, on a desk that can fade.
func (p *Plan) whySnap(wants time.Duration) string {
	switch {
	case p.Desk.Fade.Kind == FadeNone:
		return ""
	case p.way.fade == FadeNone:
		return ", as no fade time that the desk can be set to loses less"
	case p.way.fade == FadeOneTime:
		return ", as the one time for all is 0 s"
	case p.Desk.able(wants) == 0:
		return ", as the desk has no fade so short"
	}
	return ", as a fade would take slots through values that must not be"
}

// whyTime says why a change does not take the time that it wants.
func (p *Plan) whyTime(wants, given time.Duration) string {
	switch able := p.Desk.able(wants); {
	case able == given && given > wants:
		return ", the shortest that the desk can do"
	case able == given && given < wants && given > 0:
		return ", the longest that the desk can do"
	case p.way.fade == FadeOneTime:
		return ", the one time for all"
	}
	return ", as other changes to the same scene do"
}

func short(d time.Duration) string {
	return fmt.Sprintf("%.3g s", math.Round(d.Seconds()*1000)/1000)
}

// lostCues are cues that the desk does not show at all, though the show changes there,
// and flashing that cannot be held. A cue that changes nothing in the show itself is
// not missed.
func (p *Plan) lostCues() {
	sent, asked := map[int]bool{}, map[int]bool{}
	for _, r := range p.Recalls {
		sent[r.Cue] = true
	}
	for _, a := range p.need.asks {
		same := a.before >= 0 && p.need.apart[a.before][a.state] == 0
		asked[a.cue] = asked[a.cue] || !same
	}
	for i := range p.Show.Cues {
		if c := &p.Show.Cues[i]; asked[i] && !sent[i] {
			p.Losses = append(p.Losses, Loss{Text: "the cue is not seen: its look and the one before it have one scene", From: c.Start, Cues: []string{c.Number.Name}})
		}
	}
	rates := p.flashing()
	for _, u := range slices.Sorted(maps.Keys(rates)) {
		p.Losses = append(p.Losses, Loss{Text: fmt.Sprintf("%s flashes at up to %.3g Hz by its own strobe slot, which a scene holds as it is", u, rates[u])})
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

// lostUnits are those that the show lights and the desk does not.
func (p *Plan) lostUnits() {
	for _, o := range p.Off {
		if o.Why != NeverLit {
			p.Losses = append(p.Losses, Loss{Text: fmt.Sprintf("%s is off: %s", o.Unit, o.Why)})
		}
	}
}
