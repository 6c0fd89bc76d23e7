package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lampblack/si"
	"lampblack/source"
)

// Group is one difference of light that several looks share.
type Group struct {
	On    string   // the place; "" for the light in general
	Looks []string // the names of the looks
	Text  string

	least, most float64 // times of the rest, or of what it was
	worst       tilt
	in          *Look
}

// Groups gathers what looks share: places that are lighter or darker beside the rest, and light that is
// more or less in general; what is greatest first.
func Groups(looks []Look) []Group {
	var out []*Group
	add := func(l *Look, on string, times float64, t tilt) {
		k := slices.IndexFunc(out, func(g *Group) bool {
			return g.On == on && (g.most > 1) == (times > 1) && (len(g.in.Held) > 0) == (len(l.Held) > 0)
		})
		if k < 0 {
			k = len(out)
			out = append(out, &Group{On: on})
		}
		out[k].add(l, times, t)
	}
	for i := range looks {
		l := &looks[i]
		if l.inGeneral() {
			add(l, "", l.General, tilt{})
		}
		for _, t := range l.tilts() {
			add(l, t.On, t.against, t)
		}
	}
	slices.SortStableFunc(out, func(a, b *Group) int {
		return cmp.Or(cmp.Compare(general(a), general(b)), cmp.Compare(math.Abs(math.Log(b.most)), math.Abs(math.Log(a.most))))
	})
	var all []Group
	for _, g := range out {
		g.Text = g.says()
		all = append(all, *g)
	}
	return all
}

// general sorts the light in general before places.
func general(g *Group) int {
	if g.On == "" {
		return 0
	}
	return 1
}

func (g *Group) add(l *Look, times float64, t tilt) {
	if len(g.Looks) == 0 {
		g.least, g.most, g.worst, g.in = times, times, t, l
	}
	if !slices.Contains(g.Looks, l.Name) {
		g.Looks = append(g.Looks, l.Name)
	}
	if size := math.Abs(math.Log(times)); size > math.Abs(math.Log(g.most)) {
		g.most, g.worst, g.in = times, t, l
	} else if size < math.Abs(math.Log(g.least)) {
		g.least = times
	}
}

func (g *Group) says() string {
	where := "in look " + g.in.Name
	if n := len(g.Looks); n > 1 {
		where = fmt.Sprintf("in %s, most in %s", si.Count(n, "look", "looks"), g.in.Name)
	}
	switch {
	case g.On == "":
		return fmt.Sprintf("all in all %s as bright, %s", span(g.least, g.most), where)
	case len(g.Looks) == 1:
		return fmt.Sprintf("%s is %s %s: %s%s", g.On, much(g.worst.times), where, g.worst.figures(), g.in.beside(g.most))
	}
	of := "the rest of the look"
	if len(g.in.Held) > 0 {
		of = "what is held by lux (" + source.First(g.in.Held, 3) + ")"
	}
	return fmt.Sprintf("%s is, beside %s, %s as bright as it was, %s: %s", g.On, of, span(g.least, g.most), where, g.worst.figures())
}

// span is from the least to the most of several times, the nearer to 1 first.
func span(least, most float64) string {
	form := func(v float64) string {
		if most > 1 {
			return figure(v)
		}
		return fmt.Sprintf("%.0f %%", 100*v)
	}
	times := ""
	if most > 1 {
		times = " times"
	}
	a, b := form(least), form(most)
	if a == b {
		return b + times
	}
	return a + " to " + b + times
}
