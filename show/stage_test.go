package show

import (
	"context"
	"strings"
	"testing"
	"time"
)

var stageRoom = hall["room.yaml"] + `objects:
  fish: {paint: fluorescent green, centre: [0 m, 2 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  boat: {paint: fluorescent orange, centre: [2 m, 2 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m], background: backdrop}
`

const stageScore = `
looks:
  a: {system: uv, glow: {object: fish, over background: 3}}
  b: {system: front, level: 10 %}
cues:
  - {cue: 1, at: 0:00, look: b}
  - {cue: 10, at: 0:10, look: a}
  - {cue: 15, at: 0:15, look: b, returns: 1 s}
  - {cue: 20, at: 0:20, look: b}
  - {cue: 30, at: 0:30, look: a, up: 2 s}
  - {cue: 40, at: 0:40, look: b}
on stage:
`

// A thing is there from the start of its first cue until another look comes after its last; a
// glow of what is not there is told.
func TestStage(t *testing.T) {
	s := showOf(t, map[string]string{"room.yaml": stageRoom, "score.yaml": stageScore + "  fish: cues 1 to 10\n"}, nil)
	for at, want := range map[float64]bool{0: true, 9: true, 12: true, 16: true, 19.9: true, 20: false, 35: false} {
		x := time.Duration(at * float64(time.Second))
		if got := s.OnStage("fish", x); got != want {
			t.Errorf("at %v the fish is there: %v", x, got)
		}
		hidden := 0
		for i, is := range s.Absent(x) {
			if is {
				hidden++
				if s.Transport.Panels[i].Name != "fish" {
					t.Errorf("%s is hidden", s.Transport.Panels[i].Name)
				}
			}
		}
		if (hidden == 0) != want {
			t.Errorf("at %v %d panels are hidden", x, hidden)
		}
	}
	if !s.OnStage("boat", 35*time.Second) {
		t.Error("what nobody wrote of is not there")
	}
	all := s.Misplaced()
	if len(all) != 1 || s.Cues[all[0].Cue].Number.Name != "30" || all[0].Object != "fish" {
		t.Errorf("misplaced are %+v", all)
	}
}

func TestStageFaults(t *testing.T) {
	for text, want := range map[string]string{
		"  whale: cue 10\n":        `the room has no object, performer, surface or box "whale"`,
		"  fish: cues 20 to 10\n":  "leaves with cue 10, which comes before it",
		"  fish: [0:10 to 0:12]\n": "-",
	} {
		f, _ := Read(hallWith(map[string]string{"room.yaml": stageRoom, "score.yaml": stageScore + text}))
		_, faults := New(context.Background(), f, nil)
		told := ""
		if err := faults.Err(); err != nil {
			told = err.Error()
		}
		switch want {
		case "-":
			if told != "" {
				t.Errorf("%q: %s", text, told)
			}
		default:
			if !strings.Contains(told, want) {
				t.Errorf("%q: told is %q, want %q", text, told, want)
			}
		}
	}
}
