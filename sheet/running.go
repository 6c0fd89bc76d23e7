package sheet

import (
	"context"
	"fmt"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack"
)

// moments are what a person follows a soundtrack by; beats and most hits are left out.
func moments(t *soundtrack.Track, hits int) []soundtrack.Moment {
	if t == nil {
		return nil
	}
	var out []soundtrack.Moment
	for _, k := range []soundtrack.Kind{soundtrack.Turn, soundtrack.Hush, soundtrack.Voice, soundtrack.Swell} {
		out = append(out, t.Of(k)...)
	}
	for _, m := range t.Hits() {
		if m.Rank > 0 && m.Rank <= hits {
			out = append(out, m)
		}
	}
	return out
}

// hitsAMinute is how many of the strongest hits are listed.
const hitsAMinute = 4

func hitsFor(s *show.Show) int { return int(s.Length.Minutes()*hitsAMinute) + 4 }

// spotting is the list that somebody listens with: what there is to hear, what hangs on it already,
// and room for what is meant.
func spotting(_ context.Context, s *Subject) ([]typeset.Block, error) {
	return each(s, func(s *show.Show) []typeset.Block {
		t := &typeset.Table{Ruled: true, Columns: []typeset.Column{{Head: "At", Right: true, Bold: true}, {Head: "To", Right: true}, {Head: "Heard"}, {Head: "Why"}, {Head: "Cue"}, {Head: "What is meant; starts, peaks or completes on it", Least: 30, Grow: true}}}
		var list []event
		for _, m := range moments(s.Track, hitsFor(s)) {
			at := m.Time
			to := ""
			if m.End > m.Time+time.Second {
				to = clock(m.End)
			}
			cue, meant := cueOn(s, at)
			list = append(list, event{at, 0, row(clock(at), to, heard(&m), m.Why, cue, meant)})
		}
		t.Rows = inOrder(list)
		if s.Track == nil {
			for range 24 {
				t.Rows = append(t.Rows, row("", "", "", "", "", "\n "))
			}
		}
		note := "Listen once without the pen. For each moment: does the change start, peak or complete on it? Each cue earns its place."
		if s.Track == nil {
			note = "No soundtrack was listened to: write the moments down by hand. " + note
		}
		return []typeset.Block{head(s), words(note), t}
	}), nil
}

// heard is what sort of moment it is.
func heard(m *soundtrack.Moment) string {
	text := string(m.Kind)
	if m.Sort != "" {
		text += ", " + m.Sort
	}
	if m.Label != "" {
		text += " " + m.Label
	}
	return text
}

// cueOn is the cue that lands within an eighth of a second of an instant.
func cueOn(s *show.Show, at time.Duration) (number, meant string) {
	for i := range s.Cues {
		c := &s.Cues[i]
		if d := s.InTrack(c.Moment) - at; d > -125*time.Millisecond && d < 125*time.Millisecond {
			lands := string(c.Lands)
			if lands == "" {
				lands = "starts"
			}
			return c.Number.Name, lands + ": " + purposeOf(s, c)
		}
	}
	return "", ""
}

// promptBook is time running down the page: what is heard, what is done, what is seen, and room
// for notes.
func promptBook(_ context.Context, s *Subject) ([]typeset.Block, error) {
	found := s.Found
	return each(s, func(s *show.Show) []typeset.Block {
		systems := systemsOf(s)
		t := &typeset.Table{Size: 15, Ruled: true, Columns: []typeset.Column{{Head: "Time", Right: true, Bold: true}, {Head: "Heard, on stage"}, {Head: "Cue", Bold: true, Names: true}, {Head: "What is seen"}, {Head: "Fade, s"}, {Head: "Notes", Least: 18, Grow: true}}}
		list := append(waitsOf(s), calm(s)...)
		for _, m := range moments(s.Track, 0) {
			at := m.Time
			text := heard(&m)
			if m.Kind == soundtrack.Hush || m.Kind == soundtrack.Voice || m.Kind == soundtrack.Swell {
				text += ", to " + clockTo(m.End, 0)
			}
			list = append(list, event{at, 0, row(clock(at), text)})
		}
		for _, i := range cues(s) {
			c := &s.Cues[i]
			at := s.InTrack(c.Start)
			seen := strong(lookOf(s, c))
			if p := purposeOf(s, c); p != "" {
				seen += "\n" + p
			}
			if levels := levelsInWords(s, c, systems); levels != "" {
				seen += "\n" + levels
			}
			list = append(list, event{at, 1, row(clock(at), hangs(c), c.Number.Name, seen, fade(c), margin(found, c))})
		}
		t.Rows = inOrder(list)
		return append([]typeset.Block{head(s), t}, noCues(s)...)
	}), nil
}

// calm are the spans in which nothing may flash: speech, mostly.
func calm(s *show.Show) []event {
	var out []event
	for i := range s.Score.Calm {
		c := &s.Score.Calm[i]
		at := c.From
		text := c.Why
		if text == "" {
			text = "calm"
		}
		out = append(out, event{at, 0, row(clock(at), text+", to "+clockTo(c.To, 0))})
	}
	return out
}

// margin is what the checks have found of a cue that is to be acted on.
func margin(found []finding.Finding, c *show.Cue) string {
	var out []string
	for i := range found {
		f := &found[i]
		if !f.Todo() || f.ID == finding.NotJudged {
			continue
		}
		for _, n := range f.Cues {
			if n == c.Number.Name && len(f.Cues) < 4 {
				out = append(out, "! "+f.Text)
			}
		}
	}
	const most = 2
	if n := len(out); n > most {
		out = append(out[:most], fmt.Sprintf("! and %d more findings", n-most))
	}
	return strings.Join(out, "\n")
}

// callScript is what whoever calls the show says aloud, and when. Cues that follow one another too fast to be called are
// called as one.
func callScript(_ context.Context, s *Subject) ([]typeset.Block, error) {
	out := each(s, func(s *show.Show) []typeset.Block {
		t := &typeset.Table{Size: typeset.Large, Columns: []typeset.Column{{Head: "At", Right: true, Bold: true}, {Head: "Say"}, {Head: "Then is seen"}, {Head: "Said", Least: 3}}}
		list := waitsOf(s)
		before := time.Duration(0)
		for _, g := range calls(s) {
			first, last := &s.Cues[g[0]], &s.Cues[g[len(g)-1]]
			start := s.InTrack(first.Start)
			name := "light cue " + first.Number.Name
			if len(g) > 1 {
				name = "light cues " + first.Number.Name + " to " + last.Number.Name
			}
			ahead := max(start-standby, before+time.Second, 0) // not before the last go is out
			if before = start; ahead >= start {
				ahead = start
			}
			list = append(list, event{ahead, 1, row(clockTo(ahead, 0), "Standby "+name+".")})
			seen := purposeOf(s, first)
			if seen == "" {
				seen = lookOf(s, first)
			}
			if n := len(g) - 1; n > 0 {
				seen += fmt.Sprintf("; then %s by themselves, until %s", si.Count(n, "cue", "cues"), clockTo(s.InTrack(last.Complete), 0))
			}
			list = append(list, event{start, 3, row(clock(start), strong(strings.ToUpper(name[:1])+name[1:]+" … go."), seen, typeset.Box)})
		}
		t.Rows = inOrder(list)
		return append([]typeset.Block{head(s), t}, noCues(s)...)
	})
	return append([]typeset.Block{words("Where the soundtrack drives the light, go is what should be seen then: say lights up if it is not. Cues that come within " + span(apartCalls) + " s of one another are called as one.")}, out...), nil
}

const (
	standby    = 10 * time.Second // before a go (common practice, no source)
	apartCalls = 4 * time.Second  // to say a go and a standby takes about as long (common practice, no source)
)

// calls groups cues that come too fast to be called one by one, by index.
func calls(s *show.Show) [][]int {
	var out [][]int
	before := time.Duration(-1 << 62)
	for _, i := range cues(s) {
		at := s.InTrack(s.Cues[i].Start)
		if n := len(out) - 1; n >= 0 && at-before < apartCalls {
			out[n] = append(out[n], i)
		} else {
			out = append(out, []int{i})
		}
		before = at
	}
	return out
}

// stopwatch is for a hand at a desk, with no computer: time, and which look comes. Accents, and what comes too fast
// for a hand, are left out and counted.
func stopwatch(_ context.Context, s *Subject) ([]typeset.Block, error) {
	return each(s, func(s *show.Show) []typeset.Block {
		t := &typeset.Table{Size: 27, Columns: []typeset.Column{{Head: "Watch", Right: true, Bold: true}, {Head: "Bring", Bold: true, Names: true}, {Head: "over"}, {Head: "then wait", Right: true}}}
		list := waitsOf(s)
		kept := byHand(s)
		for n, i := range kept {
			c := &s.Cues[i]
			wait := ""
			if n+1 < len(kept) {
				wait = clockTo(s.InTrack(s.Cues[kept[n+1]].Start)-s.InTrack(c.Start), 0)
			}
			over := span(max(c.Up, c.Falls()).Round(time.Second)) + " s"
			if max(c.Up, c.Falls()) < time.Second {
				over = "at once"
			}
			list = append(list, event{s.InTrack(c.Start), 1, row(clockTo(s.InTrack(c.Start), 0), lookOf(s, c), over, wait)})
		}
		t.Rows = inOrder(list)
		left := s.CuesWritten() - len(kept)
		text := "Start the watch with the first sound of the track"
		if s.Track == nil {
			text = "Start the watch with the first look"
		}
		if len(s.Waits) > 0 {
			text += ", hold it where it waits, and go on from there"
		}
		text += ". What to set for each look is on the paper “Fallback looks”."
		if left > 0 {
			text += fmt.Sprintf(" %s too fast for a hand or an accent, and left out.", map[bool]string{true: "1 cue is", false: fmt.Sprint(left) + " cues are"}[left == 1])
		}
		return append([]typeset.Block{&typeset.Words{Text: text, Size: typeset.Large}, t}, noCues(s)...)
	}), nil
}

// handGap is how far apart a hand can bring two looks (common practice, no source).
const handGap = 3 * time.Second

// byHand are the cues that a hand can follow, by index.
func byHand(s *show.Show) []int {
	var out []int
	for _, i := range cues(s) {
		c := &s.Cues[i]
		if c.Bump() {
			continue
		}
		if n := len(out) - 1; n >= 0 && (s.InTrack(c.Start)-s.InTrack(s.Cues[out[n]].Start) < handGap || lookOf(s, c) == lookOf(s, &s.Cues[out[n]])) {
			if lookOf(s, c) != lookOf(s, &s.Cues[out[n]]) {
				out[n] = i // of two that come as one the later stays
			}
			continue
		}
		out = append(out, i)
	}
	return out
}
