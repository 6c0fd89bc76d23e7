package mend

import (
	"fmt"
	"strings"

	"lampblack/show"
	"lampblack/show/compare"
)

// Cost is what a change takes from a show, each as a share from 0 to 1.
type Cost struct {
	Light float64 // of the light, as the mean over the time of the cues
	Cues  float64 // of the cues: those that go whole, those that are made slower or moved in part
	Time  float64 // of the time with ultraviolet on a day
}

// Both are this tool's choice. A change that costs no more than cheap is made at once; of those that cost more
// the cheapest is made, and none that costs more than dearest: whether a show is worth that, people decide.
const (
	cheap   = .1
	dearest = .5
)

// Share is the greatest of them.
func (c Cost) Share() float64 { return max(c.Light, c.Cues, c.Time) }

// String says what it costs, "" for nothing worth a word.
func (c Cost) String() string {
	var out []string
	for _, part := range []struct {
		share float64
		of    string
	}{{c.Light, "the light"}, {c.Cues, "the cues"}, {c.Time, "the time of that day"}} {
		if part.share >= .005 {
			out = append(out, fmt.Sprintf("%.0f %% of %s", 100*part.share, part.of))
		}
	}
	return strings.Join(out, ", ")
}

// light is the share of its light that a show loses by a change: look by look as long as its cues stand, what
// places lose in brightness on the mean, or the greatest wish as far as it is missed by more than before.
func light(before, after *show.Show) float64 {
	lost, all := 0., 0.
	stands := standing(after)
	for _, l := range compare.Shows(before, after) {
		t := stands[l.Name]
		lost += t * lossOf(&l)
		all += t
	}
	if all == 0 {
		return 0
	}
	return lost / all
}

// lossOf is the share that one look loses.
func lossOf(l *compare.Look) float64 {
	sum := 0.
	for i := range l.Light {
		p := &l.Light[i]
		if p.Before > 0 {
			sum += max(1-p.After/p.Before, 0)
		}
	}
	mean := sum / float64(max(len(l.Light), 1))
	for i := range l.Wishes {
		w := &l.Wishes[i]
		mean = max(mean, min(w.After.Short-w.Before.Short, 1))
		if w.Wish == show.GlowOf && w.Before.Found > 0 { // asked for less than before, and met
			mean = max(mean, 1-w.After.Found/w.Before.Found)
		}
	}
	return mean
}

// standing is how long each look stands, in s; a bump counts as long as it lasts.
func standing(s *show.Show) map[string]float64 {
	out := map[string]float64{}
	for i := range s.Cues {
		c := &s.Cues[i]
		end := s.Length
		if c.Bump() {
			end = c.Complete
		} else {
			for k := i + 1; k < len(s.Cues); k++ {
				if !s.Cues[k].Bump() {
					end = s.Cues[k].Start
					break
				}
			}
		}
		if c.Look >= 0 {
			out[s.Looks[c.Look].Name] += max(end-c.Start, 0).Seconds()
		}
	}
	return out
}
