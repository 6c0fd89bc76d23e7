package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// From which change on something is told; all are this tool's choice. Side by side eyes see less,
// from one night to the next they see no more.
const (
	leastShare  = .05 // of a wish, or of the light in general
	leastTimes  = 1.1 // of the light of one place against the rest
	leastUneven = .1  // of the mean
	leastColour = .01 // u'v'
)

// Kind is how a difference is meant.
type Kind string

// The kinds.
const (
	Lost    Kind = "lost"    // what was asked for came nearer before
	Won     Kind = "won"     // it comes nearer now
	Balance Kind = "balance" // nobody asked: it is lighter or darker against the rest
)

// Line is one difference in words.
type Line struct {
	Kind Kind
	Text string

	size float64 // what is worth telling first has most
}

// Lines tells what differs, losses first, the greatest first.
func (l *Look) Lines() []Line { return sorted(append(l.asked(), l.lightLines()...)) }

// Asked tells what differs of what it asks for alone.
func (l *Look) Asked() []Line { return sorted(l.asked()) }

func (l *Look) asked() []Line { return slices.Concat(l.wishLines(), l.evenLines(), l.colourLines()) }

func sorted(out []Line) []Line {
	rank := []Kind{Lost, Balance, Won}
	slices.SortStableFunc(out, func(a, b Line) int {
		return cmp.Or(cmp.Compare(slices.Index(rank, a.Kind), slices.Index(rank, b.Kind)), cmp.Compare(b.size, a.size))
	})
	return out
}

// Kept counts what it asks for in the second show, and what of that comes as near as it did.
func (l *Look) Kept() (kept, asked int) {
	for i := range l.Wishes {
		w := &l.Wishes[i]
		asked++
		if w.After.There && w.After.Short <= w.Before.Short+leastShare {
			kept++
		}
	}
	return kept, asked
}

func (l *Look) wishLines() (out []Line) {
	for i := range l.Wishes {
		w := &l.Wishes[i]
		worse := w.After.Short - w.Before.Short
		switch {
		case !w.After.There:
			out = append(out, Line{Lost, fmt.Sprintf("%s is nowhere to be found, and it asks for %s of it", w.On, w.Wish), 1})
		case worse > leastShare:
			out = append(out, Line{Lost, w.says(), worse})
		case worse < -leastShare:
			out = append(out, Line{Won, w.says(), -worse})
		}
	}
	return out
}

// says tells what comes of a wish, what came of it, and what is asked for.
func (w *Wish) says() string {
	is, should := si.SayBoth(w.After.Found, w.Wanted, w.Wish.Unit())
	was := ""
	if w.Before.There {
		was = " instead of " + si.Say(w.Before.Found, w.Wish.Unit())
	}
	asked := fmt.Sprintf("%s%s (asked for: %s)", is, was, should)
	if w.Wish.AtMost() {
		asked = fmt.Sprintf("%s%s (at most %s asked for)", is, was, should)
	}
	switch w.Wish {
	case show.GlowOf:
		return fmt.Sprintf("%s glows with %s", w.On, asked)
	case show.GlowOver:
		return fmt.Sprintf("the glow of %s is %s", w.On, asked)
	case show.GlowEven:
		return fmt.Sprintf("%s glows in its darkest part with %s", w.On, asked)
	case show.Unseen:
		return fmt.Sprintf("%s is seen too, with %s", w.On, asked)
	case show.AtEyes:
		return "the eyes get UV-A of " + asked
	case show.Darkest:
		return fmt.Sprintf("%s has, in its brightest part, %s", w.On, asked)
	}
	return fmt.Sprintf("%s has %s", w.On, asked)
}

func (l *Look) evenLines() (out []Line) {
	for _, e := range l.Even {
		if off := e.Before - e.After; math.Abs(off) > leastUneven {
			kind := Lost
			if off < 0 {
				kind = Won
			}
			out = append(out, Line{kind, fmt.Sprintf("the darkest part of %s has %.0f %% of its mean instead of %.0f %%", e.On, 100*e.After, 100*e.Before), math.Abs(off)})
		}
	}
	return out
}

func (l *Look) colourLines() (out []Line) {
	for _, c := range l.Colours {
		switch off := c.After - c.Before; {
		case off > leastColour:
			out = append(out, Line{Lost, fmt.Sprintf("%s cannot mix %s as before: it comes %.3f u'v' beside it instead of %.3f", c.Units, source.Visible(c.Text), c.After, c.Before), off * 10})
		case off < -leastColour:
			out = append(out, Line{Won, fmt.Sprintf("%s comes nearer to %s: %.3f u'v' beside it instead of %.3f", c.Units, source.Visible(c.Text), c.After, c.Before), -off * 10})
		}
	}
	return out
}

// lightLines tells of the light in general, and of places that do not go with it.
func (l *Look) lightLines() (out []Line) {
	if l.inGeneral() {
		kind := Lost
		if l.General > 1 {
			kind = Balance
		}
		out = append(out, Line{kind, "all in all it is " + much(l.General), math.Abs(l.General - 1)})
	}
	for _, t := range l.tilts() {
		out = append(out, Line{Balance, fmt.Sprintf("%s is %s: %s%s", t.On, much(t.times), t.figures(), l.beside(t.against)), math.Abs(math.Log(t.against))})
	}
	return out
}

// inGeneral tells whether the light as a whole is another, where nothing asks for lux that would hold it.
func (l *Look) inGeneral() bool {
	return l.General > 0 && len(l.Held) == 0 && math.Abs(l.General-1) > leastShare
}

// tilt is a place that does not go with the light in general.
type tilt struct {
	Light
	times, against float64 // what it was; and that in times of the light in general
}

func (l *Look) tilts() (out []tilt) {
	for _, p := range l.Light {
		t := tilt{Light: p, times: max(p.After, darkest) / max(p.Before, darkest)}
		t.against = t.times / l.General
		if slices.Contains(l.Held, p.On) || l.glows(p.On) || max(t.against, 1/t.against) < leastTimes || math.Abs(t.times-1) < leastShare && len(l.Held) > 0 {
			continue
		}
		out = append(out, t)
	}
	return out
}

// glows tells whether a glow is asked for of an object: that is a wish of its own.
func (l *Look) glows(name string) bool {
	return slices.ContainsFunc(l.Wishes, func(w Wish) bool { return w.Wish == show.GlowOf && w.On == name })
}

func (t *tilt) figures() string {
	is, was := si.SayBoth(t.After, t.Before, "cd/m²")
	return is + " instead of " + was
}

// beside says what a place is like against the rest.
func (l *Look) beside(against float64) string {
	of := "the rest of the look"
	if len(l.Held) > 0 {
		of = source.First(l.Held, 3)
	}
	switch {
	case against >= 1.5:
		return fmt.Sprintf("; beside %s it is %s times brighter", of, figure(against))
	case against > 1:
		return fmt.Sprintf("; beside %s it is %.0f %% brighter", of, 100*(against-1))
	}
	return fmt.Sprintf("; beside %s it is %.0f %% darker", of, 100*(1-against))
}

// much says how bright something is against what it was.
func much(times float64) string {
	switch {
	case times >= 1.5:
		return figure(times) + " times as bright"
	case times >= 1:
		return fmt.Sprintf("%.0f %% brighter", 100*(times-1))
	}
	return fmt.Sprintf("%.0f %% darker", 100*(1-times))
}

// figure is a number of two figures, without powers of ten.
func figure(v float64) string {
	if v >= 10 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2g", v)
}
