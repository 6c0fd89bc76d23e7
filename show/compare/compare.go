package compare

import (
	"math"
	"slices"

	"lampblack/show"
)

// Look is a look in two shows.
type Look struct {
	Name    string
	For     []string // the cues of the second show for which it is solved, where those of a look differ
	Wishes  []Wish   // what it asks to be seen
	Even    []Even   // of the places on which it asks for lux
	Colours []Colour
	Light   []Light // on what both rooms have, the brightest of the second first

	Held    []string // the places that the rest is held against; none where that is the median
	General float64  // how many times the light of those is what it was; 0 where there is none
}

// Wish is something that a look asks to be seen.
type Wish struct {
	Wish   show.Wish
	On     string
	Wanted float64 // in the second show: an eye of another age asks for another glow
	Before Came
	After  Came
}

// Came is what comes of a wish.
type Came struct {
	Found float64
	Short float64 // the share of what is wanted by which it is missed, 0 where it is met
	There bool    // it is asked for there at all
}

// Even is how even the light is where lux are asked for: the least of its pieces over the mean.
type Even struct {
	On            string
	Before, After float64
}

// Colour is a colour that a part asks for, and how far off in u'v' its units come.
type Colour struct {
	Text, Units   string
	Before, After float64
}

// Light is how bright a place is as its mean, what it reflects and its glow together, in cd/m².
type Light struct {
	On            string
	Before, After float64
}

// Shows compares all looks of two shows of one score, in the order of the second. What is only in
// one of them is left out: the faults of the second tell why.
func Shows(before, after *show.Show) []Look {
	places := sharedPlaces(before.Transport, after.Transport)
	var out []Look
	for i := range after.Looks {
		a := &after.Looks[i]
		k := match(before, a)
		if k < 0 {
			continue
		}
		b := &before.Looks[k]
		l := Look{Name: a.Name, For: a.For, Wishes: wishes(b, a), Colours: colours(before, after, k, i)}
		if places != nil {
			l.hold(before.Transport, after.Transport, b.Levels, a.Levels)
			l.lit(places, b.Levels, a.Levels)
		}
		out = append(out, l)
	}
	return out
}

// match finds a look in the other show: for the same cues, or by its name alone.
func match(s *show.Show, l *show.Look) int {
	same := func(o show.Look) bool { return o.Name == l.Name && slices.Equal(o.For, l.For) }
	if k := slices.IndexFunc(s.Looks, same); k >= 0 {
		return k
	}
	return s.IndexLook(l.Name)
}

// wishes pairs what came of what is asked for. Eyes have other names in another room: of them the
// worst is taken.
func wishes(before, after *show.Look) []Wish {
	was, is := worstEye(before.Reached), worstEye(after.Reached)
	var out []Wish
	for i := range is {
		r := &is[i]
		w := Wish{Wish: r.Wish, On: r.On, Wanted: r.Wanted, After: came(r)}
		nth := func(r show.Reached) bool { return r.Wish == w.Wish && r.On == w.On }
		if k := slices.IndexFunc(was, nth); k >= 0 {
			w.Before = came(&was[k])
			was = slices.Delete(was, k, k+1) // the next of the same is held against the next
		}
		out = append(out, w)
	}
	for i := range was {
		r := &was[i]
		out = append(out, Wish{Wish: r.Wish, On: r.On, Wanted: r.Wanted, Before: came(r)})
	}
	return out
}

// worstEye leaves one wish of ultraviolet at eyes, that of the eye with most, by no name.
func worstEye(all []show.Reached) (out []show.Reached) {
	at := -1
	for _, r := range all {
		switch {
		case r.Wish != show.AtEyes:
			out = append(out, r)
		case at < 0:
			at = len(out)
			r.On = ""
			out = append(out, r)
		default:
			out[at].Found = max(out[at].Found, r.Found)
		}
	}
	return out
}

// leastWanted keeps a share of nothing from being beyond measure: a thousandth of what any wish is.
const leastWanted = 1e-4

// came says how far a wish is missed. Lux are missed on both sides, the others on one.
func came(r *show.Reached) Came {
	short := (r.Wanted - r.Found) / max(r.Wanted, leastWanted)
	switch {
	case r.Wish.AtMost():
		short = -short
	case r.Wish == show.Illuminance:
		short = math.Abs(short)
	}
	if short < met {
		short = 0
	}
	return Came{r.Found, short, true}
}

// met is by how much a wish may be missed and counts as met, as in package show.
const met = .02

// colours pairs the colours that a look asks for.
func colours(before, after *show.Show, was, is int) (out []Colour) {
	old := before.Asked(was)
	for _, a := range after.Asked(is) {
		same := func(b show.Asked) bool { return a.Text == b.Text && a.Units == b.Units }
		k := slices.IndexFunc(old, same)
		if k < 0 {
			continue
		}
		out = append(out, Colour{a.Text, a.Units, old[k].Reached.Distance(old[k].Wanted), a.Reached.Distance(a.Wanted)})
		old = slices.Delete(old, k, k+1)
	}
	return out
}
