package show

import (
	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// Live is sound that is heard as it comes, from a microphone or another's player: what moves
// with the beat or the sound goes by it wherever there is no soundtrack.
type Live struct {
	source.Pos
	From   source.Ref `key:"from"`        // a sound input, as `lampblack sound` lists it; default is the system's own choice
	Silent source.Ref `key:"when silent"` // the look that stands in silence; slow time where absent
	Record bool       `key:"record"`      // what is heard is kept, with the night
}

// Heard tells whether live sound is listened to.
func (l *Live) Heard() bool { return l.From.Name != "" }

// Input is the name of the sound input, "" for the system's own choice.
func (l *Live) Input() string {
	if l.From.Name == "default" {
		return ""
	}
	return l.From.Name
}

// checkLive finds what is wrong with it; the score may not have been read.
func (f *Files) checkLive(faults *source.Faults) {
	l := &f.Bill.Live
	switch {
	case l.From.Name == "" && (l.Silent.Name != "" || l.Record):
		faults.Add(l.Pos, "from: default", "the live sound does not say which sound input it is heard from")
	case l.Silent.Name != "" && f.Score != nil && f.Score.Looks.Index(l.Silent.Name) < 0:
		faults.Add(l.Silent.Pos, source.OneOf(l.Silent.Name, source.Names(f.Score.Looks)), "there is no look %q to stand when live sound falls silent", l.Silent.Name)
		l.Silent.Name = ""
	}
}

// hushed is the look that stands when live sound falls silent.
type hushed struct {
	levels []float32
	flash  []float32
	lives  *alive // what moves by itself in it
}

// listen makes the light that stands in silence.
func (s *Show) listen() {
	s.hushed = nil
	name := s.Bill.Live.Silent.Name
	if i := s.Score.Looks.Index(name); i >= 0 && name != "" && s.Bill.Live.Heard() {
		l := &s.Looks[i]
		c := Cue{Cue: &score.Cue{}, Look: i}
		s.hushed = &hushed{l.Levels, l.Flash, s.enliven(&c, Softened{Keeps: 1, Slower: 1})}
	}
}

// hears is how much of the light at an instant goes by what is heard, 0 to 1.
func (p *plan) hears(at instant) float32 {
	i := p.current(at.at)
	if i < 0 {
		return 0
	}
	now := &p.fades[i]
	whole := share(at.at-now.start, max(now.up, now.down))
	x := float32(0)
	if now.lives != nil && now.lives.hears {
		x = whole
	}
	for k := range now.under {
		if now.under[k].hears {
			return x + 1 - whole
		}
	}
	return x
}

// hush takes light that goes by what is heard to what stands in silence, as far as the ear has
// gone there.
func (s *Show) hush(f *Frame, at instant) {
	if s.hushed == nil || at.ear == nil {
		return
	}
	share := at.ear.Hushed() * s.plan.hears(at)
	if share <= 0 {
		return
	}
	h := s.hushed
	for d := range f.Levels {
		f.Levels[d] = toward(f.Levels[d], h.levels[d], share)
	}
	for u := range f.still {
		f.still[u] = rig.Loose
		switch { // rates do not blend: what comes begins once it is there
		case share == 1:
			f.Flash[u] = h.flash[u]
		default:
			f.Flash[u] = 0
		}
	}
	if h.lives != nil {
		h.lives.add(f.Levels, at, shareOf{bump: share})
	}
	f.bound()
}

// Hears tells whether any of the show's light goes by sound that is heard as it comes.
func (s *Show) Hears() bool { return s.plan.listens }
