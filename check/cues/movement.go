package cues

import (
	"fmt"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/check/seen"
	"lampblack/living"
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
			f := r.cue(c).As("movement-beat", finding.Note, "cue %s follows the sound, and there is no sound to follow: its light stands", c.Number)
			f.Source = "the show's own score"
			f.Cure = finding.Say("name the soundtrack in show.yaml, or live sound")
			r.Add(f.During(c.Start, c.Complete))
		}
		if k.Less() {
			f := r.cue(c).As("movement-softened", finding.Note, "cue %s moves by itself, and %s: as it is written it would flash too often", c.Number, softened(k.Keeps, k.Slower))
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

// softened says what was taken.
func softened(keeps float64, slower int) string {
	var said []string
	if slower > 1 {
		said = append(said, fmt.Sprintf("is made %d times as slow", slower))
	}
	switch {
	case keeps == 0:
		said = append(said, "stands")
	case keeps < 1:
		said = append(said, fmt.Sprintf("keeps %.0f %% of its movement", 100*keeps))
	}
	return strings.Join(said, ", and ")
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
		f := r.cue(c).As("movement-beat", finding.Note, "cue %s moves with live sound, which nobody knows beforehand: what is measured here is its slow time", c.Number)
		f.Cure = finding.Say("nothing: in the run, what would flash too often is softened as it is sent")
		r.Add(f)
		return
	}
	f := r.cue(c).As("movement-beat", finding.Note, "cue %s moves with the beat, which is not sure for %s: %s stand in", c.Number, si.Of(sum.Seconds(), "s"), instead(first.Instead))
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
