package begin

import (
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/source"
)

// Bounds of texts.
const (
	mostTitle = 120
	mostAbout = 2000
)

func (w *writer) what(a What) {
	a.Title, a.Place, a.About = named(a.Title), named(a.Place), named(a.About)
	switch {
	case a.Title == "":
		w.refuse("a show wants a title, if only for now")
	case len([]rune(a.Title)) > mostTitle || len([]rune(a.Place)) > mostTitle:
		w.refuse("a title or a place is of at most %d letters", mostTitle)
	case len([]rune(a.About)) > mostAbout:
		w.refuse("a sentence or two: at most %d letters", mostAbout)
	}
	w.set(show.BillFile, source.TextOf(a.Title), "", "title")
	w.optional(show.BillFile, a.About, "about")
	w.optional(show.BillFile, a.Place, "place")
	if was := w.was.What.Evening; was != a.Evening {
		w.evening(a.Evening)
	}
}

// optional sets a text, or takes it away.
func (p *pen) optional(file, text, key string) {
	if text == "" {
		p.cut(file, key)
		return
	}
	p.set(file, source.TextOf(text), "", key)
}

// evening puts the piece between a look that stands while people come in and one for the bows, or
// takes that order away.
func (w *writer) evening(wanted bool) {
	if !wanted {
		w.cut(show.OrderFile, "order")
		return
	}
	w.add(show.OrderFile, "order", plainOf(pair("standing", word(comeIn)), pair("look", word(comeIn))), orderGuess)
	w.looks()
}

// orderGuess marks the steps of an evening that nobody has changed.
const orderGuess = "its place in the evening, and how long it takes"

// order has the steps of an evening go by the sound and the looks that there are, unless a person
// has changed one. Without a sound each look stands until go.
func (w *writer) order() {
	order, _ := w.at(show.OrderFile, "order")
	if len(order.List) == 0 {
		return
	}
	for i := range order.List {
		if !w.isGuess(show.OrderFile, "order", i) {
			return
		}
	}
	step := func(name, usually, most string) source.Plain {
		return plainOf(pair("standing", word(name)), pair("look", word(name)), pair("usually", word(usually)), pair("at most", word(most)))
	}
	steps := []source.Plain{step(comeIn, "15 min", "30 min")}
	if _, sound := w.at(show.BillFile, "soundtrack"); sound {
		steps = append(steps, plainOf(pair("piece", word("the piece"))))
		w.firstCue()
	} else {
		looks, _ := w.at(show.ScoreFile, "looks")
		for _, l := range looks.Pairs {
			if l.Key != comeIn && l.Key != bows && l.Key != lightsUp {
				steps = append(steps, step(l.Key, "3 min", "15 min"))
			}
		}
	}
	steps = append(steps, step(bows, "2 min", "10 min"))
	if source.Plain.Same(source.Plain{Kind: source.PlainList, List: steps}, order) {
		return
	}
	w.cut(show.OrderFile, "order")
	for _, s := range steps {
		w.add(show.OrderFile, "order", s, orderGuess)
	}
}

// firstCue gives the piece of an evening a cue until it is drafted, as it must have one.
func (w *writer) firstCue() {
	cues, _ := w.at(show.ScoreFile, "cues")
	if looks, _ := w.at(show.ScoreFile, "looks"); len(cues.List) == 0 && len(looks.Pairs) > 0 {
		w.add(show.ScoreFile, "cues", plainOf(pair("cue", word("1")), pair("at", word("0:00")), pair("look", word(looks.Pairs[0].Key)), pair("by", word("draft"))), "until cues are drafted")
	}
}

func (w *writer) sound(a Music) {
	if a.Name == "" {
		w.cut(show.BillFile, "soundtrack")
		w.looks()
		return
	}
	if _, err := w.dir.Path(a.Name); err != nil {
		w.refuse("there is no sound %q in the folder of the show", source.Visible(a.Name))
	}
	w.set(show.BillFile, source.TextOf(a.Name), "", "soundtrack")
	w.looks()
}

func (w *writer) site(a Site) {
	w.outputs(a)
	was := w.was.Site
	switch {
	case a.Timecode && !was.Timecode:
		w.set(show.BillFile, plainOf(pair("freewheels for", word("2 s")), pair("when lost", word("holds"))), "what is done when the timecode is gone", "timecode")
	case !a.Timecode && was.Timecode:
		w.cut(show.BillFile, "timecode")
	}
	w.desk(a)
}

// outputs says which way the light goes out.
func (w *writer) outputs(a Site) {
	was := w.was.Site
	if a.Out == was.Out && a.To == was.To || a.Out == AsItIsThere {
		return
	}
	if a.Out == NothingYet {
		w.cut(show.BillFile, "outputs")
		return
	}
	to := a.Out + " " + source.Visible(named(a.To))
	if _, err := line.ParseOut(to); err != nil {
		w.refuse("that is no way out: %v", err)
		return
	}
	w.cut(show.BillFile, "outputs")
	w.add(show.BillFile, "outputs", plainOf(pair("to", word(to))), "")
}

func (w *writer) desk(a Site) {
	was := w.was.Site
	switch {
	case !a.Desk:
		if was.Desk {
			w.t.Put(deskFile, nil)
		}
		return
	case a.DeskSlots < 1 || a.DeskSlots > 512:
		w.refuse("a desk has from 1 to 512 slots, not %d", a.DeskSlots)
	case a.Scenes < 1 || a.Scenes > 10000:
		w.refuse("a desk stores from 1 to 10000 states, not %d", a.Scenes)
	}
	w.set(deskFile, source.TextOf("the desk on site"), "its name", "name")
	for _, one := range []struct {
		key   string
		value int
	}{{"slots", a.DeskSlots}, {"scenes", a.Scenes}} {
		w.set(deskFile, number(one.value), "", one.key)
	}
}
