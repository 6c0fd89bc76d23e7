package draft

import (
	"strings"
	"testing"
	"time"

	"lampblack/soundtrack"
)

// beaten is the minute with beats that are so sure.
func beaten(sure float64) *soundtrack.Track {
	t := minuteTrack()
	b := soundtrack.Beats{Name: "as heard", BPM: 120}
	for at := time.Duration(0); at < t.Duration; at += 500 * time.Millisecond {
		b.Times, b.Sure = append(b.Times, at), append(b.Sure, sure)
	}
	t.Hypotheses = []soundtrack.Beats{b}
	return t
}

// moving counts the drafted cues whose light moves by itself.
func moving(t *testing.T, track *soundtrack.Track, wish string, o Options) (cues []string) {
	t.Helper()
	w, faults := ReadWish("draft.yaml", []byte(wish))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	o.Wish = w
	_, text := draftOf(t, track, minuteScore, o)
	for line := range strings.Lines(text) {
		if strings.Contains(line, "by: draft, why") && (strings.Contains(line, "in turn:") || strings.Contains(line, "on the beat:")) {
			cues = append(cues, strings.TrimSpace(line))
		}
	}
	return cues
}

// Light moves in lively and fierce sections whose beat is sure, not in one after another, and
// nowhere else; the line says why.
func TestLivelySectionsMove(t *testing.T) {
	fierce := strings.Replace(minuteWish, "lively", "fierce", 1)
	calm := strings.Replace(minuteWish, "lively", "calm", 1)
	for _, c := range []struct {
		name string
		sure float64
		wish string
		want []string
	}{
		{"lively", .8, minuteWish, []string{"in turn: {order: outward, every: 2 bars, overlap: 100 %, down to: 50 %}", "it is lively and its beat (120 a minute) is sure"}},
		{"fierce", .8, fierce, []string{"on the beat: {every: 2 beats, down to: 40 %}", "120 a minute, as it is fierce"}},
		{"an unsure beat", .5, minuteWish, nil},
		{"calm", .8, calm, nil},
		{"refused", .8, "moves: no\n" + minuteWish, nil},
		{"refused there", .8, strings.Replace(minuteWish, "mood: lively", "moves: no, mood: lively", 1), nil},
		{"refused, but there", .8, "moves: no\n" + strings.Replace(minuteWish, "mood: lively", "moves: yes, mood: lively", 1), []string{"in turn:"}},
	} {
		got := moving(t, beaten(c.sure), c.wish, Options{})
		if c.want == nil {
			if len(got) > 0 {
				t.Errorf("%s: %q moves", c.name, got)
			}
			continue
		}
		if len(got) != 1 { // the section after the silence is lively too, and stands
			t.Fatalf("%s: %d cues move: %q", c.name, len(got), got)
		}
		for _, want := range c.want {
			if !strings.Contains(got[0], want) {
				t.Errorf("%s: %s\nlacks %q", c.name, got[0], want)
			}
		}
	}
}

// A decision of the spotting session says that light that begins on a moment stands.
func TestSpottingRefusesMovement(t *testing.T) {
	decisions, faults := ReadDecisions("spotting.yaml", []byte("decisions:\n  - {moment: turn 0:30, moves: no}\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	for _, cue := range moving(t, beaten(.8), minuteWish, Options{Decisions: decisions}) {
		if strings.Contains(cue, "0:30.1") {
			t.Errorf("it moves all the same: %s", cue)
		}
	}
}
