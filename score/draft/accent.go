package draft

import (
	"fmt"
	"math"
	"slices"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// mostStep is how many times what the section's look has of it an accent may
// give: of a system's level, of lux, of an emitter, of a glow. Eyes are adapted
// to what stands; twice the light is seen by everybody and blinds nobody. Common
// practice, no source: a choice. A system that is dark in the look stays below
// this many times the look's highest level. Only a fierce section, and an accent
// that the director's wishes name, may pass it.
const mostStep = 2

// smallStep is for softer accents: half of the step, as the eye counts.
var smallStep = math.Sqrt(mostStep)

// fierceMore is what a fierce accent adds, as a share of full, to twice what stands:
// where little stands, twice of it is little, and a storm is to be seen. This tool's
// choice.
const fierceMore = .15

// choice is a look for bumps, there already or to be made. Made looks are only added to
// the score when they are used.
type choice struct {
	name string
	look *score.Look // nil when it is there
}

// accent returns the look of a bump over what stands; soft and rung ask for less and
// less. "" when there is nothing that may be raised so little. Work light that stands
// is taken over: the made look is like the one below it, so who walks by it still does.
func (d *drafting) accent(under string, p *part, soft bool, rung int) string {
	list := d.accents(under, p)
	if soft && len(list) > 1 {
		rung++
	}
	if rung >= len(list) {
		return ""
	}
	c := list[rung]
	if c.look == nil {
		return c.name
	}
	name := d.add(c.name, *c.look)
	d.walk[name] = d.walk[under]
	return name
}

// accents lists the looks for bumps over what stands, the strongest first: one that the
// director named, or a person wrote, or one that is made; then smaller ones; then one
// in which black light alone grows. A rung of the ladder (see lower) is one place
// further down this list, so its order is what makes each rung gentler than the one
// before.
func (d *drafting) accents(under string, p *part) []choice {
	if under == "" {
		return nil
	}
	var out []choice
	if name := d.writtenAccent(under, p); name != "" {
		out = append(out, choice{name: name})
		if l := d.halfway(under, name); l != nil {
			out = append(out, choice{name + ", softer", l})
		}
	}
	raise := func(name string, black bool, change func(float64) float64) {
		if l := d.raised(under, black, change); l != nil {
			out = append(out, choice{under + ", " + name, l})
		}
	}
	times := func(step float64) func(float64) float64 { return func(v float64) float64 { return v * step } }
	if p.mood == Fierce && len(out) == 0 {
		raise("fierce accent", false, func(v float64) float64 { return 2*v + fierceMore })
	}
	raise("accent", false, times(mostStep))
	raise("softer accent", false, times(smallStep))
	raise("glow accent", true, times(mostStep))
	raise("softer glow accent", true, times(smallStep))
	return out
}

// writtenAccent returns the look that the wishes name, or the brightest of those that a
// person wrote as being like what stands, inside the step; "" for none. None that
// touches work light will do. A wish is obeyed whatever its size; what a person wrote
// without a wish is only guessed to be an accent, and must keep to the step.
func (d *drafting) writtenAccent(under string, p *part) string {
	if w := p.wish; w != nil && w.Accent.Name != "" && !d.raisesWork(under, w.Accent.Name) {
		return w.Accent.Name
	}
	best, most := "", d.brightness(under)
	for _, l := range d.written.Looks {
		if l.Value.Like.Name != under || l.Value.By == score.Draft || d.brightness(l.Name) <= most || d.raisesWork(under, l.Name) {
			continue
		}
		if p.mood == Fierce || d.within(under, l.Value.Parts) {
			best, most = l.Name, d.brightness(l.Name)
		}
	}
	return best
}

// raisesWork tells whether a look changes the work light that stands.
func (d *drafting) raisesWork(under, look string) bool {
	text := func(parts []score.Part) (out []string) {
		for i := range parts {
			out = append(out, partText(&parts[i]))
		}
		slices.Sort(out)
		return out
	}
	return !slices.Equal(text(d.workIn(under)), text(d.workIn(look)))
}

// within tells whether parts laid over a look keep to the step. Parts that add a target
// or a kind of light that the look does not have are held against its highest level,
// since the eye is adapted to that.
func (s *stage) within(under string, parts []score.Part) bool {
	base := s.effective(under)
	top := 0.0
	for i := range base {
		top = max(top, shareOf(&base[i]))
	}
	for i := range parts {
		p := &parts[i]
		var old *score.Part
		if k := slices.IndexFunc(base, func(b score.Part) bool { return target(&b) == target(p) && kind(&b) == kind(p) }); k >= 0 {
			old = &base[k]
		}
		if !keepsStep(p, old, top) {
			return false
		}
	}
	return true
}

// keepsStep tells whether a part is no more than the step above the old one, or above
// the top of the look where there is none. A goal in lux with no lux before it cannot
// be compared without the room, and does not pass.
func keepsStep(p, old *score.Part, top float64) bool {
	switch kind(p) {
	case byLux:
		return old != nil && *p.Lux <= mostStep**old.Lux
	case byGlow:
		least := si.Luminance(enoughGlow)
		if old != nil {
			least = wantedGlow(old.Glow)
		}
		return wantedGlow(p.Glow) <= mostStep*least
	}
	was := top
	if old != nil {
		was = shareOf(old)
	}
	return shareOf(p) <= mostStep*was+1e-9
}

// enoughGlow is what a show takes when a glow gives only a ratio, in cd/m2.
const enoughGlow = 5

func wantedGlow(g *score.Glow) si.Luminance {
	if g.Luminance > 0 {
		return g.Luminance
	}
	return enoughGlow
}

// amount is the way in which a part says how much light. Parts are compared within one
// kind only: a level and a lux have no common measure before the room is solved.
type amount int

const (
	byLevel amount = iota // also a colour alone, which is at its brightest
	byLux
	byEmitters
	byGlow
)

func kind(p *score.Part) amount {
	switch {
	case p.Lux != nil:
		return byLux
	case p.Glow != nil:
		return byGlow
	case len(p.Emitters) > 0:
		return byEmitters
	}
	return byLevel
}

// shareOf is the level of a part, or its strongest emitter; 0 for a goal.
func shareOf(p *score.Part) float64 {
	switch kind(p) {
	case byLevel:
		if p.Level == nil {
			return 1
		}
		return float64(*p.Level)
	case byEmitters:
		return mostEmitter(p)
	}
	return 0
}

// target says in a word what a part lights.
func target(p *score.Part) string { return fmt.Sprint(p.System.Name, p.Units, p.Cells) }

// effective lists the parts of a look that hold: of those that light the same in the
// same way, the last. A level or lux takes the place of the other. Emitters and glows
// stand beside a level, as they speak of other light.
func (s *stage) effective(look string) []score.Part {
	group := func(p *score.Part) string {
		k := kind(p)
		if k == byLux {
			k = byLevel
		}
		return fmt.Sprint(target(p), k)
	}
	all := s.written.Parts(look)
	var out []score.Part
	for i := range all {
		later := slices.ContainsFunc(all[i+1:], func(p score.Part) bool { return group(&p) == group(&all[i]) })
		if !later {
			out = append(out, all[i])
		}
	}
	return out
}

// raised writes a look that is like another, with its visible parts or its black light
// changed; nil when nothing gets brighter. What the other must keep dark, and what eyes
// may take in it, holds here too. Work light, and what flashes by itself, stay as they
// are. What flashes is left out of the raising, not out of the light: the new look is
// like the old one, and only its changed parts are written.
func (s *stage) raised(under string, black bool, change func(float64) float64) *score.Look {
	var parts []score.Part
	for _, p := range s.effective(under) {
		if s.work.names(&p) || p.Flash > 0 {
			continue
		}
		if kind(&p) == byGlow && black {
			parts = append(parts, s.raisedGlow(under, p, change)...)
		} else if more, ok := s.raisedPart(p, black, change); ok {
			parts = append(parts, more)
		}
	}
	if len(parts) == 0 {
		return nil
	}
	base := s.written.Looks.Get(under)
	return &score.Look{Like: source.Ref{Name: under}, Purpose: "drafted: an accent over " + under, Parts: parts, Dark: base.Dark, Eyes: base.Eyes}
}

// leastMore is how many times brighter black light has to get to be seen: there
// is no brighter than full.
const leastMore = 1.15

// raisedGlow returns what takes the place of a glow: black light further up,
// unit by unit, from where it was solved to be; or a greater goal, where nobody
// solved it. Nil when the lamps have no more to give.
func (s *stage) raisedGlow(under string, p score.Part, change func(float64) float64) []score.Part {
	if s.solved == nil {
		g := *p.Glow
		g.Luminance = si.Luminance(rounded3(float64(wantedGlow(&g)) * change(1)))
		p.Glow = &g
		return []score.Part{p}
	}
	var levels []EmitterLevel
	for name := under; name != "" && levels == nil; name = s.written.Looks.Get(name).Like.Name {
		levels = s.solved(name, &p)
	}
	var out []score.Part
	for _, l := range levels {
		if more := min(1, rounded3(change(l.Level))); l.Level > 0 && more >= leastMore*l.Level {
			out = append(out, score.Part{Units: []source.Ref{{Name: l.Unit}}, Cells: p.Cells, Emitters: source.Named[si.Ratio]{{Name: l.Emitter, Value: si.Ratio(more)}}})
		}
	}
	return out
}

// raisedPart returns the part changed in the way that it is written in; not ok when it
// is no brighter, or not the light that is to be raised. Less than a hundredth more is
// nothing. Only what the part itself says is changed: a colour without a level is at
// its brightest already.
func (s *stage) raisedPart(p score.Part, black bool, change func(float64) float64) (score.Part, bool) {
	raise := func(v float64) (float64, bool) {
		more := min(1, rounded3(change(v)))
		return more, v > 0 && more > v*1.01
	}
	switch kind(&p) {
	case byLux:
		more := rounded3(*p.Lux * change(1))
		p.Lux = &more
		return p, !black && more > 0
	case byGlow:
		return p, false
	case byEmitters:
		some := false
		p.Emitters = slices.Clone(p.Emitters)
		for i := range p.Emitters {
			e := &p.Emitters[i]
			if more, ok := raise(float64(e.Value)); ok && slices.Contains(s.black, e.Name) == black {
				e.Value, some = si.Ratio(more), true
			}
		}
		return p, some
	}
	if p.Colour == nil || p.Level == nil || black {
		return p, false
	}
	more, ok := raise(float64(*p.Level))
	p.Level = level(more)
	return p, ok
}

// halfway returns a look midway, in light, between a look and its accent, for hits that
// are not a section's loudest; nil where the text does not say enough. Light is linear,
// so the middle of two levels is half way; a goal in lux or a strobe has no such
// middle, and a look with one gives nothing.
func (s *stage) halfway(under, accent string) *score.Look {
	base := s.effective(under)
	own := s.written.Looks.Get(accent)
	if own == nil || own.Like.Name != under || len(own.Parts) == 0 {
		return nil
	}
	out := &score.Look{Like: source.Ref{Name: under}, Purpose: "drafted: " + accent + ", for softer hits", Dark: own.Dark, Eyes: own.Eyes}
	for _, p := range own.Parts {
		was := 0.0
		if k := slices.IndexFunc(base, func(b score.Part) bool {
			return target(&b) == target(&p) && kind(&b) != byGlow && kind(&b) != byEmitters
		}); k >= 0 {
			if kind(&base[k]) != byLevel {
				return nil
			}
			was = shareOf(&base[k])
		}
		if p.Colour == nil || p.Level == nil || p.Flash > 0 {
			return nil
		}
		p.Level = level((was + float64(*p.Level)) / 2)
		out.Parts = append(out.Parts, p)
	}
	return out
}
