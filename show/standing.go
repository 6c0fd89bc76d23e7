package show

import (
	"fmt"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"lampblack/room"
	"lampblack/source"
)

// A look is solved for what is on stage while it stands, and where that stands. Cues that bring
// one look among the same things at the same places share one solution. The first of them is
// the look itself; others come behind all looks.

// lookAgain solves the looks of cues for what is there then. It is quick to tell that there
// is nothing to do.
func (s *Show) lookAgain() {
	if len(s.stage) == 0 && len(s.ways) == 0 && !s.divided() || s.Transport == nil {
		return
	}
	type kind struct {
		look int
		text string
	}
	spans, cues := map[kind][]Span{}, map[kind][]int{}
	var order []kind
	for i := range s.Cues {
		c := &s.Cues[i]
		span := s.spanOf(i)
		text := s.there(c.Look, span)
		if text == "" {
			continue
		}
		k := kind{c.Look, text}
		if spans[k] == nil {
			order = append(order, k)
		}
		spans[k], cues[k] = append(spans[k], span), append(cues[k], i)
	}
	s.sample()
	m, first := newMixing(s.Rig, s.outputs), map[int]bool{}
	for _, k := range order {
		e := &s.Score.Looks[k.look]
		var said source.Faults // when it was solved as if all were there
		l := s.lookOnce(e, m, spans[k], k.text, &said)
		at := k.look
		if first[k.look] {
			at = len(s.Looks)
			s.Looks = append(s.Looks, Look{})
		}
		first[k.look] = true
		for _, c := range cues[k] {
			l.For = append(l.For, s.Cues[c].Number.Name)
			s.Cues[c].Look = at
		}
		s.Looks[at] = l
	}
	for i := range s.based {
		if !slices.ContainsFunc(s.Looks[len(s.based):], func(l Look) bool { return l.Name == s.Looks[i].Name }) {
			s.Looks[i].For = nil // there is one way of it
		}
	}
}

// sample works out what the things that looks speak of receive on their ways, on all processors:
// it is most of what a show with ways costs.
func (s *Show) sample() {
	if s.settings == nil {
		return
	}
	type one struct {
		name string
		w    *way
		l    *leg
		in   *posed
	}
	var all []one
	spoken := map[string]bool{}
	for i := range s.Cues {
		for _, name := range s.spokenOf(s.Cues[i].Look) {
			if w := s.ways[name]; w != nil && !spoken[name] {
				spoken[name] = true
				legs := w.all()
				for k := range legs {
					if legs[k].end > legs[k].start {
						for _, t := range s.everySetting([]Span{{legs[k].start, legs[k].end}}) {
							all = append(all, one{name, w, &legs[k], s.settings.posedIn(t)})
						}
					}
				}
			}
		}
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(all)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(all); i = int(next.Add(1)) - 1 {
				all[i].in.leg(all[i].name, all[i].w, all[i].l)
			}
		})
	}
	wait.Wait()
}

// spanOf is as long as the look of a cue stands by itself.
func (s *Show) spanOf(cue int) Span {
	c := &s.Cues[cue]
	if c.Bump() {
		return Span{c.Start, c.Complete}
	}
	return Span{c.Start, min(s.after(c), max(s.Length, c.Complete))}
}

// there says in a few words how the room stands in a span, who of those that a look speaks of is
// there, and where; "" where nothing ever opens, comes, goes or moves.
func (s *Show) there(look int, in Span) string {
	var b strings.Builder
	for _, r := range s.rests([]Span{in}) {
		fmt.Fprintf(&b, "%s %v|", r.setting, r.long)
	}
	for _, name := range s.spokenOf(look) {
		_, comes := s.spansOf(name)
		if !comes && s.ways[name] == nil {
			continue
		}
		if !s.everOn(name, in.From, in.To) {
			fmt.Fprintf(&b, "%s away|", name)
			continue
		}
		fmt.Fprintf(&b, "%s", name)
		for _, t := range s.moments(name, []Span{in}) {
			p := s.ways[name].at(t)
			fmt.Fprintf(&b, " %.3f %.3f", metres(p.At), metres(p.Faces))
		}
		b.WriteByte('|')
	}
	return b.String()
}

// spokenOf are the objects, surfaces and performers that a look's goals speak of.
func (s *Show) spokenOf(look int) []string {
	e := &s.Score.Looks[look]
	var out []string
	parts := s.Score.Parts(e.Name)
	for i := range parts {
		if g := parts[i].Glow; g != nil {
			out = append(out, g.Object.Name)
		}
		if parts[i].Lux != nil {
			out = append(out, parts[i].On.Name)
		}
	}
	for _, d := range e.Value.Dark {
		out = append(out, d.On.Name)
	}
	if e.Value.Only != nil {
		out = append(out, source.Names(s.Room.Objects)...)
	}
	if e.Value.Eyes != nil {
		for i := range s.Room.People {
			out = append(out, s.Room.People[i].Name)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// mostMoments bounds how many places of one thing a look is solved for.
const mostMoments = 24

// moments are the instants of spans by which a thing that moves is known: where it stands, and
// along its ways. They are empty for what does not move.
func (s *Show) moments(name string, in []Span) []time.Duration {
	w := s.ways[name]
	if w == nil {
		return nil
	}
	var out []time.Duration
	add := func(t time.Duration) {
		if s.onStage(name, t) && len(out) < mostMoments {
			out = append(out, t)
		}
	}
	for _, span := range in {
		add(span.From)
		if on, said := s.spansOf(name); said {
			for _, o := range on {
				if o.From > span.From && o.From < span.To {
					add(o.From)
				}
			}
		}
		for _, l := range w.all() {
			from, to := max(l.start, span.From), min(l.end, span.To)
			if to < from {
				continue
			}
			const steps = 8
			for k := range steps + 1 {
				add(from + (to-from)*time.Duration(k)/steps)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// where is the room with one thing at each of the places that it has in the spans; for what does
// not move, the room as it mostly stands then.
func (f *fitting) where(name string) []*room.Transport {
	if f.in == nil || f.show.ways[name] == nil {
		return []*room.Transport{f.mostly(name)}
	}
	return f.known(name, func() (out []*room.Transport) {
		for _, t := range f.show.moments(name, f.in) {
			out = append(out, f.show.seen(t, name))
		}
		return out
	})
}

// ever is where for what must never be: in every way that the room stands.
func (f *fitting) ever(name string) []*room.Transport {
	if f.show.ways[name] != nil || !f.show.divided() || f.in == nil {
		return f.where(name)
	}
	return f.known("ever", func() []*room.Transport { return f.show.everySetting(f.in) })
}

// known keeps what is found by a name, which is at least the room as it mostly stands.
func (f *fitting) known(name string, find func() []*room.Transport) []*room.Transport {
	if known := f.places[name]; known != nil {
		return known
	}
	out := find()
	if out == nil {
		out = []*room.Transport{f.transport}
	}
	if f.places == nil {
		f.places = map[string][]*room.Transport{}
	}
	f.places[name] = out
	return out
}

// mostly is the room as the look is solved for. Where nothing says when it stands all is open,
// but what it speaks of is there.
func (f *fitting) mostly(name string) *room.Transport {
	if f.in == nil && f.show.Room.Divided(name) != nil && f.show.settings != nil {
		setting := maps.Clone(f.show.settings.open)
		setting[name] = 0
		return f.show.settings.in(setting)
	}
	return f.transport
}

// away tells whether a thing is not on stage while the look stands.
func (f *fitting) away(name string) bool {
	if f.in == nil {
		return false
	}
	return !slices.ContainsFunc(f.in, func(span Span) bool { return f.show.everOn(name, span.From, span.To) })
}
