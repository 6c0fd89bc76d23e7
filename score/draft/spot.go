package draft

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Spotting is a list of moments to go through with the director, by time.
type Spotting []Spot

// Spot is one moment of a spotting list.
type Spot struct {
	soundtrack.Moment
	BarBeat string // "12.3": the bar, and the beat in it
	Verdict Verdict
	Moved   time.Duration // where a nudge put it; as Time when there was none
}

// Verdict is what a person said of a moment.
type Verdict string

// Verdicts.
const (
	Open   Verdict = ""
	Accept Verdict = "accept"
	Reject Verdict = "reject"
)

// Choices lists the verdicts.
func (Verdict) Choices() []string { return []string{string(Accept), string(Reject)} }

// Decision is one line of spotting.yaml: a moment, named as a cue names it, and
// what was said of it.
type Decision struct {
	source.Pos
	Moment  score.Anchor   `key:"moment,required"`
	Verdict Verdict        `key:"verdict"`
	Move    *time.Duration `key:"move to"`
	Moves   *bool          `key:"moves"` // whether light that begins on it may move by itself
	Note    string         `key:"note"`
}

// decisionReach is how far a decision may be from its moment; a track that was
// listened to anew may place it a little elsewhere.
const decisionReach = 50 * time.Millisecond

// Decided is the form of spotting.yaml.
type Decided struct {
	source.Pos
	Decisions []Decision `key:"decisions,required"`
}

// ReadDecisions reads spotting.yaml.
func ReadDecisions(file string, data []byte) ([]Decision, source.Faults) {
	var form Decided
	faults := source.Decode(file, data, &form)
	for i := range form.Decisions {
		if d := &form.Decisions[i]; d.Verdict == Open && d.Move == nil && d.Moves == nil && d.Note == "" {
			faults.Add(d.Pos, "verdict: accept, verdict: reject, or move to: 0:31.2", "nothing is said of %v", d.Moment)
		}
	}
	faults.Sort()
	return form.Decisions, faults
}

// SpotList lists the n strongest hits, and all turns, swells, hushes and voices, with
// what was decided. A hit that was decided on is listed whatever its rank.
func SpotList(t *soundtrack.Track, decisions []Decision, n int) Spotting {
	var out Spotting
	hits := t.Ranked(n)
	for _, m := range t.Moments {
		switch m.Kind {
		case soundtrack.Beat, soundtrack.Bar:
			continue
		case soundtrack.Hit:
			if !slices.ContainsFunc(hits, func(h soundtrack.Moment) bool { return h.Time == m.Time }) && find(decisions, m) == nil {
				continue
			}
		}
		s := Spot{Moment: m, BarBeat: barBeat(t, m.Time), Moved: m.Time}
		if d := find(decisions, m); d != nil {
			s.Verdict = d.Verdict
			if d.Move != nil {
				s.Moved = *d.Move
			}
		}
		out = append(out, s)
	}
	return out
}

func find(decisions []Decision, m soundtrack.Moment) *Decision {
	for i := range decisions {
		d := &decisions[i]
		if d.Moment.Kind == string(m.Kind) && (d.Moment.Near-m.Time).Abs() <= decisionReach {
			return d
		}
	}
	return nil
}

// barBeat counts the bar and beat that t lies in, "" before the first. 20 ms of grace
// are what beats are heard to.
func barBeat(t *soundtrack.Track, at time.Duration) string {
	bar, beat := 0, 0
	for _, m := range t.Moments {
		if m.Time > at+20*time.Millisecond {
			break
		}
		if m.Kind == soundtrack.Beat || m.Kind == soundtrack.Bar {
			bar, beat = m.Bar, max(m.Beat, 1)
		}
	}
	if bar == 0 {
		return ""
	}
	return fmt.Sprintf("%d.%d", bar, beat)
}

// decided returns the track as a person left it: rejected moments gone, nudged ones
// moved. A moment that is moved keeps its length. Of several decisions on one moment
// the first counts.
func (d *plan) decided() *soundtrack.Track {
	if len(d.options.Decisions) == 0 {
		return d.track
	}
	t := *d.track
	t.Moments = nil
	for _, m := range d.track.Moments {
		if said := find(d.options.Decisions, m); said != nil {
			if said.Verdict == Reject {
				d.left = append(d.left, Left{m, "it was rejected"})
				continue
			}
			if said.Move != nil {
				m.End += *said.Move - m.Time
				m.Time = *said.Move
			}
		}
		t.Moments = append(t.Moments, m)
	}
	return &t
}

// accepted tells whether a person wants the moment lit.
func (d *plan) accepted(m soundtrack.Moment) bool {
	for i := range d.options.Decisions {
		o := &d.options.Decisions[i]
		at := o.Moment.Near
		if o.Move != nil {
			at = *o.Move
		}
		if o.Verdict == Accept && o.Moment.Kind == string(m.Kind) && (at-m.Time).Abs() <= decisionReach {
			return true
		}
	}
	return false
}

// columns of a spotting list.
var columns = []string{"time", "bar.beat", "what", "rank", "strength", "before LUFS", "after LUFS", "verdict", "why"}

func (s *Spot) row() []string {
	rank, before, after := "", "", ""
	if s.Kind == soundtrack.Hit {
		rank, before, after = fmt.Sprint(s.Rank), fmt.Sprintf("%.0f", s.Before), fmt.Sprintf("%.0f", s.After)
	}
	at := si.FormatTime(s.Time)
	if s.Moved != s.Time {
		at = si.FormatTime(s.Moved) + " (was " + at + ")"
	}
	return []string{at, s.BarBeat, string(s.Kind), rank, fmt.Sprintf("%.2f", s.Strength), before, after, string(s.Verdict), s.Why}
}

// WriteCSV writes the list as a table.
func (l Spotting) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.Write(columns)
	for i := range l {
		c.Write(source.Cells(l[i].row()))
	}
	c.Flush()
	return c.Error()
}

// WriteText writes the list for people.
func (l Spotting) WriteText(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	line := func(cells []string) {
		for _, c := range cells {
			fmt.Fprintf(t, "%s\t", c)
		}
		fmt.Fprintln(t)
	}
	line(columns)
	for i := range l {
		line(l[i].row())
	}
	return t.Flush()
}
