package score

import (
	"strings"
	"testing"
	"time"
)

// When something is on stage is said in words of cues or of times; what is wrong is told where
// it stands, and hides nothing.
func TestOnStage(t *testing.T) {
	const head = "looks: {a: {level: 10 %}}\ncues:\n  - {cue: 10, at: 0:10, look: a}\n  - {cue: 20, at: 0:20, look: a}\non stage:\n  fish: "
	for _, c := range []struct {
		text string
		want Presence
		said string
	}{
		{"cues 10 to 20", Presence{{FromCue: "10", ToCue: "20"}}, ""},
		{"cue 10", Presence{{FromCue: "10", ToCue: "10"}}, ""},
		{"from cue 20", Presence{{FromCue: "20"}}, ""},
		{"until cue 20", Presence{{ToCue: "20"}}, ""},
		{"0:40 to 1:10", Presence{{FromTime: at(40), ToTime: at(70)}}, ""},
		{"[cue 10, from 0:50]", Presence{{FromCue: "10", ToCue: "10"}, {FromTime: at(50)}}, ""},
		{"never", Presence{}, ""},
		{"cues 10 to 30", nil, "there is no cue 30 by which fish enters or leaves"},
		{"sometimes", nil, "does not say when"},
		{"1:10 to 0:40", nil, "not after it enters"},
		{"{from: 1}", nil, "said in words"},
	} {
		s, faults := Read("score.yaml", []byte(head+c.text+"\n"))
		var told []string
		for _, f := range faults {
			told = append(told, f.Error())
		}
		if all := strings.Join(told, "; "); (c.said == "") != (all == "") || !strings.Contains(all, c.said) {
			t.Errorf("%s: told is %q, want %q", c.text, all, c.said)
			continue
		}
		got := s.Stage.Get("fish")
		if got == nil || len(*got) != len(c.want) || (*got == nil) != (c.want == nil) {
			t.Errorf("%s: %v, want %v", c.text, got, c.want)
			continue
		}
		for i, w := range c.want {
			g := (*got)[i]
			if g.FromCue != w.FromCue || g.ToCue != w.ToCue || !sameTime(g.FromTime, w.FromTime) || !sameTime(g.ToTime, w.ToTime) {
				t.Errorf("%s: %+v, want %+v", c.text, g, w)
			}
		}
	}
}

func at(s int) *time.Duration {
	d := time.Duration(s) * time.Second
	return &d
}

func sameTime(a, b *time.Duration) bool { return a == b || a != nil && b != nil && *a == *b }
