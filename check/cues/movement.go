package cues

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/check/seen"
	"lampblack/living"
	"lampblack/show"
	"lampblack/si"
)

// movements tells what was taken from light that moves by itself, so that it stays inside the
// limits of flashing, and where the beat that it goes by was not sure.
func (r *limits) movements() {
	for i := range r.Show.Cues {
		k, moves := r.Show.Softened(i)
		if !moves {
			continue
		}
		c := &r.Show.Cues[i]
		if r.Show.Track == nil && !r.Show.Bill.Live.Heard() && r.Show.Follows(i) {
			f := r.moving(c, "movement-beat", "follows the sound, and there is no sound to follow: its light stands")
			f.Source = "the show's own score"
			f.Cure = finding.Say("name the soundtrack in show.yaml, or live sound")
			r.Add(f.During(c.Start, c.Complete))
		}
		if k.Less() {
			f := r.moving(c, "movement-softened", "moves by itself, and %s: as it is written it would flash too often", softened(&k))
			f.Value, f.Limit, f.Unit = float64(k.Over.Count), 3, "flashes in a second"
			f.Margin = 0
			f.Source = "WCAG 2.2 SC 2.3.1 and ITU-R BT.1702-3, and HSE HSG195 as quoted: no more than three flashes in any one second is kept to"
			f.Assumed = r.counted(&k.Over)
			f.Cure = finding.Say("leave it so, or write it slower, or with a higher least light (down to)")
			r.Add(f.During(k.Over.From, k.Over.From+time.Second))
		}
		r.doubts(i)
	}
}

// moving is a finding of a cue, or of a look that stands without one, which a person knows by the
// name of its step.
func (r *limits) moving(c *show.Cue, id string, format string, a ...any) finding.Finding {
	f := r.cue(c)
	called := "cue " + c.Number.Name
	if r.stands {
		called = "the standing look " + c.Number.Name
		f.Place, f.Cues = "what moves", nil // the evening says of which step
	}
	return f.As(id, finding.Note, "%s "+format, append([]any{called}, a...)...)
}

// softened says what was taken.
func softened(k *show.Softened) string {
	var said []string
	if k.Slower > 1 {
		said = append(said, fmt.Sprintf("is made %d times as slow", k.Slower))
	}
	switch {
	case k.Keeps == 0:
		said = append(said, "stands")
	case k.Keeps < 1:
		said = append(said, fmt.Sprintf("keeps %.0f %% of its movement", 100*k.Keeps))
	}
	if k.Keeps > 0 && len(k.Dips) > 0 {
		said = append(said, dips(k.Dips))
	}
	return strings.Join(said, ", and ")
}

// dips says where less is kept for a while, and tells the deepest of several.
func dips(list []show.Dip) string {
	deepest := slices.MinFunc(list, func(a, b show.Dip) int { return cmp.Compare(a.Keeps, b.Keeps) })
	what := fmt.Sprintf("keeps %.0f %% of its movement", 100*deepest.Keeps)
	if deepest.Keeps == 0 {
		what = "stands"
	}
	if len(list) > 1 {
		return fmt.Sprintf("is made smaller in %d places, most from %s to %s, where it %s", len(list), si.FormatTime(deepest.From), si.FormatTime(deepest.To), what)
	}
	return fmt.Sprintf("%s from %s to %s", what, si.FormatTime(deepest.From), si.FormatTime(deepest.To))
}

// counted says by which rule a second was over the limit.
func (r *limits) counted(j *seen.Judged) string {
	switch j.Rule {
	case seen.ByUnits:
		return "counted over all units together"
	case seen.ByEyeOfRed:
		return "red flashes, as seen from " + r.EyeName(j.Eye)
	}
	return "as seen from " + r.EyeName(j.Eye)
}

// doubts tells where others stand in for the beats of a cue, for more than a moment.
func (r *limits) doubts(cue int) {
	c := &r.Show.Cues[cue]
	var first *living.Doubt
	sum := time.Duration(0)
	for _, d := range r.Show.Doubts(cue) {
		if first == nil || d.To-d.From > first.To-first.From {
			first = &d
		}
		sum += d.To - d.From
	}
	if first == nil || sum < doubtTold {
		return
	}
	if r.Show.Bill.Live.Heard() && r.Show.Track == nil {
		f := r.moving(c, "movement-beat", "moves with live sound, which nobody knows beforehand: what is measured here is how it moves while nothing is heard: in slow, even steps")
		f.Cure = finding.Say("nothing: in the run, what would flash too often is softened as it is sent")
		r.Add(f)
		return
	}
	f := r.moving(c, "movement-beat", "moves with the beat, which is not sure for %s: %s stand in", si.Of(sum.Seconds(), "s"), instead(first.Instead))
	f.Source = "what was heard of the soundtrack"
	f.Cure = finding.Say("listen to it there; move it by time instead (every: 2 s), or leave it so")
	r.Add(f.During(first.From, first.To))
}

// doubtTold is the least time without a sure beat that is worth a word.
const doubtTold = 2 * time.Second

func instead(i living.Instead) string {
	if i == living.SlowTime {
		return "slow, even steps"
	}
	return string(i)
}
