// Package retime moves a score's cues to where their moments went when the
// soundtrack was cut anew.
//
// Only the times change, in place in the text: every comment and line of
// score.yaml stays. A cue whose moment is not in the new take is taken out of
// the score and kept aside, word for word; a cue whose place is doubtful is
// moved and flagged; a moment that the new take holds several times is told.
package retime

import (
	"fmt"
	"strings"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

// Moved is what became of one cue.
type Moved struct {
	Number     string
	Old, New   time.Duration // of its moment; New is 0 when it was cut
	Confidence float64       // 0 to 1
	Cut        bool
	Doubtful   bool            // moved, but listen to it
	Also       []time.Duration // other places where the new take has its moment
}

// Result is a score for the new take.
type Result struct {
	Score []byte // the new text of score.yaml
	Aside string // the texts of the cues that were cut, "" when there are none
	Cues  []Moved
}

// Options say what the mover cannot know by itself. Moment gives the time in
// the old take of a cue, by its index in the score. Bar gives the anchor that
// a time of the new take has, when a bar begins there; nil turns bars into
// times.
type Options struct {
	Moment func(cue int) time.Duration
	Bar    func(time.Duration) (score.Anchor, bool)
}

// Move writes the cues' new times into the score's text.
func Move(file string, data []byte, sc *score.Score, m retake.Map, o Options) (*Result, error) {
	text, faults := source.OpenText(file, data)
	if faults.Err() != nil {
		return nil, faults
	}
	r := &Result{}
	kept := 0
	for i := range sc.Cues {
		c := &sc.Cues[i]
		old := o.Moment(i)
		where, confidence, ok := m.At(old)
		moved := Moved{Number: c.Number.Name, Old: old, New: where, Confidence: confidence, Cut: !ok}
		if !ok {
			moved.New = 0
			r.Aside += aside(data, c, old)
			r.Cues = append(r.Cues, moved)
			continue
		}
		kept++
		moved.Doubtful = confidence < retake.Doubtful
		for _, place := range m.All(old) {
			if place != where {
				moved.Also = append(moved.Also, place)
			}
		}
		if err := setTime(text, i, c, where, o); err != nil {
			return nil, fmt.Errorf("move cue %s: %w", c.Number, err)
		}
		r.Cues = append(r.Cues, moved)
	}
	if err := takeOut(text, r.Cues, kept); err != nil {
		return nil, err
	}
	if err := moveCalm(text, sc, m); err != nil {
		return nil, err
	}
	var err error
	r.Score, err = text.Bytes()
	return r, err
}

// setTime writes a cue's new time where its old one stands.
func setTime(text *source.Text, i int, c *score.Cue, to time.Duration, o Options) error {
	if c.At != nil {
		pos, _ := text.Find("cues", i, "at")
		return text.Set(pos, si.FormatTime(to))
	}
	pos, _ := text.Find("cues", i, "on")
	a := *c.On
	if a.Kind == "bar" {
		bar, ok := score.Anchor{}, false
		if o.Bar != nil {
			bar, ok = o.Bar(to)
		}
		if !ok {
			return fmt.Errorf("its bar is no bar of the new take: give it a time at %s", si.FormatTime(to))
		}
		return text.Set(pos, bar.String())
	}
	a.Near = to
	return text.Set(pos, a.String())
}

// takeOut removes the cues that were cut. The last cue of a score stays where
// it is: a score without cues is none.
func takeOut(text *source.Text, cues []Moved, kept int) error {
	if kept == 0 {
		return fmt.Errorf("the new take holds none of the score's moments: is it the right file?")
	}
	for i, c := range cues {
		if c.Cut {
			if err := text.Remove("cues", i); err != nil {
				return err
			}
		}
	}
	return nil
}

// moveCalm moves the calm spans that are still there; one that was cut keeps
// its old times, which the report of the checks then shows in the wrong place.
func moveCalm(text *source.Text, sc *score.Score, m retake.Map) error {
	for i, c := range sc.Calm {
		from, _, ok1 := m.At(c.From)
		to, _, ok2 := m.At(c.To)
		if !ok1 || !ok2 || to <= from {
			continue
		}
		a, _ := text.Find("calm", i, "from")
		b, _ := text.Find("calm", i, "to")
		if err := text.Set(a, si.FormatTime(from)); err != nil {
			return err
		}
		if err := text.Set(b, si.FormatTime(to)); err != nil {
			return err
		}
	}
	return nil
}

// aside returns the lines of a cue as they stand in the file, under a comment.
func aside(data []byte, c *score.Cue, old time.Duration) string {
	lines := strings.Split(string(data), "\n")
	var b strings.Builder
	fmt.Fprintf(&b, "  # cue %s was at %s of the old take, which the new one does not hold\n", c.Number, si.FormatTime(old))
	for i := c.Pos.Line - 1; i < len(lines); i++ {
		line := strings.TrimRight(lines[i], "\r")
		deeper := len(line)-len(strings.TrimLeft(line, " ")) >= c.Pos.Column-1
		if i > c.Pos.Line-1 && (!deeper || strings.TrimSpace(line) == "") {
			break
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}
