package check

import (
	"strings"
	"testing"

	"lampblack/check/checktest"
	"lampblack/score"
)

// Another score is judged in the room that was solved once.
func TestComparison(t *testing.T) {
	checktest.Coarse(t)
	c, err := Compare(t.Context(), checktest.Solved(t, checktest.DemoFolder()))
	if err != nil {
		t.Fatal(err)
	}
	data := string(checktest.Changed(t, checktest.DemoFolder())["score.yaml"].Data)
	read := func(text string) *score.Score {
		sc, faults := score.Read("score.yaml", []byte(text))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return sc
	}
	if list, err := c.Worse(t.Context(), read(data)); err != nil || len(list) > 0 {
		t.Errorf("the same score is worse: %v %v", list, err)
	}
	for _, w := range []struct{ cue, id string }{
		{`  - {cue: 9, at: 0:12, look: house open, up: 0.1 s, returns: 1 s}`, "cue-calm"},
		{`  - {cue: 9, at: 0:12, look: house open, up: 1 s}` + "\n" + `  - {cue: 9.5, at: 0:12, look: night falls, up: 1 s}`, "cue-unreached"},
	} {
		list, err := c.Worse(t.Context(), read(data+w.cue+"\n"))
		if err != nil || len(list) != 1 || list[0].ID != w.id || !strings.Contains(list[0].Place, "cue 9") {
			t.Errorf("with %s: %v %v", w.cue, list, err)
		}
	}
	list, err := c.Worse(t.Context(), read(strings.Replace(data, "{system: side, ", "{system: sied, ", 1)))
	if err != nil || len(list) == 0 || list[0].ID != "file" {
		t.Errorf("a system that is not there: %v %v", list, err)
	}
}
