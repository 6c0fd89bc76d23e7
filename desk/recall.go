package desk

import (
	"slices"
	"time"
)

// Sent is one recall as it goes out.
type Sent struct {
	At    time.Duration // when its first byte leaves, in the track's time
	Lit   time.Duration // when the desk then shows it
	Scene int           // index in Scenes
	Cue   int           // index in Show.Cues
	Step  bool          // on the way to the scene that the cue asks for
}

// Times on a MIDI line: 3 bytes of a note take 0.96 ms, 2 of a program change
// 0.64 ms (MIDI 1.0: 31 250 baud, ten bits a byte).
const (
	noteTime    = 960 * time.Microsecond
	programTime = 640 * time.Microsecond
)

// mostBumpLead is how far ahead of its peak a short rise may snap: the eye
// takes it for the peak, and it is inside the 40 ms by which light may lead.
const mostBumpLead = 20 * time.Millisecond

// recall turns the demand into recalls of scenes.
func (p *Plan) recall(o Options) {
	now := -1
	for i := range p.need.asks {
		a := &p.need.asks[i]
		scene := p.sceneFor(i)
		if scene == now {
			continue
		}
		p.Recalls = append(p.Recalls, p.jumps(a, now, scene)...)
		now = scene
	}
	for i := range p.Recalls {
		r := &p.Recalls[i]
		r.Lit += o.Offset
	}
	p.count()
}

// sceneFor returns the scene that serves an ask, the copy with its time if
// there is one.
func (p *Plan) sceneFor(ask int) int {
	if copied, ok := p.variant[ask]; ok {
		return copied
	}
	return p.of[p.need.asks[ask].state]
}

// jumps lists the recalls that bring one change about: one where the desk
// fades by itself, else a snap for each step. Lit is when each must be seen.
func (p *Plan) jumps(a *ask, from, to int) []Sent {
	one := Sent{Scene: to, Cue: a.cue, Lit: a.at}
	if p.Desk.Fade.Kind != FadeNone || from < 0 {
		return []Sent{one}
	}
	way, backward := p.steps[pair{from, to}], false
	if way == nil {
		way, backward = p.steps[pair{to, from}], true
	}
	if a.over < snap {
		way = nil
	}
	n := len(way) + 1
	var out []Sent
	for k := range n {
		j := one
		j.Lit = a.at + time.Duration(int64(a.over)*int64(2*k+1)/int64(2*n))
		if k < n-1 {
			j.Step = true
			j.Scene = way[k]
			if backward {
				j.Scene = way[n-2-k]
			}
		}
		out = append(out, j)
	}
	if n == 1 && p.Show.Cues[a.cue].Bump() && !a.back {
		out[0].Lit = max(out[0].Lit, a.at+a.over-mostBumpLead)
	}
	return out
}

// space sends every recall early by the latency, and keeps them the shortest
// gap apart: steps give way to scenes, and a scene is sent later rather than
// not at all, unless the next is due by then.
func (p *Plan) space() {
	slices.SortStableFunc(p.Recalls, func(a, b Sent) int { return int(min(max(a.Lit-b.Lit, -1), 1)) })
	var out []Sent
	for _, r := range p.Recalls {
		r.At = r.Lit - p.latency(r.Scene)
		for len(out) > 0 && r.At-out[len(out)-1].At < p.gap() && out[len(out)-1].Step {
			out = out[:len(out)-1]
		}
		if len(out) > 0 && r.At-out[len(out)-1].At < p.gap() {
			if r.Step {
				continue
			}
			r.At = out[len(out)-1].At + p.gap()
		}
		if r.At < 0 {
			r.At = 0
		}
		if n := len(out); n > 0 && out[n-1].Scene == r.Scene {
			continue
		}
		r.Lit = r.At + p.latency(r.Scene)
		out = append(out, r)
	}
	p.Recalls = out
}

// latency is the time from the first byte of a recall to the light.
func (p *Plan) latency(scene int) time.Duration {
	line := noteTime
	if t := p.Scenes[scene].Trigger; t != nil && t.Program {
		line = programTime
	}
	return line + p.Desk.Latency.Best()
}

// gap is the least time between the starts of two messages.
func (p *Plan) gap() time.Duration { return max(p.Desk.Gap, noteTime) }
