package score

import (
	"regexp"
	"slices"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Presence is when an object or a performer is on stage. What is not in a score's list is
// always there.
type Presence []StageSpan

// StageSpan is a stretch in which something is on stage: from a cue or a time on, to the end of
// a cue or a time. What is not given is the beginning or the end of the show.
type StageSpan struct {
	Pos              source.Pos
	FromCue, ToCue   string // numbers; ToCue's look is the last that it is in
	FromTime, ToTime *time.Duration
	Text             string
}

var (
	stageCues  = regexp.MustCompile(`^cues? (\d{1,5}(?:\.\d{1,3})?)(?: to (\d{1,5}(?:\.\d{1,3})?))?$`)
	stageFrom  = regexp.MustCompile(`^from (?:cue (\d{1,5}(?:\.\d{1,3})?)|(\S+))$`)
	stageUntil = regexp.MustCompile(`^until (?:cue (\d{1,5}(?:\.\d{1,3})?)|(\S+))$`)
	stageTimes = regexp.MustCompile(`^(\d\S*) to (\d\S*)$`)
)

// stageForms is how a span may be written.
const stageForms = "cues 10 to 20, cue 12, from cue 10, until cue 20, or times: 0:40 to 1:10, from 0:40, until 1:10; a list of them; or never"

// ReadSource takes a span, a list of them, or never.
func (p *Presence) ReadSource(v source.Value) {
	*p = Presence{}
	if v.IsMap() {
		*p = nil // what is wrong hides nothing
		v.Fault(stageForms, "when something is on stage is said in words")
		return
	}
	if v.IsText() && v.Text() == "never" {
		return
	}
	for _, item := range v.List() {
		text := item.Text()
		if text == "" || text == "never" && v.IsList() {
			continue
		}
		s := StageSpan{Pos: item.Pos(), Text: text}
		if err := s.read(text); err != "" {
			item.Fault(stageForms, "%s", err)
			continue
		}
		*p = append(*p, s)
	}
	if len(*p) == 0 && v.IsText() && v.Text() != "never" {
		*p = nil
	}
}

// JSONSchema is that of a text or of a list of them.
func (Presence) JSONSchema() map[string]any {
	text := map[string]any{"type": "string", "description": stageForms}
	return map[string]any{"anyOf": []any{text, map[string]any{"type": "array", "items": text}}}
}

// read takes a span apart, and says what is wrong with it.
func (s *StageSpan) read(text string) string {
	if m := stageCues.FindStringSubmatch(text); m != nil {
		s.FromCue, s.ToCue = m[1], m[1]
		if m[2] != "" {
			s.ToCue = m[2]
		}
		return ""
	}
	var from, to string
	if m := stageTimes.FindStringSubmatch(text); m != nil {
		from, to = m[1], m[2]
	} else if m := stageFrom.FindStringSubmatch(text); m != nil {
		s.FromCue, from = m[1], m[2]
	} else if m := stageUntil.FindStringSubmatch(text); m != nil {
		s.ToCue, to = m[1], m[2]
	} else {
		return source.Quote(text) + " does not say when something is on stage"
	}
	for _, one := range []struct {
		text string
		to   **time.Duration
	}{{from, &s.FromTime}, {to, &s.ToTime}} {
		if one.text == "" {
			continue
		}
		t, err := si.ParseTime(one.text)
		if err != nil {
			return err.Error()
		}
		*one.to = &t
	}
	if s.FromTime != nil && s.ToTime != nil && *s.ToTime <= *s.FromTime {
		return "it leaves at " + si.FormatTime(*s.ToTime) + ", not after it enters"
	}
	return ""
}

// checkStage holds the cues by which things enter and leave to cues that are there.
func (s *Score) checkStage(faults *source.Faults) {
	numbers := s.numbers()
	for i := range s.Stage {
		e := &s.Stage[i]
		if e.Value == nil {
			continue // it has its fault
		}
		kept := Presence{}
		for _, span := range e.Value {
			good := true
			for _, n := range []string{span.FromCue, span.ToCue} {
				if n != "" && !slices.Contains(numbers, n) {
					faults.Add(span.Pos, source.OneOf(n, numbers), "there is no cue %s by which %s enters or leaves", n, e.Name)
					good = false
				}
			}
			if good {
				kept = append(kept, span)
			}
		}
		if len(kept) == 0 && len(e.Value) > 0 {
			kept = nil // what is wrong hides nothing
		}
		e.Value = kept
	}
}

// numbers are those of the cues, in their order.
func (s *Score) numbers() []string {
	var out []string
	for i := range s.Cues {
		out = append(out, s.Cues[i].Number.Name)
	}
	return out
}

// StageCues are the numbers of cues by which something enters, leaves, sets out, opens or closes.
func (s *Score) StageCues() map[string]bool {
	out := map[string]bool{}
	for i := range s.Stage {
		for _, span := range s.Stage[i].Value {
			out[span.FromCue], out[span.ToCue] = true, true
		}
	}
	for i := range s.Crosses {
		for _, c := range s.Crosses[i].Value {
			out[c.Cue.Name] = true
		}
	}
	for i := range s.Opens {
		for _, d := range s.Opens[i].Value {
			out[d.Cue.Name] = true
		}
	}
	return out
}
