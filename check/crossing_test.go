package check

import (
	"strings"
	"testing"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// Who crosses while it is dark walks in the dark, and is told where and when; so is that nothing
// says whether an alarm ends the show. In light they are not, nor who crosses when light is back.
func TestCrossingInTheDark(t *testing.T) {
	found := func(crosses string) map[string]finding.Finding {
		s := checktest.BoothWith("performers:\n  - {name: hand, at: [-0.2 m, -0.3 m, 1.2 m]}\n",
			"looks:\n  bright: {parts: [{system: all, emitters: {white: 100 %}}]}\n  dark: {purpose: nothing}\ncues:\n  - {cue: 1, at: 0:00, look: bright}\n  - {cue: 2, at: 0:10, look: dark}\n  - {cue: 3, at: 0:20, look: bright}\n  - {cue: 4, at: 0:40, look: bright}\n"+
				"crosses:\n  hand:\n"+crosses)
		return byID(ran(t, s, "path-dark", "alarm-input"))
	}
	dark := found("    - {cue: 2, to: [0.2 m, -0.3 m, 1.2 m], takes: 4 s}\n")
	if f := dark["path-dark"]; f.Severity != finding.Warn || f.Place != "performer hand" || f.Line == 0 || !strings.Contains(f.Text, "0 lx underfoot") {
		t.Errorf("in the dark: %+v", f)
	}
	if dark["alarm-input"].Severity != finding.Warn {
		t.Errorf("the alarm: %+v", dark["alarm-input"])
	}
	if f, told := found("    - {cue: 3, to: [0.2 m, -0.3 m, 1.2 m], takes: 4 s}\n")["path-dark"]; told {
		t.Errorf("in the light: %+v", f)
	}
}
