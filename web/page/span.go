package page

import (
	"errors"
	"math"
	"slices"
	"time"

	"lampblack/check/finding"
)

// Span is a piece of the book: all that stands beside its seconds, but for the light.
type Span struct {
	From     float64           `json:"from"` // s
	To       float64           `json:"to"`
	Sound    Sound             `json:"sound"`
	Moments  Moments           `json:"moments"`  // that lie in it or reach into it, and the last count before it
	Cues     []Cue             `json:"cues"`     // whose light changes in it, or whose moment lies in it
	Findings []finding.Finding `json:"findings"` // about seconds of it
}

// longestSpan bounds one answer of Span.
const longestSpan = 10 * time.Minute

// Span returns what stands beside the seconds from one time to another.
func (b *Book) Span(from, to time.Duration) (Span, error) {
	if from < 0 || to <= from || to-from > longestSpan {
		return Span{}, errors.New("span: want 0 <= from < to, and 10 minutes at most")
	}
	s := Span{From: seconds(from), To: seconds(to), Cues: []Cue{}, Findings: []finding.Finding{}}
	s.Sound, s.Moments = b.sound.within(s.From, s.To), b.moments.within(s.From, s.To)
	for _, c := range b.cues {
		if c.Start < s.To && c.Complete >= s.From || s.has(max(0, c.Moment)) {
			s.Cues = append(s.Cues, c)
		}
	}
	for _, f := range b.findings {
		if timed(&f, b.contents.Length) && f.From < s.To && f.To >= s.From {
			s.Findings = append(s.Findings, f)
		}
	}
	return s, nil
}

func (s *Span) has(t float64) bool { return t >= s.From && t < s.To }

// within cuts the outline; the step that a span ends in is the next one's too, so that the
// two meet.
func (s *Sound) within(from, to float64) Sound {
	first := min(int(math.Floor(from/s.Hop)), len(s.Mid))
	last := min(int(math.Ceil(to/s.Hop))+1, len(s.Mid))
	return Sound{s.Hop, float64(first) * s.Hop, s.Low[first:last], s.Mid[first:last], s.High[first:last]}
}

// within takes the moments of a span. With the last count before it the first seconds of the
// span have a bar.
func (m *Moments) within(from, to float64) Moments {
	out := Moments{[]string{}, []float64{}, []float64{}, []float64{}, []float64{}, []string{}, []string{}, []int{}, []int{}}
	count := -1
	before := func() { // once, in its place
		if count >= 0 {
			out.add(m, count)
		}
		count = -1
	}
	for i, t := range m.Time {
		if t >= from {
			before()
		}
		switch {
		case t >= to:
			return out
		case max(t, m.End[i]) >= from:
			out.add(m, i)
		case m.Bar[i] > 0:
			count = i
		}
	}
	before()
	return out
}

func (m *Moments) add(of *Moments, i int) {
	m.Kind, m.Why, m.Label = append(m.Kind, of.Kind[i]), append(m.Why, of.Why[i]), append(m.Label, of.Label[i])
	m.Time, m.End = append(m.Time, of.Time[i]), append(m.End, of.End[i])
	m.Strength, m.Change = append(m.Strength, of.Strength[i]), append(m.Change, of.Change[i])
	m.Bar, m.Beat = append(m.Bar, of.Bar[i]), append(m.Beat, of.Beat[i])
}

// timed tells findings about seconds from those about the show as a whole.
func timed(f *finding.Finding, length float64) bool {
	return f.To > 0 && f.From < length && f.To-f.From < .9*length
}

// Found is what was found, in numbers, and the first of what is about the show as a whole.
type Found struct {
	Stops    int               `json:"stops"` // that nobody has signed for, as with those below
	Warnings int               `json:"warnings"`
	Notes    int               `json:"notes"`
	Unjudged bool              `json:"unjudged"` // not all was judged, as nobody said enough
	First    []finding.Finding `json:"first"`    // about the whole show, notes left out
	More     int               `json:"more"`     // of those that are not among First
}

// mostFound is how many findings stand on a page until more are asked for.
const mostFound = 5

// foundOf counts.
func foundOf(list []finding.Finding, length float64) Found {
	out := Found{First: []finding.Finding{}}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b finding.Finding) int { return b.Severity.Rank() - a.Severity.Rank() })
	for i := range list {
		f := &list[i]
		if f.Lacks != nil {
			out.Unjudged = true
			continue
		}
		if f.Signed == "" {
			switch f.Severity {
			case finding.Stop:
				out.Stops++
			case finding.Warn:
				out.Warnings++
			default:
				out.Notes++
			}
		}
		switch {
		case f.Severity == finding.Note || timed(f, length):
		case len(out.First) < mostFound:
			out.First = append(out.First, *f)
		default:
			out.More++
		}
	}
	return out
}
