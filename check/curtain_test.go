package check

import (
	"slices"
	"testing"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// Before a closed curtain an eye sees nothing of what flashes behind it and takes none of its
// ultraviolet; before an open one, whenever that is, it does. What counts over all units counts
// whatever hangs before them.
func TestEyesBehindCurtain(t *testing.T) {
	found := func(opens string) map[string]finding.Finding {
		s := checktest.BoothWith("surfaces:\n  tabs: {material: black velvet, centre: [0 m, 0.2 m, 0.75 m], width: 1 m, height: 1.5 m, faces: [0 m, -1 m, 0 m], opens: upward}\n",
			`looks:
  storm: {parts: [{system: all, emitters: {white: 100 %}, flash: 5 Hz}]}
  sun: {parts: [{system: all, emitters: {uv: 100 %}}]}
  calm: {parts: [{system: all, emitters: {white: 10 %}}]}
cues:
  - {cue: 1, at: 0:00, look: storm}
  - {cue: 2, at: 0:04, look: calm}
  - {cue: 3, at: 0:10, look: sun}
  - {cue: 4, at: 0:20, look: calm}
opens:
  tabs:
`+opens)
		list := ran(t, s)
		slices.Reverse(list) // of each kind the gravest, which comes first
		return byID(list)
	}
	open := found("    - {cue: 1, to: open}\n")
	closed := found("    - {at: 0:30, to: open}\n")
	for id, list := range map[string]map[string]finding.Finding{"open": open, "closed": closed} {
		if list["flash-union"].Severity != finding.Stop {
			t.Errorf("%s: over all units: %+v", id, list["flash-union"])
		}
	}
	if open["flash-rate"].Severity != finding.Stop || closed["flash-rate"].Severity == finding.Stop {
		t.Errorf("flashes seen: open %v, closed %v", open["flash-rate"].Severity, closed["flash-rate"].Severity)
	}
	later := found("    - {cue: 2, to: open, takes: 2 s}\n")
	if f := later["flash-rate"]; f.Severity == finding.Stop {
		t.Errorf("it opens when the flashing is over: %v", f.Text)
	}
	all, some, none := open["uv-dose"].Value, found("    - {at: 0:15, to: open}\n")["uv-dose"].Value, closed["uv-dose"].Value
	if none > .01*all || some < .45*all || some > .55*all {
		t.Errorf("doses: open %v, for half of the time %v, closed %v J/m²", all, some, none)
	}
}
