package draft

import (
	"time"

	"lampblack/score"
	"lampblack/source"
)

// Names of the files that a draft obeys; a show may do without them.
const (
	WishFile      = "draft.yaml"
	DecisionsFile = "spotting.yaml"
)

// Wish is the text of draft.yaml: what the director said before any cue was
// placed. All of it may be left out.
//
//	cues per minute: 8          # most, over any minute
//	cues: 60                    # most, in all
//	least apart: 600 ms         # between two cues
//	seed: 1                     # another seed turns the colours of made looks
//	voice: narrator             # the look while somebody speaks
//	hush: dark                  # the look of a silence
//	moves: no                   # no light moves by itself, however lively it gets
//	sections:
//	  - {from: 0:28, mood: calm, look: boat at anchor, accent: bell}
//	  - {from: 1:08, mood: lively, colours: ["#1f6fd0", "#00c0a0"]}
type Wish struct {
	source.Pos
	PerMinute float64       `key:"cues per minute"`
	Most      int           `key:"cues"`
	Apart     time.Duration `key:"least apart"`
	Seed      int           `key:"seed"`
	Voice     source.Ref    `key:"voice"`
	Hush      source.Ref    `key:"hush"`
	Moves     *bool         `key:"moves"`
	Sections  []Section     `key:"sections"`

	others []string // looks that somebody else names
}

// Keep names looks that others use, as other pieces of an evening do: they stay, even those
// that an earlier draft made.
func (w *Wish) Keep(looks []string) { w.others = looks }

// Section is a stretch of the track with one intent; it lasts until the next.
type Section struct {
	source.Pos
	From    time.Duration  `key:"from,required"`
	Mood    Mood           `key:"mood"`
	Look    source.Ref     `key:"look"`
	Accent  source.Ref     `key:"accent"` // the look of its bumps
	Colours []score.Colour `key:"colours"`
	Moves   *bool          `key:"moves"` // whether its light may move by itself
}

// Mood is one word for a section.
type Mood string

// Moods, from the least to the most that happens.
const (
	Still  Mood = "still"
	Calm   Mood = "calm"
	Lively Mood = "lively"
	Fierce Mood = "fierce"
)

// Choices lists the moods.
func (Mood) Choices() []string {
	return []string{string(Still), string(Calm), string(Lively), string(Fierce)}
}

// temper is what a mood means in figures. They are common practice, no source:
// a story bears a cue or two a minute, a song up to six, a storm more.
type temper struct {
	energy  float64       // 0 to 1: how bright its look should be
	bumps   int           // most cues in any minute
	up      time.Duration // of the change into it
	returns time.Duration // longest way back of a bump
}

var tempers = map[Mood]temper{
	Still:  {.1, 2, 6 * time.Second, 4 * time.Second},
	Calm:   {.35, 5, 4 * time.Second, 3 * time.Second},
	Lively: {.65, 9, 2 * time.Second, 2 * time.Second},
	Fierce: {.9, 15, 800 * time.Millisecond, 1200 * time.Millisecond},
}

// moodOf returns the mood whose energy is nearest. The limits lie half way between the
// energies, or near it.
func moodOf(energy float64) Mood {
	switch {
	case energy < .2:
		return Still
	case energy < .5:
		return Calm
	case energy < .78:
		return Lively
	}
	return Fierce
}

// Bounds that hold when nothing else is said. A third of a second is the
// distance of flashes at three a second, the most that WCAG 2.2 SC 2.3.1 and
// ITU-R BT.1702-3 allow; nothing goes below it.
const (
	flashApart   = 334 * time.Millisecond
	usualApart   = 600 * time.Millisecond
	usualMinute  = 8
	mostSections = 200
)

// ReadWish reads draft.yaml. Sections from the first out of order on are left out,
// since each lasts until the next.
func ReadWish(file string, data []byte) (*Wish, source.Faults) {
	w := &Wish{}
	faults := source.Decode(file, data, w)
	if w.Apart != 0 && w.Apart < flashApart {
		faults.Add(w.Pos, "three flashes in a second are the most that anything may give", "cues %v apart could flash more than three times in a second", w.Apart)
		w.Apart = flashApart
	}
	if w.PerMinute < 0 || w.PerMinute > 120 {
		faults.Add(w.Pos, "", "%v cues per minute lie outside 0 to 120", w.PerMinute)
		w.PerMinute = 0
	}
	if w.Most < 0 {
		faults.Add(w.Pos, "", "%d cues are fewer than none", w.Most)
		w.Most = 0
	}
	if len(w.Sections) > mostSections {
		faults.Add(w.Pos, "", "%d sections are more than %d", len(w.Sections), mostSections)
		w.Sections = w.Sections[:mostSections]
	}
	for i := 1; i < len(w.Sections); i++ {
		if w.Sections[i].From <= w.Sections[i-1].From {
			faults.Add(w.Sections[i].Pos, "", "the sections do not come in the order of time")
			w.Sections = w.Sections[:i]
			break
		}
	}
	faults.Sort()
	return w, faults
}

// looks names the looks that the wishes ask for.
func (w *Wish) looks() []string {
	if w == nil {
		return nil
	}
	out := []string{w.Voice.Name, w.Hush.Name}
	for _, s := range w.Sections {
		out = append(out, s.Look.Name, s.Accent.Name)
	}
	return out
}

// known reports names of looks that the score does not have.
func (w *Wish) known(sc *score.Score) source.Faults {
	var faults source.Faults
	look := func(r source.Ref) {
		if r.Name != "" && sc.Looks.Get(r.Name) == nil {
			faults.Add(r.Pos, source.OneOf(r.Name, source.Names(sc.Looks)), "there is no look %q", r.Name)
		}
	}
	look(w.Voice)
	look(w.Hush)
	for _, s := range w.Sections {
		look(s.Look)
		look(s.Accent)
	}
	return faults
}
