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
}

// Result is a draft.
type Result struct {
	Cues   []score.Cue          // by time, numbered between those of the hand
	Left   []Left               // strong moments without a cue, by time
	Looks  source.Named[string] // to be added to the score: flow-style YAML
	Proven bool                 // the casting of looks is the best there is
	parts  []part
}

// Left is a moment that was left out, and why.
type Left struct {
	Moment soundtrack.Moment
	Why    string
}

// Draft chooses cues for the track. Cues of the score that a person wrote or
// accepted stay and are counted in; those of an earlier draft are not.
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
	d := &drafting{track: t, score: sc, wish: w, options: o, result: &Result{}}
	d.stage = &stage{score: sc, bright: cloned(o.Brightness)}
	d.parts = portrait(d.decided(), w)
	if err := d.cast(); err != nil {
		return nil, nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	d.gather()
	d.choose()
	d.place()
	d.number()
	d.result.Looks, d.result.parts = d.made, d.parts
	return d.result, nil, nil
}

func cloned(m map[string]float64) map[string]float64 {
	out := map[string]float64{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

// drafting is one draft being made.
type drafting struct {
	*stage
	track   *soundtrack.Track
	score   *score.Score
	wish    *Wish
	options Options
	parts   []part
	looks   []string // by part
	list    []candidate
	problem problem
	chosen  []bool
	result  *Result
}

// cast gives every part its look.
func (d *drafting) cast() error {
	c := &casting{}
	names := d.standing()
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
				return errors.New("draft: the score has no looks, and no systems are known to make some")
			}
			fixed[p.label] = d.make(p.label, colours, mean(sum[p.label]), d.options.Systems, d.wish.Seed)
		}
	}
	for _, name := range fixed {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names[len(d.standing()):], cmp.Compare)
	c.fill(d, names, sum, fixed)
	cast, proven := c.solve()
	d.result.Proven = proven
	for i := range d.parts {
		d.looks = append(d.looks, names[cast[slices.Index(c.labels, d.parts[i].label)]])
	}
	return nil
}

// given returns the look that somebody asked for, or "".
func (d *drafting) given(p *part) string {
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

// fill works out how badly each look fits each label.
func (c *casting) fill(d *drafting, names []string, sum map[string][]float64, fixed map[string]string) {
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

// partAt returns the index of the part that t lies in.
func (d *drafting) partAt(t time.Duration) int {
	i, found := slices.BinarySearchFunc(d.parts, t, func(p part, t time.Duration) int { return cmp.Compare(p.from, t) })
	if found {
		return i
	}
	return max(0, i-1)
}

// perMinute is the most cues in any minute.
func (d *drafting) perMinute() int {
	switch {
	case d.wish.PerMinute > 0:
		return int(d.wish.PerMinute)
	case d.score.Brief.PerMinute > 0:
		return int(d.score.Brief.PerMinute)
	}
	return usualMinute
}

func (d *drafting) apart() time.Duration {
	return max(flashApart, cmp.Or(d.wish.Apart, usualApart))
}
