package page

import (
	"slices"
	"time"

	"lampblack/plate"
	"lampblack/show"
)

// Pairs are the looks that cues bring, each as it was and as it is in another room or on another rig, from
// the middle of either audience. The first plate.MostFrames of them are taken; says, by the look's name, is put below its second picture.
func Pairs(before, after *show.Show, eyes [2]int, names [2]string, says func(look int) string) *plate.Pairs {
	p := &plate.Pairs{Title: after.Bill.Title + ": look by look", Names: names}
	p.Left.View, p.Right.View = *View(before, 0, eyes[0], false), *View(after, 0, eyes[1], false)
	var done []int
	for i := range after.Cues {
		look := after.Cues[i].Look
		if look < 0 || slices.Contains(done, look) || len(done) == plate.MostFrames {
			continue
		}
		k := slices.IndexFunc(before.Cues, func(c show.Cue) bool { return c.Number.Name == after.Cues[i].Number.Name && c.Look >= 0 })
		if k < 0 {
			continue
		}
		done = append(done, look)
		p.Left.Frames = append(p.Left.Frames, plate.Frame{Instant: standing(before, k), Says: after.Looks[look].Name})
		p.Right.Frames = append(p.Right.Frames, plate.Frame{Instant: standing(after, i), Says: says(look)})
	}
	if len(done) == 0 { // its pieces have their cues in files of their own
		everyLook(p, before, after, says)
	}
	return p
}

// everyLook takes all looks, with things as they are at the beginning.
func everyLook(p *plate.Pairs, before, after *show.Show, says func(look int) string) {
	for i := range after.Looks[:min(len(after.Looks), plate.MostFrames)] {
		name := after.Looks[i].Name
		k := before.IndexLook(name)
		if k < 0 {
			continue
		}
		left, right := Instant(before, 0), Instant(after, 0)
		left.Levels, right.Levels = before.Looks[k].Levels, after.Looks[i].Levels
		p.Left.Frames = append(p.Left.Frames, plate.Frame{Instant: left, Says: name})
		p.Right.Frames = append(p.Right.Frames, plate.Frame{Instant: right, Says: says(i)})
	}
}

// standing is the instant at which a cue's look is all there, in its own light: what moves by itself is at its most.
func standing(s *show.Show, cue int) plate.Instant {
	c := &s.Cues[cue]
	at := c.Complete
	if c.Bump() {
		at = c.Peak
	}
	if s.Length > 0 {
		at = min(at, s.Length-time.Millisecond)
	}
	n := Instant(s, at)
	n.Levels = s.Looks[c.Look].Levels
	return n
}
