package sheet

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/score"
	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/si"
)

// clock is a time on the show's line to a tenth of a second: as fine as a person acts.
func clock(t time.Duration) string { return clockTo(t, 1) }

func clockTo(t time.Duration, decimals int) string {
	unit := time.Second
	if decimals > 0 {
		unit = 100 * time.Millisecond
	}
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	t = t.Round(unit)
	h, m, s := int(t.Hours()), int(t.Minutes())%60, t%time.Minute
	text := fmt.Sprintf("%d:", m)
	if h > 0 {
		text = fmt.Sprintf("%d:%02d:", h, m)
	}
	if decimals > 0 {
		return sign + text + fmt.Sprintf("%04.1f", s.Seconds())
	}
	return sign + text + fmt.Sprintf("%02.0f", s.Seconds())
}

// span is a length of time as cue sheets have it: seconds, or minutes.
func span(d time.Duration) string {
	switch {
	case d == 0:
		return "0"
	case d < time.Minute:
		return fmt.Sprintf("%g", float64(d.Round(10*time.Millisecond))/float64(time.Second))
	}
	return clock(d)
}

// lookOf is the name of a cue's look.
func lookOf(s *show.Show, c *show.Cue) string {
	if c.Look >= 0 && c.Look < len(s.Looks) {
		return s.Looks[c.Look].Name
	}
	return c.Cue.Look.Name
}

// purposeOf is what a cue is there for: its own reason, else its look's purpose.
func purposeOf(s *show.Show, c *show.Cue) string {
	var out []string
	if c.Why != "" {
		out = append(out, c.Why)
	}
	if l := s.Score.Looks.Get(lookOf(s, c)); l != nil && l.Purpose != "" && l.Purpose != c.Why {
		out = append(out, l.Purpose)
	}
	return strings.Join(out, "; ")
}

// fade is how a cue comes: "up 6, down 3, hold 2, back 1.2".
func fade(c *show.Cue) string {
	out := []string{"up " + span(c.Up)}
	if d := c.Falls(); d != c.Up {
		out = append(out, "down "+span(d))
	}
	if c.Delay > 0 {
		out = append(out, "delay "+span(c.Delay))
	}
	if c.Hold > 0 {
		out = append(out, "hold "+span(c.Hold))
	}
	if c.Returns != nil {
		out = append(out, "back over "+span(*c.Returns))
	}
	return strings.Join(out, ", ")
}

// hangs is what a cue hangs on, and how it lands there.
func hangs(c *show.Cue) string {
	on := ""
	switch {
	case c.On != nil:
		on = c.On.Kind
		if c.On.Kind == "bar" {
			on = c.On.String()
		}
	case c.Follows.Name != "":
		on = "after cue " + c.Follows.Name
	}
	lands := string(c.Lands)
	if lands == "" {
		lands = string(score.Starts)
	}
	if on == "" {
		if lands == string(score.Starts) {
			return ""
		}
		return lands + " then"
	}
	return lands + " on " + on
}

// event is something at a time.
type event struct {
	at   time.Duration
	rank int // of several at one time
	row  typeset.Row
}

func inOrder(list []event) []typeset.Row {
	slices.SortStableFunc(list, func(a, b event) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank)) })
	out := make([]typeset.Row, len(list))
	for i := range list {
		out[i] = list[i].row
	}
	return out
}

// waitsOf are the rows that say where the show waits.
func waitsOf(s *show.Show) []event {
	var out []event
	for i := range s.Waits {
		w := &s.Waits[i]
		at := s.InTrack(w.Begins)
		text := clock(at) + "  WAITS until " + w.Until.String()
		if w.Repeats() {
			text = clock(at) + "  THE SOUND REPEATS (" + clock(*w.From) + " to " + clock(*w.To) + ") until " + w.Until.String()
		}
		if w.Usually > 0 {
			text += ", usually " + si.Say(time.Duration(w.Usually).Seconds(), "s")
		}
		if w.Standby != "" {
			text += ": “" + w.Standby + "”"
		}
		out = append(out, event{at, 2, over(text)})
	}
	return out
}

// each lays a paper out for every piece, under its name where there are several; of what stands
// between them it says until when.
func each(s *Subject, make func(*show.Show) []typeset.Block) []typeset.Block {
	var out []typeset.Block
	for _, run := range s.Runs {
		if run.Name != "" {
			out = append(out, &typeset.Heading{Text: run.Name})
		}
		if run.Stands != "" {
			out = append(out, words(run.Stands))
			continue
		}
		out = append(out, make(run.Show)...)
	}
	return out
}

// cues are those that are written, by index: one in a span that repeats comes several times in a show, and
// once on paper.
func cues(s *show.Show) []int {
	var out []int
	seen := map[int]bool{}
	for i := range s.Cues {
		if n := s.Written(i); !seen[n] {
			seen[n] = true
			out = append(out, i)
		}
	}
	return out
}

// noCues says that there are no cues, and what to do.
func noCues(s *show.Show) []typeset.Block {
	if len(s.Cues) > 0 {
		return nil
	}
	return []typeset.Block{boxed("This show has no cues yet: score.yaml holds them, and `lampblack draft` proposes some.")}
}

// head says how long it is, and how many cues.
func head(s *show.Show) *typeset.Words {
	text := fmt.Sprintf("%s, %s.", clock(s.InTrack(s.Length)), si.Count(s.CuesWritten(), "cue", "cues"))
	if s.Track != nil {
		text += " Times are those of the soundtrack from its first sample."
	}
	if len(s.Waits) > 0 {
		text += " It waits on the way, for as long as it takes: times do not count that."
	}
	return words(text)
}

// synopsis is the show in plain words, for those who do not read cue sheets.
func synopsis(_ context.Context, s *Subject) ([]typeset.Block, error) {
	return each(s, func(s *show.Show) []typeset.Block {
		t := &typeset.Table{Columns: []typeset.Column{{Head: "Cue", Bold: true}, {Head: "At", Right: true}, {Head: "What is seen", Grow: true}, {Head: "It comes"}}}
		for _, i := range cues(s) {
			c := &s.Cues[i]
			t.Rows = append(t.Rows, row(c.Number.Name, clockTo(s.InTrack(c.Moment), 0), cmp.Or(purposeOf(s, c), lookOf(s, c)), comes(c)))
		}
		return append([]typeset.Block{head(s), t}, noCues(s)...)
	}), nil
}

// comes is how fast a cue is, in words.
func comes(c *show.Cue) string {
	most := max(c.Up, c.Falls())
	switch {
	case c.Bump():
		return "an accent, and back"
	case most < 300*time.Millisecond:
		return "at once"
	case most < 2*time.Second:
		return "quickly"
	case most < 8*time.Second:
		return "over " + span(most.Round(time.Second)) + " s"
	}
	return "slowly, over " + span(most.Round(time.Second)) + map[bool]string{true: " s", false: ""}[most < time.Minute]
}

// mostColumns is how many systems have a column each; of more the levels stand in words.
const mostColumns = 9

// cueSheet is every cue with its times and the levels of the systems.
func cueSheet(_ context.Context, s *Subject) ([]typeset.Block, error) {
	out := each(s, func(s *show.Show) []typeset.Block {
		systems := systemsOf(s)
		t := &typeset.Table{Size: 15, Columns: []typeset.Column{{Head: "Cue", Bold: true}, {Head: "Starts", Right: true}, {Head: "Fade, s"}, {Head: "Lands"}, {Head: "Look", Bold: true}}}
		if len(systems) <= mostColumns {
			for _, y := range systems {
				t.Columns = append(t.Columns, typeset.Column{Head: y.name, Right: true})
			}
		} else {
			t.Columns = append(t.Columns, typeset.Column{Head: "Levels"})
		}
		t.Columns = append(t.Columns, typeset.Column{Head: "What for"})
		list := waitsOf(s)
		for _, i := range cues(s) {
			c := &s.Cues[i]
			at := s.InTrack(c.Start)
			cells := []string{c.Number.Name, clock(at), fade(c), hangs(c), lookOf(s, c)}
			if s.Moves(i) {
				cells[4] += " (moves)"
			}
			cells = append(cells, levelCells(s, c, systems)...)
			list = append(list, event{at, 1, row(append(cells, purposeOf(s, c))...)})
		}
		t.Rows = inOrder(list)
		return append([]typeset.Block{head(s), t}, noCues(s)...)
	})
	return append(out, words("Levels are per cent of the light that the system gives with all its emitters full: what a meter would say, and not a fader. UV is its black light. A cue that goes back falls to what was before it. “Moves”: its light moves by itself while it stands.")), nil
}

// levelCells are the levels of a cue's look by system, each in a cell or all in one.
func levelCells(s *show.Show, c *show.Cue, systems []system) []string {
	if len(systems) > mostColumns {
		return []string{levelsInWords(s, c, systems)}
	}
	cells := make([]string, len(systems))
	for k := range systems {
		cells[k] = percent(systems[k].level(s.Looks[c.Look].Levels))
	}
	return cells
}

// levelsInWords is the levels of a cue's look, of the systems that are lit.
func levelsInWords(s *show.Show, c *show.Cue, systems []system) string {
	var out []string
	for k := range systems {
		if v := percent(systems[k].level(s.Looks[c.Look].Levels)); v != "" {
			out = append(out, systems[k].name+" "+v)
		}
	}
	return strings.Join(out, ", ")
}
