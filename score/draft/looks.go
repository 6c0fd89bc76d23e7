package draft

import (
	"fmt"
	"math"
	"strings"

	"lampblack/score"
	"lampblack/source"
)

// stage is the looks that the draft may use.
type stage struct {
	score  *score.Score
	made   source.Named[string] // new looks, as flow-style text for the score
	bright map[string]float64
}

// standing lists looks to live in: not those that lay something over another,
// nor lights up.
func (s *stage) standing() []string {
	var out []string
	for _, l := range s.score.Looks {
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
	for _, p := range s.score.Parts(name) {
		most = max(most, partBrightness(&p))
	}
	return most
}

func partBrightness(p *score.Part) float64 {
	switch {
	case p.Level != nil:
		return float64(*p.Level)
	case p.Lux != nil:
		return min(1, *p.Lux/200)
	case p.Glow != nil:
		return .3
	case len(p.Emitters) > 0:
		most := 0.0
		for _, e := range p.Emitters {
			most = max(most, float64(e.Value))
		}
		return most / 2
	case p.Colour != nil:
		return 1
	}
	return 0
}

// accent returns the look for bumps over another: one that is like it and
// brighter, or a new one.
func (s *stage) accent(base string) string {
	best, most := "", s.brightness(base)
	for _, l := range s.score.Looks {
		if l.Value.Like.Name == base && s.brightness(l.Name) > most {
			best, most = l.Name, s.brightness(l.Name)
		}
	}
	if best != "" {
		return best
	}
	name := base + ", accent"
	if s.score.Looks.Get(name) == nil && s.made.Get(name) == nil {
		s.add(name, s.brighter(base))
	}
	return name
}

// softer returns a look halfway, in light, between a look and its accent, for
// hits that are not a section's loudest; the accent itself where the text does
// not say enough.
func (s *stage) softer(base, accent string) string {
	name := accent + ", softer"
	if s.score.Looks.Get(name) != nil || s.made.Get(name) != nil {
		return name
	}
	if s.score.Looks.Get(accent) == nil {
		return accent
	}
	under := map[string]float64{}
	for _, p := range s.score.Parts(base) {
		if p.Level != nil {
			under[p.System.Name] = float64(*p.Level)
		}
	}
	var parts []string
	for _, p := range s.score.Looks.Get(accent).Parts {
		if p.Colour == nil || p.System.Name == "" || p.Level == nil {
			return accent
		}
		level := (under[p.System.Name] + float64(*p.Level)) / 2
		parts = append(parts, fmt.Sprintf("{system: %s, colour: %q, level: %s}", source.Quote(p.System.Name), p.Colour.Text, percent(level)))
	}
	if len(parts) == 0 {
		return accent
	}
	s.add(name, fmt.Sprintf("{like: %s, purpose: %s, parts: [%s]}", source.Quote(base), source.Quote("drafted: "+accent+", for softer hits"), strings.Join(parts, ", ")))
	return name
}

func (s *stage) add(name, text string) {
	s.made = append(s.made, source.Entry[string]{Name: name, Value: text})
}

// brighter writes a look that is like another, with its visible parts raised.
func (s *stage) brighter(base string) string {
	var parts []string
	for _, p := range s.score.Parts(base) {
		if p.Colour == nil || p.System.Name == "" {
			continue
		}
		level := 1.0
		if p.Level != nil {
			level = float64(*p.Level)
		}
		parts = append(parts, fmt.Sprintf("{system: %s, colour: %q, level: %s}", source.Quote(p.System.Name), p.Colour.Text, percent(math.Min(1, level*2+.15))))
	}
	if len(parts) == 0 {
		if sys := s.visible(); sys != "" {
			parts = append(parts, fmt.Sprintf("{system: %s, colour: \"4000 K\", level: 40 %%}", source.Quote(sys)))
		}
	}
	text := fmt.Sprintf("{like: %s, purpose: %s", source.Quote(base), source.Quote("drafted: an accent over "+base))
	if len(parts) > 0 {
		text += ", parts: [" + strings.Join(parts, ", ") + "]"
	}
	return text + "}"
}

// visible returns a system that some look gives a colour.
func (s *stage) visible() string {
	for _, l := range s.score.Looks {
		for _, p := range l.Value.Parts {
			if p.Colour != nil && p.System.Name != "" {
				return p.System.Name
			}
		}
	}
	return ""
}

func percent(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

// make writes looks for labels that have colours but no look: every system in
// one of the colours, as bright as the section is loud. The seed turns which
// system gets which colour.
func (s *stage) make(label string, colours []score.Colour, energy float64, systems []string, seed int) string {
	name := "drafted, " + label
	if s.score.Looks.Get(name) != nil || s.made.Get(name) != nil {
		return name
	}
	var parts []string
	for i, sys := range systems {
		c := colours[(i+max(seed, 0))%len(colours)]
		parts = append(parts, fmt.Sprintf("{system: %s, colour: %q, level: %s}", source.Quote(sys), c.Text, percent(max(.05, energy))))
	}
	s.add(name, fmt.Sprintf("{purpose: %s, parts: [%s]}", source.Quote("drafted for section "+label), strings.Join(parts, ", ")))
	s.brightOf(name, energy)
	return name
}

func (s *stage) brightOf(name string, energy float64) {
	if s.bright == nil {
		s.bright = map[string]float64{}
	}
	s.bright[name] = energy
}

// darkest returns the look for a silence: one in which people move in the dark
// if there is such a one, for a silence is when they do.
func (s *stage) darkest() string {
	best, least, walked := "", math.Inf(1), false
	for _, name := range s.standing() {
		b, people := s.brightness(name), s.score.Looks.Get(name).Dim
		if people && !walked || people == walked && b < least {
			best, least, walked = name, b, people
		}
	}
	return best
}

// moodColours are colours for sections that have neither look nor colours.
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
