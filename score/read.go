package score

import (
	"fmt"
	"math"
	"regexp"
	"time"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// MaxCues bounds a score; a cue a second for three hours is inside it.
const MaxCues = 12000

// MaxLooks bounds the looks of a score: each is there for a cue.
const MaxLooks = MaxCues

// MaxLike bounds how many looks a look may stand on, one like the other. Nobody
// reads a longer chain, and the parts of all of them are gathered for each look.
const MaxLike = 32

// Read reads score.yaml. What needs the rig, the room or the soundtrack to be
// known (systems, objects, moments) is checked by package show.
func Read(file string, data []byte) (*Score, source.Faults) {
	s := &Score{}
	faults := source.Decode(file, data, s)
	if len(s.Looks) > MaxLooks {
		faults.Add(s.Pos, "", "%d looks are more than the %d that one show may have", len(s.Looks), MaxLooks)
		s.Looks = s.Looks[:MaxLooks]
	}
	s.checkLikes(&faults)
	for i := range s.Looks {
		s.checkLook(&s.Looks[i], &faults)
	}
	s.checkList(&faults)
	faults.Sort()
	return s, faults
}

// ReadCues reads the cues of one piece of an evening; its looks are those of the
// evening's score, which was read before.
func ReadCues(file string, data []byte, looks source.Named[Look]) (*Score, source.Faults) {
	var p Piece
	faults := source.Decode(file, data, &p)
	s := &Score{Pos: p.Pos, Looks: looks, Cues: p.Cues, Brief: p.Brief, Calm: p.Calm, Waits: p.Waits, Stage: p.Stage, Crosses: p.Crosses, Opens: p.Opens}
	s.checkList(&faults)
	faults.Sort()
	return s, faults
}

// checkList finds what is wrong with the cues and the calm spans.
func (s *Score) checkList(faults *source.Faults) {
	if len(s.Cues) > MaxCues {
		faults.Add(s.Pos, "", "%d cues are more than the %d that one show may have", len(s.Cues), MaxCues)
		s.Cues = s.Cues[:MaxCues]
	}
	s.checkCues(faults)
	s.checkFollows(faults)
	s.checkWaits(faults)
	s.checkStage(faults)
	s.checkCrossings(faults)
	s.checkDraws(faults)
	for _, c := range s.Calm {
		if c.To <= c.From {
			faults.Add(c.Pos, "", "a calm span ends at %s, not after it begins", si.FormatTime(c.To))
		}
	}
}

// checkLook finds what is wrong with a look by itself. A limit of 0 is a fair wish; the
// solver gives it the least that it can compute with.
func (s *Score) checkLook(e *source.Entry[Look], faults *source.Faults) {
	l := &e.Value
	l.gather()
	if n := l.Like.Name; n != "" && s.Looks.Get(n) == nil {
		faults.Add(l.Like.Pos, source.OneOf(n, source.Names(s.Looks)), "there is no look %q", n)
	}
	for i := range l.Parts {
		l.Parts[i].check(faults)
		s.checkLives(&l.Parts[i].Lives, e.Name, faults)
	}
	for _, d := range l.Dark {
		if d.Most < 0 {
			faults.Add(d.Pos, "", "%v on %s is less than no light", d.Most, d.On)
		}
	}
	if o := l.Only; o != nil && (o.Most < 0 || o.Most > mostLuminance) {
		faults.Add(o.Pos, "", "%v lies outside 0 cd/m² to 100 000 cd/m²", o.Most)
		o.Most = 0
	}
	if l.Eyes != nil && l.Eyes.Most < 0 {
		faults.Add(l.Eyes.Pos, "", "%v at the eyes is less than no ultraviolet", l.Eyes.Most)
	}
}

// The most that a part may ask for: far more than any unit or paint gives, and
// little enough to be computed with.
const (
	mostLux       = 1e5 // lx
	mostOver      = 1e6 // times the background
	mostLuminance = 1e5 // cd/m2
)

// checkLikes cuts chains of looks that are like one another where they come
// back to where they began or are too long, so that the parts of every look can
// be gathered. Circles go first: what leads into one has no end to be counted.
func (s *Score) checkLikes(faults *source.Faults) {
	place := make(map[string]int, len(s.Looks))
	for i := range s.Looks {
		place[s.Looks[i].Name] = i
	}
	cut := func(i int, hint, format string, args ...any) {
		l := &s.Looks[i].Value
		faults.Add(l.Like.Pos, hint, format, args...)
		l.Like = source.Ref{}
	}
	for i := range s.Looks {
		if _, back := s.follow(i, place); back {
			cut(i, "", "look %q is like itself, by way of others", s.Looks[i].Name)
		}
	}
	for i := range s.Looks {
		if n, _ := s.follow(i, place); n > MaxLike {
			cut(i, "write the parts that it needs into the look itself", "look %q is like more than %d others, one by way of the other", s.Looks[i].Name, MaxLike)
		}
	}
}

// follow counts the looks that a look is like, one by way of the other, to one
// more than MaxLike, and tells whether they come back to it.
func (s *Score) follow(look int, place map[string]int) (n int, back bool) {
	for at := look; n <= MaxLike; n++ {
		next, ok := place[s.Looks[at].Value.Like.Name]
		if !ok {
			break
		}
		if at = next; at == look {
			return n + 1, true
		}
	}
	return n, false
}

// check finds what is wrong with a part by itself. A part whose position was never set
// could not be decoded: it has a fault already, and its zero values would only bring
// more.
func (p *Part) check(faults *source.Faults) {
	if p.Pos.Line == 0 {
		return
	}
	if p.System.Name == "" && len(p.Units) == 0 {
		p.System = source.Ref{Name: rig.All, Pos: p.Pos}
	}
	p.checkAmount(faults)
	if p.Colour != nil && p.Colour.Text != "" {
		if _, err := light.ParseColour(p.Colour.Text); err != nil {
			faults.Add(p.Colour.Pos, "", "%v", err)
			p.Colour = nil
		}
	}
	for _, e := range p.Emitters {
		if e.Value < 0 || e.Value > 1 {
			faults.Add(e.Pos, "", "%s at %g %% lies outside 0 %% to 100 %%", e.Name, percent(e.Value))
		}
	}
	if p.Use != "" && p.Any() {
		faults.Add(p.Pos, "move a part without use", "%s must stand: people walk by it", p.Use)
		p.Lives = Lives{}
	}
	if p.Flash < 0 || p.Flash > 60 {
		faults.Add(p.Pos, "", "a flash of %v lies outside 0 to 60 Hz", p.Flash)
	}
}

// percent is a share as it is written, to a hundredth of a percent.
func percent(r si.Ratio) float64 { return math.Round(1e4*float64(r)) / 100 }

// checkAmount finds parts that say how much light in two ways, or in none. It
// says one thing of a part: whoever mends the first is told the next. A colour
// that stands where it means nothing is dropped, so that nothing later solves
// for it.
func (p *Part) checkAmount(faults *source.Faults) {
	ways := 0
	for _, said := range []bool{p.Level != nil, p.Lux != nil, len(p.Emitters) > 0, p.Glow != nil} {
		if said {
			ways++
		}
	}
	switch {
	case ways == 0 && p.Colour == nil:
		faults.Add(p.Pos, "give colour and level, lux, emitters or glow", "the part does not say how much light")
	case ways > 1:
		faults.Add(p.Pos, "level, lux, emitters and glow exclude one another", "the part says how much light in %d ways", ways)
	case p.Level != nil && (*p.Level < 0 || *p.Level > 1):
		faults.Add(p.Pos, "", "a level of %g %% lies outside 0 %% to 100 %%", percent(*p.Level))
	case p.Lux != nil:
		p.checkLux(faults)
	case p.Colour != nil && (p.Glow != nil || len(p.Emitters) > 0):
		faults.Add(p.Pos, "give the colour a part of its own, with level or lux", "a colour says nothing beside a glow or amounts by emitter")
		p.Colour = nil
	case p.Glow != nil:
		p.Glow.check(faults)
	}
}

// checkLux holds an illuminance to 0 to 100 000 lx, which is daylight and more
// than any rig of small units makes (the bound is for the arithmetic), and wants
// to know where it is meant.
func (p *Part) checkLux(faults *source.Faults) {
	switch {
	case *p.Lux < 0 || *p.Lux > mostLux:
		faults.Add(p.Pos, "", "%v lx lies outside 0 to 100 000 lx", *p.Lux)
	case p.On.Name == "":
		faults.Add(p.Pos, "name the surface or object with on", "the part asks for lux, but not where")
	}
}

// check wants at least one of the two ways of saying how much glow; where both
// are given, package show holds the object to both.
func (g *Glow) check(faults *source.Faults) {
	switch {
	case g.Over <= 0 && g.Luminance <= 0:
		faults.Add(g.Pos, "give over background, or luminance", "the glow does not say how much")
	case g.Most < 0 || g.Most > mostLuminance:
		faults.Add(g.Pos, "", "a ceiling of %v on a glow lies outside 0 cd/m² to 100 000 cd/m²", g.Most)
		g.Most = 0
	case g.Most > 0 && g.Luminance > g.Most:
		faults.Add(g.Pos, "", "a glow of %v is more than its own ceiling of %v", g.Luminance, g.Most)
		g.Most = 0
	case g.Even < 0 || g.Even > 1:
		faults.Add(g.Pos, "evenness: 50 %, the least part over the mean", "an evenness of %v lies outside 0 %% to 100 %%", g.Even)
		g.Even = 0
	case g.Over < 0 || g.Over > mostOver:
		faults.Add(g.Pos, "", "a glow of %v times its background lies outside 0 to 1 000 000", g.Over)
	case g.Luminance < 0 || g.Luminance > mostLuminance:
		faults.Add(g.Pos, "", "a glow of %v lies outside 0 cd/m² to 100 000 cd/m²", g.Luminance)
	}
}

// numberForm is how cues are numbered in the trade: whole numbers, and a point between
// two that exist when one is put in later. Leading zeros are let through; "05" and "5"
// are two names.
var numberForm = regexp.MustCompile(`^\d{1,5}(\.\d{1,3})?$`)

// checkCues holds the numbers of cues to be numbers and single. The numbers name cues
// to people and need not rise with time: the order of a score is that of its times.
func (s *Score) checkCues(faults *source.Faults) {
	lines := map[string]int{}
	for i := range s.Cues {
		c := &s.Cues[i]
		if c.Pos.Line == 0 {
			continue
		}
		if n := c.Number.Name; n != "" {
			if !numberForm.MatchString(n) {
				faults.Add(c.Number.Pos, "a number, with a point cue between two as 10.5", "%q is no cue number", n)
			}
			if line, twice := lines[n]; twice {
				faults.Add(c.Number.Pos, fmt.Sprintf("the first is on line %d", line), "two cues have the number %s", n)
			}
			lines[n] = c.Number.Pos.Line
		}
		if n := c.Look.Name; n != "" && s.Looks.Get(n) == nil {
			faults.Add(c.Look.Pos, source.OneOf(n, source.Names(s.Looks)), "there is no look %q", n)
		}
		c.checkTimes(faults)
		s.checkLives(&c.Lives, c.Look.Name, faults)
		if c.Wanders != nil && len(c.Wanders.Among) > 0 {
			faults.Add(c.Wanders.Pos, "give it to the parts of look "+c.Look.Name, "cue %s wanders among colours: which lamps have them is said in a look", c.Number)
			c.Wanders.Among = nil
		}
	}
}

// checkFollows holds follow-ons to cues that are there, and to an end: no cue follows
// itself by way of others.
func (s *Score) checkFollows(faults *source.Faults) {
	index := map[string]int{}
	var numbers []string
	for i := range s.Cues {
		if n := s.Cues[i].Number.Name; n != "" {
			index[n] = i
			numbers = append(numbers, n)
		}
	}
	const open, done = 1, 2
	state := make([]int, len(s.Cues))
	for i := range s.Cues {
		var path []int
		for k := i; state[k] != done; {
			c := &s.Cues[k]
			if state[k] == open {
				faults.Add(c.Follows.Pos, "", "cue %s follows itself, by way of others", c.Number)
				c.Follows = source.Ref{}
				break
			}
			state[k] = open
			path = append(path, k)
			next, ok := index[c.Follows.Name]
			if !ok {
				if n := c.Follows.Name; n != "" {
					faults.Add(c.Follows.Pos, source.OneOf(n, numbers), "there is no cue %s to follow", n)
					c.Follows = source.Ref{}
				}
				break
			}
			k = next
		}
		for _, k := range path {
			state[k] = done
		}
	}
}

// checkTimes wants one way of saying when, and times of 0 to 4 h: longer than any
// evening, and short enough that sums of them stay inside a Duration. A time outside is
// set to 0, so that what is computed from it stays finite while the fault stands.
func (c *Cue) checkTimes(faults *source.Faults) {
	switch {
	case !c.Timed():
		faults.Add(c.Pos, "give at 0:12.4, or on hit 0:31.2, or follows and a cue", "cue %s does not say when", c.Number)
	case c.At != nil && c.On != nil || c.Follows.Name != "" && (c.At != nil || c.On != nil):
		faults.Add(c.Pos, "at, on and follows exclude one another", "cue %s says when in two ways", c.Number)
		c.Follows = source.Ref{}
	case c.At != nil && *c.At < 0:
		faults.Add(c.Pos, "", "cue %s is before the beginning", c.Number)
	}
	const longest = 4 * time.Hour
	for _, t := range []*time.Duration{&c.Up, &c.Delay, &c.Hold, c.Down, c.Returns} {
		if t != nil && (*t < 0 || *t > longest) {
			faults.Add(c.Pos, "", "cue %s has a time outside 0 to 4 h: %s", c.Number, si.FormatTime(*t))
			*t = 0
		}
	}
	if c.Hold > 0 && !c.Bump() {
		faults.Add(c.Pos, "give returns, or leave hold out", "cue %s holds, but does not return", c.Number)
	}
}

// Falls returns the time that falling light takes: down, or up when down is
// not given.
func (c *Cue) Falls() time.Duration {
	if c.Down != nil {
		return *c.Down
	}
	return c.Up
}
