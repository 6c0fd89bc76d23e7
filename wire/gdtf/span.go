package gdtf

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Span is a function with the values, in all octets of its channel, that it holds.
type Span struct {
	Logical  *LogicalChannel
	Function *Function
	From, To uint64
}

// condition tells functions that hold at different times apart.
func (f *Function) condition() [3]any { return [3]any{f.Master, f.ModeFrom, f.ModeTo} }

// Spans returns the functions of the channel in the order of their values. A function ends
// before the next one of its condition begins, in whichever logical channel that is.
func (c *Channel) Spans() []Span {
	size := max(len(c.Offset), 1)
	var out []Span
	for i := range c.Logical {
		for j := range c.Logical[i].Functions {
			f := &c.Logical[i].Functions[j]
			out = append(out, Span{&c.Logical[i], f, f.From.At(size), top(size)})
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].From < out[b].From })
	next := map[[3]any]uint64{} // where the following one of a condition begins
	for i := len(out) - 1; i >= 0; i-- {
		s := &out[i]
		key := s.Function.condition()
		if n, ok := next[key]; ok && n > s.From {
			s.To = n - 1
		} else if ok {
			s.To = s.From // two begin at one value
		}
		next[key] = s.From
	}
	return out
}

// Part is a stretch of a function: one of its channel sets, or what lies between, with the
// physical values at both ends where they are told.
type Part struct {
	Name     string
	From, To uint64
	PhysFrom Figure
	PhysTo   Figure
}

// Parts cuts the span into the sets of its function. A set that tells no physical values has those of
// the function there; a function that tells none has none. A set that begins outside the function says
// nothing. Sets without a name, which only end another, are parts too.
func (s *Span) Parts(size int) []Part {
	var sets []ChannelSet
	for _, set := range s.Function.Sets {
		if v := set.From.At(size); v >= s.From && v <= s.To {
			sets = append(sets, set)
		}
	}
	slices.SortStableFunc(sets, func(a, b ChannelSet) int {
		return int(int64(a.From.At(size)) - int64(b.From.At(size)))
	})
	if len(sets) == 0 || sets[0].From.At(size) > s.From {
		sets = slices.Insert(sets, 0, ChannelSet{From: Value{s.From, size, false}})
	}
	var out []Part
	for i, set := range sets {
		p := Part{Name: set.Name, From: set.From.At(size), To: s.To}
		if i+1 < len(sets) {
			p.To = sets[i+1].From.At(size)
			if p.To > p.From {
				p.To--
			}
		}
		p.PhysFrom, p.PhysTo = s.physical(p.From), s.physical(p.To)
		if set.PhysFrom.Told {
			p.PhysFrom = set.PhysFrom
		}
		if set.PhysTo.Told {
			p.PhysTo = set.PhysTo
		}
		out = append(out, p)
	}
	return out
}

// physical is the physical value at a value of the function, linear between its ends.
func (s *Span) physical(v uint64) Figure {
	f := s.Function
	if !f.PhysFrom.Told || !f.PhysTo.Told {
		return Figure{}
	}
	if s.To == s.From {
		return f.PhysFrom
	}
	share := float64(v-s.From) / float64(s.To-s.From)
	return Is(f.PhysFrom.Value + share*(f.PhysTo.Value-f.PhysFrom.Value))
}

// Called is the channel's name, by which links find it.
func (c *Channel) Called() string {
	if len(c.Logical) == 0 {
		return c.Geometry + "_"
	}
	return c.Geometry + "_" + c.Logical[0].Attribute
}

// Called is the n-th function's name, from 0: its own, or its attribute and number.
func (l *LogicalChannel) Called(n int) string {
	if f := &l.Functions[n]; f.Name != "" {
		return f.Name
	}
	return fmt.Sprintf("%s %d", l.Functions[n].Does(), n+1)
}

// Does is the function's attribute; NoFeature where it tells none.
func (f *Function) Does() string {
	if f.Attribute == "" {
		return "NoFeature"
	}
	return f.Attribute
}

// Find follows a link to a channel, or to one of its functions (nil for the channel alone). A name
// may itself hold what separates others, so that the longest match counts.
func (m *Mode) Find(link string) (*Channel, *Function) {
	for i := range m.Channels {
		c := &m.Channels[i]
		rest, ok := strings.CutPrefix(link, c.Called())
		switch {
		case !ok:
		case rest == "":
			return c, nil
		case rest[0] == '.':
			if f := c.function(rest[1:]); f != nil {
				return c, f
			}
		}
	}
	return nil, nil
}

func (c *Channel) function(link string) *Function {
	for i := range c.Logical {
		l := &c.Logical[i]
		rest, ok := strings.CutPrefix(link, l.Attribute+".")
		if !ok {
			continue
		}
		for j := range l.Functions {
			if l.Called(j) == rest {
				return &l.Functions[j]
			}
		}
	}
	return nil
}
