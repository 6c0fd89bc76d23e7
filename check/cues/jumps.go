package cues

import (
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// A fade leaps when lightness changes by more than this between two looks at
// it, a 64th of its time apart; and it turns back when lightness falls so far
// from the most it had while it is to rise, or the other way. In L* of the
// emitter at full. A straight fade out of black begins with 14 in a 64th, and
// the first slot value of 255 alone is worth 3.5; the limits are this tool's
// choice.
const (
	leap     = 30.
	turnBack = 8.
	glances  = 64
)

// leastFade is the shortest fade that is looked at: in less, nobody tells a
// fade from a snap.
const leastFade = time.Second

// jumps reads the fades back off the slots, as the units will, and finds those
// whose light leaps or turns back on its way.
func (r *limits) jumps() {
	j := newJumpWatch(r)
	for i := range r.Show.Cues {
		if r.Ctx.Err() != nil {
			return
		}
		if c := &r.Show.Cues[i]; !c.Bump() && max(c.Up, c.Falls()) >= leastFade {
			j.cue(i)
		}
	}
}

// jumpWatch is what it takes to look at a fade.
type jumpWatch struct {
	*limits
	decoder *rig.Decoder
	longest time.Duration // of all bumps
	shared  map[int]bool  // units that share slots with others: what they do is anybody's guess
	now     []float32
	// By drive: lightness (L*) before the fade, at its end, at the last glance, and the
	// furthest that it has come on its way.
	first, last, before, furthest []float64
	// By drive: the largest leap or turning back so far that is over its limit, in L*,
	// and when; 0 when the drive is smooth.
	worst []float64
	at    []time.Duration
}

func newJumpWatch(r *limits) *jumpWatch {
	n := len(r.Rig().Drives)
	j := &jumpWatch{limits: r, shared: r.Rig().Overlapping(), decoder: rig.NewDecoder(r.Rig(), r.Rig().Universes()), now: make([]float32, n), worst: make([]float64, n), at: make([]time.Duration, n)}
	for _, v := range []*[]float64{&j.first, &j.last, &j.before, &j.furthest} {
		*v = make([]float64, n)
	}
	for i := range r.Show.Cues {
		if c := &r.Show.Cues[i]; c.Bump() {
			j.longest = max(j.longest, c.Complete-c.Start)
		}
	}
	return j
}

// cue looks at one fade, as long as nothing else moves. The first reading is taken a
// nanosecond before the start, since at the start itself a snap has already happened.
// Lightness is taken of each drive against its own full light, not of the picture: a
// coarse dimmer is seen on the lamp that has it.
func (j *jumpWatch) cue(i int) {
	c := &j.Show.Cues[i]
	end := c.Start + max(c.Up, c.Falls())
	if j.disturbed(i, end) {
		return
	}
	step := (end - c.Start) / glances
	frame := j.NewFrame()
	read := func(at time.Duration) {
		j.At(frame, at)
		j.decoder.Decode(j.now, frame.Universes)
	}
	fill := func(dst []float64) {
		for d, v := range j.now {
			dst[d] = light.Lightness(float64(v))
		}
	}
	read(c.Start - 1)
	fill(j.first)
	read(end)
	fill(j.last)
	copy(j.before, j.first)
	copy(j.furthest, j.first)
	clear(j.worst)
	for at := c.Start; at <= end; at += step {
		read(at)
		for d, v := range j.now {
			j.see(d, light.Lightness(float64(v)), at)
		}
	}
	j.tell(i)
}

// see holds a drive's lightness against what it was. A drive that is to rise is held
// against the highest that it had, one that is to fall against the lowest, so that slow
// creeping back counts whole. A leap under its limit is set to 0 lest it hide a turning
// back, whose limit is lower.
func (j *jumpWatch) see(d int, l float64, at time.Duration) {
	step, back := l-j.before[d], 0.0
	if j.last[d] >= j.first[d] {
		j.furthest[d] = max(j.furthest[d], l)
		back = j.furthest[d] - l
	} else {
		j.furthest[d] = min(j.furthest[d], l)
		back = l - j.furthest[d]
	}
	j.before[d] = l
	bad := max(step, -step)
	if bad < leap {
		bad = 0
	}
	if back >= turnBack {
		bad = max(bad, back)
	}
	if bad > j.worst[d] {
		j.worst[d], j.at[d] = bad, at
	}
}

// disturbed tells whether another cue moves light before the fade is over. Such a
// fade is left out rather than blame one cue for another's doing: what is read off
// the slots is the sum. Cues before it are searched back only as far as the longest
// bump reaches; earlier fades are replaced by this one and need not be looked at.
func (j *jumpWatch) disturbed(i int, end time.Duration) bool {
	cues := j.Show.Cues
	c := &cues[i]
	if i+1 < len(cues) && cues[i+1].Start <= end {
		return true
	}
	for k := i - 1; k >= 0 && cues[k].Start+j.longest >= c.Start; k-- {
		if o := &cues[k]; o.Complete >= c.Start && (o.Bump() || o.Start == c.Start) {
			return true
		}
	}
	return false
}

// tell reports the units of a fade that leap, the worst first. It makes one finding
// of a fade, however many units leap: the cause is mostly one slot table that they
// share. Its limit is that of the kind of fault that the worst one has.
func (j *jumpWatch) tell(i int) {
	c := &j.Show.Cues[i]
	var drives []int
	stirred := j.Show.Stirred(i) // these are to leap, and to turn back
	for d, v := range j.worst {
		if unit := j.Rig().Drives[d].Unit; v > 0 && !j.shared[unit] && !stirred[unit] {
			drives = append(drives, d)
		}
	}
	if drives == nil {
		return
	}
	worst := slices.MaxFunc(drives, func(a, b int) int { return int(j.worst[a]*100) - int(j.worst[b]*100) })
	var units []string
	for _, d := range drives {
		if u := j.Unit(j.Rig().Drives[d].Unit); !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	f := j.limits.cue(c).As("fade-jumps", finding.Warn, "the fade of cue %s is not smooth: at %s the light of %s leaps", c.Number, si.FormatTime(j.at[worst]), source.First(units, 6))
	f.Value, f.Limit, f.Unit, f.Units = j.worst[worst], turnBack, "% of seen brightness", units
	if j.worst[worst] >= leap {
		f.Limit = leap
	}
	f.Source = "CIE 1976 lightness, full being 100 %; the slots read back by the fixture type's slot table; the limits are this tool's choice"
	f.Cure = finding.Say("look at the curve of its slot table; a snap needs no fade")
	j.Add(f.During(j.at[worst], j.at[worst]))
}
