package draft

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"lampblack/light"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Options are what a draft may need besides the track and the score. The zero
// value works for a score that has looks.
type Options struct {
	Wish      *Wish
	Decisions []Decision // of the spotting session
	// Systems are those of the rig that have colours, for looks that the draft
	// must make itself.
	Systems []string
	// Brightness of looks as a share of the brightest, in light, where it was
	// measured in the room; guessed from the text for others.
	Brightness map[string]float64
	// Placed tells, by cue number, where the score's cues lie in time; what it
	// does not hold is guessed from the text.
	Placed map[string]Placed
	// WorkSystems and WorkUnits hold units that are marked as work light or
	// safety light. They are never made brighter for an accent.
	WorkSystems, WorkUnits []string
	// BlackLight names the emitters whose light is not to be seen by; "uv" when
	// it is empty.
	BlackLight []string
	// Black tells how far the black light of a part's units is up in a look that
	// was solved; nil for a look that was not. Without it, a glow is raised by
	// its goal.
	Black func(look string, p *score.Part) []EmitterLevel
	// Walk is, by look, the least illuminance in lx that marked light brings to
	// the paths of the room. A draft does not bring it below what walking needs.
	Walk map[string]float64
	// Judge, when it is there, says what a proposal makes worse. The draft makes
	// it gentler, tries other cues, or leaves out, until nothing is said.
	Judge Judge
}

// EmitterLevel is how far an emitter of a unit is up, 0 to 1.
type EmitterLevel struct {
	Unit, Emitter string
	Level         float64
}

// Result is a draft.
type Result struct {
	Cues   []score.Cue          // by time, numbered between those of the hand
	Left   []Left               // strong moments without a cue, by time
	Looks  source.Named[string] // to be added to the score: flow-style YAML
	Proven bool                 // the casting of looks is the best there is
	// Worth is the sum of what the cues are worth, and Optimum what it was
	// before anything was judged; the unit is the choice's own.
	Worth, Optimum int64
	Gentler        int // cues that are slower, smaller or in another look than at first
	Dropped        int // cues that were left out, since they made something worse

	parts []part
	wish  *Wish
	keys  []key    // of the cues
	at    []Placed // of the cues
}

// Left is a moment that was left out, and why.
type Left struct {
	Moment soundtrack.Moment
	Why    string
}

// Draft chooses cues for the track. Cues of the score that a person wrote or
// accepted stay and are counted in; those of an earlier draft are not, nor are
// its looks.
func Draft(ctx context.Context, t *soundtrack.Track, sc *score.Score, o Options) (*Result, source.Faults, error) {
	if t == nil || t.Duration <= 0 {
		return nil, nil, errors.New("draft: the soundtrack is empty")
	}
	w := o.Wish
	if w == nil {
		w = &Wish{}
	}
	if faults := w.known(sc); len(faults) > 0 {
		return nil, faults, nil
	}
	sc, _ = bare(sc, w)
	p := &plan{track: t, score: sc, wish: w, options: o, stage: newStage(sc, o)}
	p.heard = p.decided()
	p.parts = portrait(p.heard, w)
	if err := p.cast(); err != nil {
		return nil, nil, err
	}
	r, err := p.judged(ctx)
	return r, nil, err
}

// plan is what all proposals of one draft have in common. It is made once and then only
// read, apart from looks that cast makes.
type plan struct {
	*stage
	track   *soundtrack.Track
	heard   *soundtrack.Track // as decided
	score   *score.Score      // without an earlier draft
	wish    *Wish
	options Options
	parts   []part
	looks   []string // by part
	proven  bool
	left    []Left // rejected by a person
}

// drafting is one proposal being made. Its stage is a copy, so that looks made for one
// proposal are not there in the next.
type drafting struct {
	*plan
	*stage
	fixes   *fixes
	parts   []part
	list    []candidate
	problem problem
	chosen  []bool
	changes []change // of what stands, by time
	items   []item   // cues that were placed
	barred  []barred // chosen, and found to have no place
	moving  int      // the last part whose light moves by itself, from 1
	result  *Result
}

// item is a cue that was placed, and what it came from.
type item struct {
	key   key
	at    Placed
	worth int64
}

// barred is a candidate that has no place, and why.
type barred struct {
	key    key
	moment soundtrack.Moment
	why    string
}

// mostBars is how often candidates that turn out to have no place leave theirs
// to others.
const mostBars = 4

// propose makes the best draft that the fixes allow. A minute that is full when cues
// are counted by their starts, as the checks count them, loses the cue in it that is
// worth least, and all is chosen anew. The loop ends: each round puts at least one key
// out that was in, or is the last. mostBars bounds the rounds in which barred
// candidates leave their places to others; after those they are left out as they are.
func (p *plan) propose(f *fixes) *Result {
	f = f.clone()
	for n := 0; ; n++ {
		d := &drafting{plan: p, stage: p.stage.clone(), fixes: f, parts: slices.Clone(p.parts), result: &Result{Proven: p.proven, wish: p.wish}}
		d.result.Left = slices.Clone(p.left)
		d.gather()
		d.choose()
		d.place()
		if k, full := d.overfull(); full {
			f.out[k] = "the minute around it is full"
			continue
		}
		for _, b := range d.barred {
			f.out[b.key] = b.why
		}
		if len(d.barred) > 0 && n < mostBars {
			continue
		}
		for _, b := range d.barred {
			d.leave(b.moment, b.why)
		}
		d.number()
		r := d.result
		r.parts = d.parts
		for _, name := range d.made {
			r.Looks = append(r.Looks, source.Entry[string]{Name: name, Value: lookText(d.written.Looks.Get(name))})
		}
		for _, i := range d.items {
			r.Worth += i.worth
			r.keys, r.at = append(r.keys, i.key), append(r.at, i.at)
		}
		r.Optimum = r.Worth
		slices.SortStableFunc(r.Left, func(a, b Left) int { return cmp.Compare(a.Moment.Time, b.Moment.Time) })
		return r
	}
}

// cast gives every part its look. A label that a wish or a voice gives a look is fixed;
// one with colours of its own, or without any look in the score, gets a look that is
// made; the others are cast among the score's looks to live in. Parts of one label have
// one look, so what is fixed for one is for all.
func (d *plan) cast() error {
	c := &casting{}
	names := d.standing()
	own := len(names)
	sum := map[string][]float64{}
	for i := range d.parts {
		p := &d.parts[i]
		if !slices.Contains(c.labels, p.label) {
			c.labels = append(c.labels, p.label)
		}
		sum[p.label] = append(sum[p.label], p.energy)
	}
	fixed := map[string]string{}
	for i := range d.parts {
		p := &d.parts[i]
		if name := d.given(p); name != "" {
			fixed[p.label] = name
			continue
		}
		colours := p.colours()
		if len(names) == 0 || p.wish != nil && len(p.wish.Colours) > 0 {
			if len(d.options.Systems) == 0 {
				return errNoLooks
			}
			fixed[p.label] = d.make(p.label, colours, mean(sum[p.label]))
		}
	}
	for _, name := range fixed {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names[own:], cmp.Compare)
	c.fill(d, names, sum, fixed)
	cast, proven := c.solve()
	d.proven = proven
	for i := range d.parts {
		d.looks = append(d.looks, names[cast[slices.Index(c.labels, d.parts[i].label)]])
	}
	return nil
}

// given returns the look that somebody asked for, or "".
func (d *plan) given(p *part) string {
	if p.voice {
		return d.wish.Voice.Name
	}
	if p.wish != nil {
		return p.wish.Look.Name
	}
	return ""
}

func (p *part) colours() []score.Colour {
	if p.wish != nil && len(p.wish.Colours) > 0 {
		return p.wish.Colours
	}
	return coloursOf(p.mood)
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, v := range list {
		sum += v
	}
	return sum / float64(len(list))
}

// fill works out how badly each look fits each label. How bright a look seems is its
// lightness (CIE L*) against the brightest look, which is on the scale of loudness that
// energy is on: 0 to 1, even to the senses.
func (c *casting) fill(d *plan, names []string, sum map[string][]float64, fixed map[string]string) {
	brightest := 0.0
	for _, name := range names {
		brightest = max(brightest, d.brightness(name))
	}
	for _, label := range c.labels {
		row := make([]float64, len(names))
		for j, name := range names {
			seen := light.Lightness(d.brightness(name)/max(brightest, 1e-9)) / 100
			row[j] = math.Abs(mean(sum[label]) - seen)
			if f := fixed[label]; f != "" && f != name {
				row[j] = math.Inf(1)
			}
		}
		c.cost = append(c.cost, row)
	}
	c.beside = make([][]int, len(c.labels))
	for i := range c.beside {
		c.beside[i] = make([]int, len(c.labels))
	}
	for i := 1; i < len(d.parts); i++ {
		a, b := slices.Index(c.labels, d.parts[i-1].label), slices.Index(c.labels, d.parts[i].label)
		if a != b {
			c.beside[min(a, b)][max(a, b)]++
		}
	}
}

// partAt returns the index of the part that t lies in. A time before the first part
// lies in it.
func (d *drafting) partAt(t time.Duration) int {
	i, found := slices.BinarySearchFunc(d.parts, t, func(p part, t time.Duration) int { return cmp.Compare(p.from, t) })
	if found {
		return i
	}
	return max(0, i-1)
}

// perMinute is the most cues in any minute: what the score's brief says, or
// the wishes where they are stricter.
func (d *plan) perMinute() float64 {
	least := math.Inf(1)
	for _, most := range []float64{d.wish.PerMinute, d.score.Brief.PerMinute} {
		if most > 0 {
			least = min(least, most)
		}
	}
	if math.IsInf(least, 1) {
		return usualMinute
	}
	return least
}

// density is perMinute as a rule; less than one in a minute is one in more.
func (d *plan) density() rule {
	most := d.perMinute()
	if most < 1 {
		return rule{time.Duration(float64(time.Minute) / most), 1, "the minutes around it are full"}
	}
	return rule{time.Minute, int(most), "the minute is full"}
}

func (d *plan) apart() time.Duration {
	return max(flashApart, cmp.Or(d.wish.Apart, usualApart))
}

var errNoLooks = errors.New("draft: the score has no looks, and no system of the rig has the colours to make some: write a look in score.yaml, or in rig.yaml give units that mix colours a system (systems: [front])")
