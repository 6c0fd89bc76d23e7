package draft

import (
	"maps"
	"math"
	"slices"

	"lampblack/light"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// stage is the looks that the draft may use: those of the score, and those that
// it makes.
type stage struct {
	written *score.Score // of it, the looks; made ones come last
	own     []string     // looks to live in that were there before
	made    []string     // names of looks to be added to the score
	bright  map[string]float64
	walk    map[string]float64
	work    workLight
	black   []string // emitters
	solved  func(look string, p *score.Part) []EmitterLevel
}

func newStage(sc *score.Score, o Options) *stage {
	s := &stage{written: &score.Score{Looks: slices.Clone(sc.Looks)}, bright: map[string]float64{}, walk: map[string]float64{}, work: workLight{o.WorkSystems, o.WorkUnits}, black: o.BlackLight, solved: o.Black}
	if s.black == nil {
		s.black = []string{"uv"}
	}
	maps.Copy(s.bright, o.Brightness)
	maps.Copy(s.walk, o.Walk)
	s.own = s.standing()
	return s
}

// clone is for one proposal, which makes looks of its own.
func (s *stage) clone() *stage {
	o := *s
	o.written = &score.Score{Looks: slices.Clone(s.written.Looks)}
	o.made = slices.Clone(s.made)
	o.bright, o.walk = maps.Clone(s.bright), maps.Clone(s.walk)
	return &o
}

// standing lists looks to live in: not those that lay something over another, nor
// lights up. A look that is like another is taken for an accent or a variant of it: a
// person who wants it cast names it in a wish.
func (s *stage) standing() []string {
	var out []string
	for _, l := range s.written.Looks {
		if l.Value.Like.Name == "" && l.Value.Purpose != "lights up" {
			out = append(out, l.Name)
		}
	}
	return out
}

// brightness guesses from the text how bright a look is, 0 to 1, where nobody
// measured it.
func (s *stage) brightness(name string) float64 {
	if b, ok := s.bright[name]; ok {
		return b
	}
	most := 0.0
	for _, p := range s.written.Parts(name) {
		most = max(most, partBrightness(&p))
	}
	return most
}

// partBrightness guesses how bright a part is, 0 to 1. 200 lx count as full, as does a
// colour without a level; a glow is dim, and single emitters are half of a unit. These
// are guesses to order looks by, and give way to what was measured.
func partBrightness(p *score.Part) float64 {
	switch {
	case p.Level != nil:
		return float64(*p.Level)
	case p.Lux != nil:
		return min(1, *p.Lux/200)
	case p.Glow != nil:
		return .3
	case len(p.Emitters) > 0:
		return mostEmitter(p) / 2
	case p.Colour != nil:
		return 1
	}
	return 0
}

func mostEmitter(p *score.Part) float64 {
	most := 0.0
	for _, e := range p.Emitters {
		most = max(most, float64(e.Value))
	}
	return most
}

// add takes in a look that the draft makes. One that is there by that name and says the
// same is taken; another gets another name. Names get a number behind them until they
// are free, from 2 on.
func (s *stage) add(name string, l score.Look) string {
	l.By = score.Draft
	base := name
	for n := 2; ; n++ {
		old := s.written.Looks.Get(name)
		if old == nil {
			break
		}
		if lookText(old) == lookText(&l) {
			return name
		}
		name = base + " " + number(float64(n))
	}
	s.written.Looks = append(s.written.Looks, source.Entry[score.Look]{Name: name, Value: l})
	s.made = append(s.made, name)
	return name
}

// make writes looks for labels that have colours but no look: every system in one of
// the colours, as bright as the section is loud. The seed turns which system gets which
// colour. The least is 5 %, so that a quiet section is still seen.
func (d *plan) make(label string, colours []score.Colour, energy float64) string {
	var parts []score.Part
	for i, sys := range d.options.Systems {
		if d.work.system(sys) {
			continue
		}
		c := colours[(i+max(d.wish.Seed, 0))%len(colours)]
		parts = append(parts, score.Part{System: source.Ref{Name: sys}, Colour: &c, Level: level(max(.05, energy))})
	}
	name := d.add("drafted, "+label, score.Look{Purpose: "drafted for section " + label, Parts: parts})
	d.bright[name] = energy
	return name
}

func level(x float64) *si.Ratio {
	r := si.Ratio(min(1, rounded3(x)))
	return &r
}

// darkest returns the look for a silence: one in which people move in the dark if there
// is such a one, for a silence is when they do; or, when that was no good, the darkest
// in which nobody moves. Once one in which people move is found, only such are compared
// with it.
func (s *stage) darkest(nobodyMoves bool) string {
	best, least, walked := "", math.Inf(1), false
	for _, name := range s.own {
		b, people := s.brightness(name), s.written.Looks.Get(name).Dim
		if people && nobodyMoves {
			continue
		}
		if people && !walked || people == walked && b < least {
			best, least, walked = name, b, people
		}
	}
	return best
}

// alternate returns another look for a part: of those in which nobody moves,
// the one that is nearly as bright as the part is loud. "" when there is none,
// or when the director asked for the look.
func (d *drafting) alternate(part int, under string) string {
	p := &d.parts[part]
	if d.given(p) != "" {
		return ""
	}
	brightest := 0.0
	for _, name := range d.own {
		brightest = max(brightest, d.brightness(name))
	}
	best, least := "", math.Inf(1)
	for _, name := range d.own {
		off := math.Abs(p.energy - light.Lightness(d.brightness(name)/max(brightest, 1e-9))/100)
		if name != under && name != d.looks[part] && !d.written.Looks.Get(name).Dim && off < least {
			best, least = name, off
		}
	}
	return best
}

// moodColours are colours for sections that have neither look nor colours: blue for
// what is still, warm for what is lively (common practice, no source).
var moodColours = map[Mood][]string{
	Still:  {"#0b2a6b", "#062040"},
	Calm:   {"#123a7c", "#2a6f8a"},
	Lively: {"#e0a050", "#c05070"},
	Fierce: {"#ff5020", "#dfeaff"},
}

func coloursOf(m Mood) []score.Colour {
	var out []score.Colour
	for _, c := range moodColours[m] {
		out = append(out, score.Colour{Text: c})
	}
	return out
}
