package described

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/wire/gdtf"
)

// values reads what the values of one channel do into a slot.
type values struct {
	t      *tabler
	c      *gdtf.Placed
	slot   *rig.Slot
	spans  []gdtf.Span
	size   int // octets
	light  *lightPart
	coarse bool // the fine slot is let go, since a type has no ranges of two octets
	fine   int
	ranges []rig.Range
}

func (v *values) note(format string, args ...any) { v.t.note(v.slot.Coarse, format, args...) }

// read fills the slot.
func (v *values) read() {
	for i := range v.spans {
		v.span(&v.spans[i])
	}
	v.keep()
	if v.light != nil {
		v.lit()
	}
	v.settle()
}

// octet is the slot's own part of a value: with several octets, the first.
func (v *values) octet(value uint64) int { return int(value >> (8 * (v.size - 1))) }

// add puts a range in, cut to whole values of the slot.
func (v *values) add(from, to uint64, r rig.Range) {
	r.From, r.To = v.octet(from), v.octet(to)
	if n := len(v.ranges); n > 0 && r.From <= v.ranges[n-1].To {
		r.From = v.ranges[n-1].To + 1
	}
	if r.From > r.To {
		return
	}
	if n := len(v.ranges); n > 0 && joins(v.ranges[n-1], r) {
		v.ranges[n-1].To = r.To
		return
	}
	v.ranges = append(v.ranges, r)
}

// joins tells whether two ranges side by side are one.
func joins(a, b rig.Range) bool {
	same := a.Does == b.Does && a.Does != rig.Flash && a.Does != rig.FlashRandom && a.Does != rig.Fan && a.Does != rig.Level && a.Does != rig.LevelDown
	return same && a.To+1 == b.From
}

// keep makes values that switch on functions elsewhere ranges to keep out of, but the one that the
// channel rests at.
func (v *values) keep() {
	for _, k := range v.t.kept[v.c.Channel] {
		from, to, rest := v.octet(k[0]), v.octet(k[1]), v.octet(rests(v.c.Channel))
		if from <= rest && rest <= to {
			continue
		}
		var out []rig.Range
		for _, r := range v.ranges {
			if r.To < from || r.From > to || r.Does == rig.Never {
				out = append(out, r)
				continue
			}
			for _, part := range [][3]int{{r.From, from - 1, 0}, {max(r.From, from), min(r.To, to), 1}, {to + 1, r.To, 0}} {
				cut := r
				cut.From, cut.To = max(part[0], r.From), min(part[1], r.To)
				if part[2] == 1 {
					cut = rig.Range{From: cut.From, To: cut.To, Does: rig.Never}
				}
				if cut.From <= cut.To {
					out = append(out, cut)
				}
			}
		}
		v.ranges = out
	}
}

// span reads one function.
func (v *values) span(s *gdtf.Span) {
	does := strings.ToLower(s.Function.Does())
	word, colour := colourOf(does)
	switch {
	case colour, does == "dimmer":
		v.shine(s, word)
	case strings.HasPrefix(does, "shutter") && strings.Contains(does, "strobe"), does == "strobefrequency", does == "stroberate":
		v.flash(s, does)
	case strings.HasPrefix(does, "shutter"):
		v.shutter(s)
	case does == "nofeature":
		v.add(s.From, s.To, rig.Range{Does: rig.Nothing})
	case does == "fans" || strings.HasPrefix(does, "fan"):
		v.fan(s)
	default:
		v.other(s)
	}
}

// Words that names of ranges have, in the languages of most makers.
var (
	closedWords  = []string{"closed", "close", "blackout", "dark", "shut", "zu", "dunkel", "ferme", "cerrado"}
	openWords    = []string{"open", "no strobe", "strobe off", "auf", "offen", "ouvert", "abierto"}
	nothingWords = []string{"no function", "nofunction", "no feature", "unused", "no effect", "not used", "off", "none", "ohne funktion", "aus", "idle", "default", "normal", "manual"}
)

// says tells whether a name has one of the words, at the beginning or alone.
func says(name string, words []string) bool {
	name = " " + strings.ToLower(name) + " "
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(name, " "+w+" ") })
}

// shutter reads parts that are open at a physical 1 and closed at 0, unless names say otherwise.
func (v *values) shutter(s *gdtf.Span) {
	parts := s.Parts(v.size)
	for _, p := range parts {
		name := cmp.Or(p.Name, s.Function.Name)
		r := rig.Range{Does: rig.Never}
		at := func(x float64) bool { return p.PhysFrom == gdtf.Is(x) && p.PhysTo == gdtf.Is(x) }
		switch {
		case says(name, openWords) && !says(name, closedWords):
			r.Does = rig.Open
		case says(name, closedWords) && !says(name, openWords):
			r.Does = rig.Closed
		case at(1):
			r.Does = rig.Open
		case at(0):
			r.Does = rig.Closed
		default:
			v.note("values %d to %d are a shutter of which it is not told whether it is open: they are kept out of", v.octet(p.From), v.octet(p.To))
		}
		v.add(p.From, p.To, r)
	}
}

// flash reads a strobe, with its rates where they are told. The standard's own default of a range, from 0 to
// 1, is no rate that a lamp has from end to end.
func (v *values) flash(s *gdtf.Span, does string) {
	action := rig.Flash
	switch {
	case strings.Contains(does, "random"):
		action = rig.FlashRandom
	case strings.Contains(does, "pulse"), strings.Contains(does, "effect"):
		v.add(s.From, s.To, rig.Range{Does: rig.Never})
		return
	}
	parts := s.Parts(v.size)
	if !slices.ContainsFunc(s.Function.Sets, func(c gdtf.ChannelSet) bool { return c.PhysFrom.Told || c.PhysTo.Told }) {
		parts = []gdtf.Part{{Name: names(s), From: s.From, To: s.To, PhysFrom: s.Function.PhysFrom, PhysTo: s.Function.PhysTo}}
	}
	for _, p := range parts {
		r := rig.Range{Does: action, Low: si.Frequency(p.PhysFrom.Value), High: si.Frequency(p.PhysTo.Value)}
		told := p.PhysFrom.Told && p.PhysTo.Told
		switch {
		case says(p.Name, openWords) && len(parts) > 1:
			r = rig.Range{Does: rig.Open}
		case !told, r.Low == 0 && r.High <= 1, r.Low < 0, r.High < 0, r.Low > 100, r.High > 100:
			r.Low, r.High, r.Told = 0, 0, pace(p.Name)
			v.note("values %d to %d flash, and no rates are told: they count as up to 30 Hz", v.octet(p.From), v.octet(p.To))
		}
		v.add(p.From, p.To, r)
	}
}

// names is the function's name with those of its sets.
func names(s *gdtf.Span) string {
	out := s.Function.Name + " " + s.Function.CustomName
	for _, set := range s.Function.Sets {
		out += " " + set.Name
	}
	return out
}

// pace is what a name says of the rates.
func pace(name string) rig.Told {
	name = strings.ToLower(name)
	slow, fast := strings.Index(name, "slow"), strings.Index(name, "fast")
	switch {
	case slow < 0 && fast < 0 || strings.Contains(name, "unknown"):
		return rig.RateUnknown
	case slow < 0 || fast >= 0 && fast < slow:
		return rig.FastToSlow
	}
	return rig.SlowToFast
}

func (v *values) fan(s *gdtf.Span) {
	for _, p := range s.Parts(v.size) {
		r := rig.Range{Does: rig.Fan}
		if p.PhysFrom == gdtf.Is(0) && p.PhysTo == gdtf.Is(0) || says(p.Name, []string{"off", "aus"}) {
			r.Does = rig.FanOff
		}
		v.add(p.From, p.To, r)
	}
}

// other reads a function that a type has no word for: only what its names call nothing is entered.
func (v *values) other(s *gdtf.Span) {
	for _, p := range s.Parts(v.size) {
		r := rig.Range{Does: rig.Never}
		if says(p.Name, nothingWords) || len(s.Function.Sets) == 0 && says(s.Function.Name, nothingWords) {
			r.Does = rig.Nothing
		}
		v.add(p.From, p.To, r)
	}
}

// settle brings the ranges into the slot, or makes it one that rests at its default.
func (v *values) settle() {
	does := func(actions ...rig.Action) bool {
		return slices.ContainsFunc(v.ranges, func(r rig.Range) bool { return slices.Contains(actions, r.Does) })
	}
	s := v.slot
	lit := s.Drives != "" || len(s.Dims) > 0
	set := v.octet(rests(v.c.Channel))
	name := v.named()
	switch {
	case lit && s.Fine > 0 && len(v.ranges) > 0:
		v.note("it has two octets and ranges, which a type cannot say of one slot: the fine one stays at 0")
		v.coarse, v.fine, s.Fine = true, s.Fine, 0
		s.Ranges = v.ranges
	case lit:
		s.Ranges = v.ranges
	case s.Fine > 0:
		v.coarse, v.fine, s.Fine = true, s.Fine, 0
		fallthrough
	default:
		if !does(rig.Open, rig.Closed, rig.Flash, rig.FlashRandom, rig.Fan) && !(does(rig.Nothing) && does(rig.Never)) {
			if !does(rig.Nothing) {
				v.note("it is %s, of which no value is known to do nothing: it is held at %d, its default", name, set)
			}
			s.Idle = name
			if set > 0 {
				s.Set = &set
			}
			return
		}
		s.Ranges = v.ranges
		if !does(rig.Open, rig.Nothing) && set > 0 { // where it rests at 0 nothing need be said
			s.Set = &set
		}
		if n := v.custom(); n != "" {
			s.Idle = n
		}
	}
}

func (v *values) custom() string {
	if len(v.c.Logical) > 0 && len(v.c.Logical[0].Functions) > 0 {
		return v.c.Logical[0].Functions[0].CustomName
	}
	return ""
}

// named is what the maker calls the channel.
func (v *values) named() string {
	if n := v.custom(); n != "" {
		return n
	}
	if len(v.c.Logical) == 0 {
		return "nothing told"
	}
	l := &v.c.Logical[0]
	if len(l.Functions) == 1 && l.Functions[0].Name != "" && strings.EqualFold(l.Attribute, "NoFeature") {
		return l.Functions[0].Name
	}
	if strings.EqualFold(l.Attribute, "NoFeature") {
		return "no function"
	}
	return strings.ToLower(fmt.Sprint(l.Attribute))
}
