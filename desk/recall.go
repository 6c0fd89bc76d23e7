package desk

import (
	"time"

	"lampblack/show"
)

// Sent is one recall as it goes out. due and wants are in the show's time, At and Lit
// in that of what is sent; ahead is between them.
type Sent struct {
	At    time.Duration // when its first byte leaves, in the track's time
	Lit   time.Duration // when the desk then begins to show it
	Scene int           // index in Scenes
	Cue   int           // index in Show.Cues
	Moves bool          // a step of light that moves by itself
	Step  bool          // on the way to the scene that the cue asks for
	Back  bool          // of a bump

	due   time.Duration // when it should begin, on the show's line
	over  time.Duration // the desk's fade
	ask   int
	land  landing
	wants time.Duration // when its light should be there, on the show's line, if it lands
}

// Times on a MIDI line: 3 bytes of a note take 0.96 ms, 2 of a program change
// 0.64 ms (MIDI 1.0: 31 250 baud, ten bits a byte).
const (
	noteTime    = 960 * time.Microsecond
	programTime = 640 * time.Microsecond
)

// recall turns the demand into recalls of scenes, in the order of the asks. A recall of
// the scene that stands already is not sent: nothing would be seen of it.
func (p *Plan) recall() {
	now, landed := -1, time.Duration(0)
	for i := range p.need.asks {
		scene := p.sceneFor(i)
		if now >= 0 && p.Scenes[scene].page == p.Scenes[now].page {
			continue
		}
		sent := p.changes(i, now, scene, landed)
		p.Recalls = append(p.Recalls, sent...)
		if last := &sent[len(sent)-1]; last.land == ends {
			landed = last.due + last.over
		}
		now = scene
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

// fade returns the time that the desk takes to bring a scene in.
func (p *Plan) fade(scene int) time.Duration {
	switch p.way.fade {
	case FadeEachScene:
		return p.Scenes[scene].Fade
	case FadeOneTime:
		return p.Fade
	}
	return 0
}

// changes lists the recalls that bring one change about: one where the desk
// fades by itself, otherwise a snap for each step. A fade that must be over on its
// moment begins by the desk's own time before it, but not before the last
// change that had to land has landed.
func (p *Plan) changes(ask, from, to int, landed time.Duration) []Sent {
	a := &p.need.asks[ask]
	one := Sent{Scene: to, Cue: a.cue, Back: a.back, Moves: a.moves, due: a.at, over: p.fade(to), ask: ask, land: a.land}
	switch a.land {
	case begins:
		one.wants = a.at
	case ends:
		one.wants = a.at + a.lit
	}
	switch {
	case one.over <= 0 && from >= 0:
		return p.jumps(a, one, from)
	case a.land == ends && from >= 0:
		one.due = max(one.wants-one.over, min(a.at, landed))
	}
	return []Sent{one}
}

// jumps cuts a change into a snap for each step that the desk stores. Steps are kept in
// one direction for both ways; backward takes them from the far end. Only the last jump
// carries the cue's own landing, or the first where the change is to begin on its
// moment.
func (p *Plan) jumps(a *ask, one Sent, from int) []Sent {
	way, backward := p.steps[pair{from, one.Scene}], false
	if way == nil {
		way, backward = p.steps[pair{one.Scene, from}], true
	}
	if a.over < snap {
		way = nil
	}
	n := len(way) + 1
	out := make([]Sent, n)
	for k, after := range a.jumps(n) {
		out[k] = one
		out[k].due = a.at + after
		if k == n-1 {
			break
		}
		out[k].Step, out[k].land = true, anyhow
		out[k].Scene = way[k]
		if backward {
			out[k].Scene = way[n-2-k]
		}
	}
	if n > 1 && a.land == begins {
		out[0].land, out[n-1].land = begins, anyhow
	}
	return out
}

// space works out when each recall must leave, and keeps them the shortest gap apart.
// What need not land on a moment gives way to what comes after it: it comes earlier,
// or, as a step and where there is no time for it, not at all. A change that must still
// wait is sent later. It goes forward once: each recall is placed as it wants and then
// held against the last that was kept, so what comes later can take room from what came
// before (makeWay), and never the other way round.
func (p *Plan) space() {
	var out []Sent
	for _, r := range p.Recalls {
		r.At = max(r.due+p.ahead(r.Scene), 0).Round(time.Millisecond)
		out = p.makeWay(out, &r)
		if n := len(out); n > 0 {
			if first := out[n-1].At + p.gap(); r.At < first && r.Step {
				continue
			} else if r.At < first {
				r.At = first
			}
			if out[n-1].Scene == r.Scene {
				continue
			}
		}
		out = append(out, r)
	}
	for i := range out {
		out[i].Lit = out[i].At + p.latency(out[i].Scene)
	}
	p.Recalls = out
}

// makeWay moves or drops what stands in the way of a recall. Who has a moment to meet
// has the right of way. A step is dropped first, a whole change moved ahead, but not
// before its own time has come and not into the gap of the one before it, and dropped
// where it cannot be moved; between two without a moment the earlier stays.
func (p *Plan) makeWay(out []Sent, r *Sent) []Sent {
	for len(out) > 0 {
		last := &out[len(out)-1]
		before := r.At - p.gap()
		if last.At <= before || last.land != anyhow {
			break
		}
		earliest := max(p.need.asks[last.ask].at+p.ahead(last.Scene), 0)
		if n := len(out); n > 1 {
			earliest = max(earliest, out[n-2].At+p.gap())
		}
		if !last.Step && before >= earliest {
			last.At = before
			break
		}
		if !last.Step && r.land == anyhow {
			break
		}
		out = out[:len(out)-1]
	}
	return out
}

// begins and landed are when the recall's change begins and is over on the
// show's line, on which light is due with the sound of its moment.
func (p *Plan) begins(r *Sent) time.Duration { return r.At - p.ahead(r.Scene) }
func (p *Plan) landed(r *Sent) time.Duration { return p.begins(r) + r.over }

// timing is that of the show with the desk in the way: the desk's latency, after
// the message's own time on the line, stands for whatever else delays the light.
func (p *Plan) timing(line time.Duration) show.Timing {
	t := p.Show.Bill.Timing
	t.Light = show.Delay{Low: p.Desk.Latency.Low + line, High: p.Desk.Latency.High + line}
	return t
}

// ahead is how much later than the track's own time a recall leaves, so that
// its light leads the sound at the centre seat as a run's would; negative where
// it leaves earlier.
func (p *Plan) ahead(scene int) time.Duration { return p.timing(p.lineTime(scene)).Offset() }

// latency is the time from the first byte of a recall to the light.
func (p *Plan) latency(scene int) time.Duration { return p.lineTime(scene) + p.Desk.Latency.Best() }

func (p *Plan) lineTime(scene int) time.Duration {
	if t := p.Scenes[scene].Trigger; t != nil && t.Program {
		return programTime
	}
	return noteTime
}

// gap is the least time between the starts of two messages, in whole ticks.
func (p *Plan) gap() time.Duration {
	return max(p.Desk.Gap, noteTime+time.Millisecond-1).Round(time.Millisecond)
}
