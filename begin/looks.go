package begin

import (
	"slices"

	"lampblack/room"
	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/source"
)

// Looks that there are in a show that was begun here. A draft chooses among them; each is only a
// beginning, and marked so.
const (
	comeIn   = "people come in"
	playing  = "playing"
	cold     = "cold"
	warm     = "warm"
	bows     = "bows"
	lightsUp = "lights up"
)

// start is a look to begin with.
type start struct {
	name, guess string
	is          source.Plain
}

// looks has the looks to begin with stand in the score: those that lamps and things are there for.
// One that a person has changed is theirs.
func (w *writer) looks() {
	if w.err != nil {
		return
	}
	w.bare()
	wanted := w.starts()
	is, _ := w.at(show.ScoreFile, "looks")
	for _, one := range is.Pairs {
		mine := w.isGuess(show.ScoreFile, "looks", one.Key)
		if mine && !slices.ContainsFunc(wanted, func(s start) bool { return s.name == one.Key }) {
			w.cut(show.ScoreFile, "looks", one.Key)
		}
	}
	for _, s := range wanted {
		if _, there := w.at(show.ScoreFile, "looks", s.name); !there || w.isGuess(show.ScoreFile, "looks", s.name) {
			w.set(show.ScoreFile, s.is, s.guess, "looks", s.name)
		}
	}
	w.order()
}

// starts are the looks to begin with (colours and levels are a choice, no source; 60 lx on the floor
// is about what a lit room has where nobody reads: common practice, no source).
func (w *writer) starts() []start {
	seen, dark := w.systems()
	var out []start
	one := func(system, colour, level string) source.Plain {
		return plainOf(pair("system", word(system)), pair("colour", word(colour)), pair("level", word(level)))
	}
	look := func(name, guess, purpose string, part func(system string) source.Plain) {
		if len(seen) == 0 {
			return
		}
		parts := source.Plain{Kind: source.PlainList}
		for _, s := range seen {
			parts.List = append(parts.List, part(s))
		}
		is := plainOf(pair("purpose", word(purpose)), pair("parts", parts))
		if purpose == "" && len(parts.List) == 1 {
			is = parts.List[0]
		}
		out = append(out, start{name, guess, is})
	}
	look(comeIn, "its colour and level", "", func(s string) source.Plain { return one(s, "3000 K", "40 %") })
	_, floor := w.at(show.RoomFile, "surfaces", playingFloor)
	look(playing, "its colour and how bright", "", func(s string) source.Plain {
		if floor && s == seen[0] {
			return plainOf(pair("system", word(s)), pair("colour", word("3400 K")), pair("lux", word("60")), pair("on", word(playingFloor)))
		}
		return one(s, "3400 K", "60 %")
	})
	look(warm, "its colour and level", "", func(s string) source.Plain { return one(s, "orange", "60 %") })
	look(cold, "its colour and level", "", func(s string) source.Plain { return one(s, "blue", "50 %") })
	out = append(out, w.glowing(dark)...)
	if w.hasOrder() {
		look(bows, "its colour and level", "", func(s string) source.Plain { return one(s, "white", "80 %") })
	}
	look(lightsUp, "all that is seen, at full", "lights up", func(s string) source.Plain { return one(s, "white", "100 %") })
	return out
}

func (w *writer) hasOrder() bool {
	order, _ := w.at(show.OrderFile, "order")
	return len(order.List) > 0
}

// glowing are the looks of what is to glow, each thing alone: parts of one look would take the same
// lamps from one another.
func (w *writer) glowing(dark []string) (out []start) {
	objects, _ := w.at(show.RoomFile, "objects")
	if len(dark) == 0 {
		return nil
	}
	for _, o := range objects.Pairs {
		part := plainOf(pair("system", word(dark[0])), pair("glow", plainOf(pair("object", word(o.Key)), pair("over background", word("20")))))
		out = append(out, start{o.Key + " glows", "how far it stands out", part})
	}
	return out
}

// systems are those of units that are seen, and of those that give black light.
func (w *writer) systems() (seen, dark []string) {
	units, _ := w.at(show.RigFile, "units")
	for _, u := range units.List {
		t := w.typeOf(u.Get("type").Text)
		if t == nil {
			continue
		}
		for _, s := range u.Get("systems").List {
			to := &seen
			if SystemOf(t) == Dark || s.Text == Dark {
				to = &dark
			}
			if !slices.Contains(*to, s.Text) {
				*to = append(*to, s.Text)
			}
		}
	}
	return seen, dark
}

// bare takes out what a draft has left: it is made anew of what there is then.
func (w *writer) bare() {
	data := w.t.Read(show.ScoreFile)
	if w.err != nil || data == nil {
		return
	}
	sc, faults := score.Read(show.ScoreFile, data)
	if faults.Err() != nil {
		w.err = faults.Err()
		return
	}
	if !slices.ContainsFunc(sc.Cues, func(c score.Cue) bool { return c.By == score.Draft }) {
		return
	}
	out, err := draft.Bare(show.ScoreFile, data, sc, &draft.Wish{})
	if err != nil {
		w.err = err
		return
	}
	w.t.Put(show.ScoreFile, out)
	if cues, there := w.at(show.ScoreFile, "cues"); there && len(cues.List) == 0 {
		w.cut(show.ScoreFile, "cues")
	}
}

// usualBackground is what stands behind a thing where no cloth hangs.
const usualBackground = room.DefaultWall
