package desk

import (
	"slices"
	"sort"
	"time"

	"lampblack/rig"
	"lampblack/score"
	"lampblack/show"
)

// Played returns the show as the desk plays it, for whatever measures a show:
// every slot as it leaves the desk, the light that the units make of it at the
// addresses that they have there, the cues when the desk makes them, and the
// desk's latency for the delay of the light. Units that are off have no mode.
func (p *Plan) Played() *show.Show {
	played := p.Show.By(newPlayer(p))
	played.Rig = p.standing()
	played.Bill.Timing = p.timing(noteTime)
	played.Looks, played.Cues = p.playedCues()
	for i := range played.Cues {
		played.Length = max(played.Length, played.Cues[i].Complete.Truncate(time.Millisecond))
	}
	return played
}

// player is the desk: still light from the values of its slots at an instant. It does
// not change after newPlayer, so many goroutines may ask it.
type player struct {
	plan  *Plan
	page  int // of the frame's universes, -1 when there is none
	moves []move
	dark  move // before the first recall
	up    *Scene
}

// move is one recall on its way. Desks fade the values of slots, not light: the levels
// between are decoded at knots. A move that begins before another has ended begins from
// the values that the desk had then.
type move struct {
	start, over time.Duration
	from, to    []byte // of the desk's slots
	levels      []float32
	flash       []float32
	knots       [][]float32 // none where it snaps
}

// fadeKnots is in how many straight pieces the light of a fade is taken: a
// square curve is then off by .02 % of full at most, (1/32)^2/4.
const fadeKnots = 32

// newPlayer works the moves out, in the order of the recalls. A fade asks units to
// flash when either of its scenes does, since the slots between may lie in the range.
func newPlayer(p *Plan) *player {
	d := newDecoder(p.Show.Rig, p.Desk.universe())
	pl := &player{plan: p, page: slices.Index(p.Show.Rig.Universes(), p.Desk.universe())}
	none := make([]float32, len(p.Show.Rig.Units))
	dark, _ := p.lit(d, make([]byte, p.Desk.Slots), none)
	pl.dark = move{to: make([]byte, p.Desk.Slots), levels: dark, flash: none}
	last := &pl.dark
	for i := range p.Recalls {
		r := &p.Recalls[i]
		s := &p.Scenes[r.Scene]
		m := move{start: p.begins(r), over: r.over, from: make([]byte, p.Desk.Slots), to: s.Values, levels: s.shown, flash: s.flash}
		last.values(m.from, m.start)
		if m.over > 0 {
			m.flash = most(last.flash, s.flash)
			m.decode(p, d)
		}
		pl.moves = append(pl.moves, m)
		last = &pl.moves[len(pl.moves)-1]
	}
	for i := range p.Scenes {
		if p.Scenes[i].hand {
			pl.up = &p.Scenes[i]
		}
	}
	return pl
}

func most(a, b []float32) []float32 {
	out := slices.Clone(a)
	for i, v := range b {
		out[i] = max(out[i], v)
	}
	return out
}

func (m *move) decode(p *Plan, d *decoder) {
	values := make([]byte, len(m.to))
	for k := range fadeKnots + 1 {
		m.values(values, m.start+time.Duration(int64(m.over)*int64(k)/fadeKnots))
		levels, _ := p.lit(d, values, m.flash)
		m.knots = append(m.knots, levels)
	}
	m.knots[fadeKnots] = m.levels
}

// share is how far the move has come at t.
func (m *move) share(t time.Duration) float64 {
	if m.from == nil || t-m.start >= m.over {
		return 1
	}
	return max(float64(t-m.start)/float64(m.over), 0)
}

// values fills dst with the desk's slots at t. Slots are rounded to whole values, half
// up, as desks are taken to do (not measured).
func (m *move) values(dst []byte, t time.Duration) {
	x := m.share(t)
	for i, to := range m.to {
		if dst[i] = to; x < 1 {
			from := float64(m.from[i])
			dst[i] = byte(from + float64(x*(float64(to)-from)) + .5)
		}
	}
}

// at returns the move that stands at t.
func (pl *player) at(t time.Duration) *move {
	i := sort.Search(len(pl.moves), func(i int) bool { return pl.moves[i].start > t })
	if i == 0 {
		return &pl.dark
	}
	return &pl.moves[i-1]
}

// Light fills levels and flash.
func (pl *player) Light(dst *show.Frame, t time.Duration) {
	m := pl.at(t)
	copy(dst.Flash, m.flash)
	x := m.share(t)
	if x >= 1 {
		copy(dst.Levels, m.levels)
		return
	}
	at := float32(x * fadeKnots)
	k := min(int(at), fadeKnots-1)
	a, b, y := m.knots[k], m.knots[k+1], at-float32(k)
	for d := range dst.Levels {
		dst.Levels[d] = a[d] + float32(y*(b[d]-a[d]))
	}
}

// Frame fills all of the frame.
func (pl *player) Frame(dst *show.Frame, t time.Duration) {
	pl.Light(dst, t)
	var values [maxSlots]byte
	m := pl.at(t)
	m.values(values[:len(m.to)], t)
	pl.line(dst, values[:len(m.to)])
}

// line puts what leaves the desk into the frame.
func (pl *player) line(dst *show.Frame, values []byte) {
	for i := range dst.Universes {
		dst.Universes[i].Slots = [512]byte{}
	}
	if pl.page >= 0 {
		dst.Universes[pl.page] = rig.Universe{Number: pl.plan.Desk.universe(), Slots: *pl.plan.line(values)}
	}
}

// LightsUp recalls the scene that is at hand: it comes at once, so half of the
// way is all of it.
func (pl *player) LightsUp(f *show.Frame, share float32) {
	clear(f.Flash)
	if share < .5 {
		return
	}
	copy(f.Levels, pl.up.shown)
	pl.line(f, pl.up.Values)
}

// playedCues returns the show's cues when and as the desk makes them, each with
// the look that the desk shows for it, under the name of the score's look.
func (p *Plan) playedCues() (looks []show.Look, cues []show.Cue) {
	sent := map[int][]*Sent{}
	for i := range p.Recalls {
		r := &p.Recalls[i]
		sent[r.Cue] = append(sent[r.Cue], r)
	}
	type key struct {
		look  string
		scene int
	}
	known := map[key]int{}
	for i, scene := range p.meant() {
		c := p.Show.Cues[i]
		k := key{p.Show.Looks[c.Look].Name, scene}
		if _, ok := known[k]; !ok {
			known[k] = len(looks)
			s := &p.Scenes[scene]
			looks = append(looks, show.Look{Name: k.look, Levels: s.shown, Flash: s.flash, Misses: p.misses(&p.Show.Looks[c.Look], s.shown)})
		}
		c.Look = known[k]
		p.retime(&c, sent[i])
		cues = append(cues, c)
	}
	slices.SortStableFunc(cues, func(a, b show.Cue) int { return int(min(max(a.Start-b.Start, -1), 1)) })
	return looks, cues
}

// meant returns the scene that stands for each cue's look.
func (p *Plan) meant() []int {
	out := make([]int, len(p.Show.Cues))
	for i := range p.need.asks {
		if a := &p.need.asks[i]; !a.back && !a.moves {
			out[a.cue] = p.sceneFor(i)
		}
	}
	return out
}

// retime gives a cue the times of its recalls; one without any keeps its own. A bump
// whose way back was left out holds no longer than its peak. The cue itself is copied,
// as the score's own must not change.
func (p *Plan) retime(c *show.Cue, sent []*Sent) {
	if len(sent) == 0 {
		return
	}
	first := p.begins(sent[0])
	peak, fall, end := first, time.Duration(-1), first
	for _, r := range sent {
		if r.Moves {
			continue
		}
		if !r.Back {
			peak = p.landed(r)
		} else if fall < 0 {
			fall = p.begins(r)
		}
		end = max(end, p.landed(r))
	}
	moved := *c.Cue
	moved.Up, moved.Down = max(peak-first, 0), nil
	if c.Bump() {
		back := max(end-max(fall, peak), 0)
		moved.Hold, moved.Returns = max(fall-peak, 0), &back
	}
	// A landing is as far from its moment as its light is.
	switch moved.Lands {
	case score.Peaks:
		c.Moment += peak - c.Peak
	case score.Completes:
		c.Moment += end - c.Complete
	default:
		c.Moment += first - c.Start
	}
	c.Cue, c.Start, c.Peak, c.Complete = &moved, first, peak, max(end, peak)
}
