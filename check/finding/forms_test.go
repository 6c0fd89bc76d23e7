package finding

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"lampblack/source"
)

// some is one finding of each severity, one of them signed.
func some() []Finding {
	return []Finding{
		{ID: "flash-rate", Severity: Stop, Text: "seat <a> sees 5 flashes & more", Value: 5, Limit: 3, Unit: "flashes in a second", From: 31.2, To: 32.2, Place: "seat a", Source: "WCAG 2.2 SC 2.3.1", Margin: -.6667, Cues: []string{"10"}, Units: []string{"front left"}, Hint: "slower"},
		{ID: "supply-load", Severity: Stop, Text: "too much", Value: 17.25, Limit: 16, Unit: "A", Place: "circuit left", Source: "BS 7671", File: "rig.yaml", Line: 12, Column: 3, Signed: "A. Keeper, 2026-03-14: measured"},
		{ID: "line-terminator", Severity: Warn, Text: "no terminator", Place: "line stage", Source: "EIA-485"},
		{ID: "uv-dose", Severity: Note, Text: "takes up to 181 J/m2", Value: 181.3, Low: 90, High: 181.3, Limit: 1e4, Unit: "J/m2", Place: "performer b", Source: "ICNIRP 2004", Assumed: "upper ends"},
	}
}

func TestStops(t *testing.T) {
	if list := some(); len(Stops(list)) != 1 || Stops(list)[0].Place != "seat a" {
		t.Errorf("stops %v", Stops(list))
	}
}

// The line at the end counts each severity, and of the stops those that are signed.
func TestSummary(t *testing.T) {
	stop, signed := Finding{Severity: Stop}, Finding{Severity: Stop, Signed: "A. Keeper"}
	for want, list := range map[string][]Finding{
		"no findings":               nil,
		"1 stop":                    {stop},
		"1 stop, 1 of them signed":  {signed},
		"3 stops, 1 of them signed": {stop, signed, stop},
		"3 stops, 2 of them signed": {signed, stop, signed},
		"2 stops; 1 warning":        {stop, {Severity: Warn, Signed: "A. Keeper"}, stop},
		"1 stop; 2 notes":           {{Severity: Note}, stop, {Severity: Note}},
	} {
		if got := summary(list); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestWriteText(t *testing.T) {
	var b bytes.Buffer
	WriteText(&b, some(), 60, false)
	for _, want := range []string{
		"stop  flash-rate, seat a, 0:31.200 to 0:32.200\n",
		"      Seat <a> sees 5 flashes & more.\n",
		"      5 flashes in a second; limit 3 flashes in a second; 67\n      % over the limit\n",
		"      signed: A. Keeper, 2026-03-14: measured\n",
		"      180 J/m² (90 J/m² to 180 J/m²); limit 10 kJ/m²\n",
		"2 stops, 1 of them signed; 1 warning; 1 note\n",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, b.String())
		}
	}
	for line := range strings.Lines(b.String()) {
		if len([]rune(line)) > 61 {
			t.Errorf("a line is too long: %q", line)
		}
	}
	if strings.Contains(b.String(), "\x1b") {
		t.Error("colours where none are wanted")
	}
	b.Reset()
	WriteText(&b, nil, 0, true)
	if b.String() != "no findings\n" {
		t.Errorf("nothing prints %q", b.String())
	}
}

// The names in JSON are a promise.
func TestWriteJSON(t *testing.T) {
	var b bytes.Buffer
	if err := WriteJSON(&b, some()); err != nil {
		t.Fatal(err)
	}
	var got struct{ Findings []map[string]any }
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"id", "severity", "text", "value", "limit", "unit", "from", "to", "place", "source"} {
		for _, f := range got.Findings {
			if _, ok := f[key]; !ok {
				t.Errorf("finding %v lacks %q", f["id"], key)
			}
		}
	}
	b.Reset()
	if err := WriteJSON(&b, nil); err != nil || strings.Join(strings.Fields(b.String()), "") != `{"findings":[]}` {
		t.Errorf("nothing prints %q, %v", b.String(), err)
	}
}

func TestWriteJUnit(t *testing.T) {
	var b bytes.Buffer
	list := some()
	list[0].Text += "\x01\x02" // XML has no such characters
	if err := WriteJUnit(&b, list); err != nil {
		t.Fatal(err)
	}
	var got junitSuites
	if err := xml.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Tests != 4 || got.Failures != 1 || got.Suite.Cases[0].Failure == nil || got.Suite.Cases[1].Failure != nil {
		t.Errorf("%d tests, %d failures: %s", got.Tests, got.Failures, b.String())
	}
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("outside check left out: needs xmllint (Debian package libxml2-utils)")
	}
	c := exec.Command(lint, "--noout", "-")
	c.Stdin = &b
	if out, err := c.CombinedOutput(); err != nil {
		t.Errorf("xmllint: %v: %s", err, out)
	}
}

// SARIF 2.1.0: what section 3 of the standard requires of the parts written.
func TestWriteSARIF(t *testing.T) {
	var b bytes.Buffer
	if err := WriteSARIF(&b, some()); err != nil {
		t.Fatal(err)
	}
	var log sarifLog
	d := json.NewDecoder(&b)
	d.DisallowUnknownFields()
	if err := d.Decode(&log); err != nil {
		t.Fatal(err)
	}
	run := log.Runs[0]
	if log.Version != "2.1.0" || run.Tool.Driver.Name == "" || len(run.Results) != 4 || len(run.Tool.Driver.Rules) != 4 {
		t.Fatalf("version %q, %d results, %d rules", log.Version, len(run.Results), len(run.Tool.Driver.Rules))
	}
	for i, level := range []string{"error", "error", "warning", "note"} {
		if run.Results[i].Level != level || run.Results[i].Message.Text == "" {
			t.Errorf("result %d: level %q", i, run.Results[i].Level)
		}
	}
	if r := run.Results[1]; r.Locations[0].Physical.Artifact.URI != "rig.yaml" || r.Locations[0].Physical.Region.Line != 12 || r.Suppressions[0].Kind != "inSource" {
		t.Errorf("signed result: %+v", r)
	}
}

func TestFromFaults(t *testing.T) {
	var faults source.Faults
	faults.Add(source.Pos{File: "score.yaml", Line: 12, Column: 3}, `did you mean "bell"?`, "there is no look %q", "bel")
	faults = append(faults, source.Fault{Pos: source.Pos{File: "rig.yaml", Line: 1}, Text: "byte order mark", Mild: true})
	list := FromFaults(faults)
	if f := list[0]; f.ID != "file" || f.Severity != Stop || f.Place != "score.yaml:12:3" || f.File != "score.yaml" || f.Line != 12 || f.Column != 3 || f.Hint == "" {
		t.Errorf("%+v", f)
	}
	if list[1].Severity != Note {
		t.Errorf("a mild fault is a %s", list[1].Severity)
	}
}

// Thousands of findings of a kind take a page: a dozen are told and the rest
// counted, and the summary counts them all.
func TestWriteTextOfMany(t *testing.T) {
	var list []Finding
	for i := range mostOfAKind {
		list = append(list, Finding{ID: "cue-off", Severity: Warn, Place: fmt.Sprintf("cue %d", i), Text: fmt.Sprintf("cue %d is off", i), Hint: fmt.Sprint(i), From: float64(i)})
	}
	list = append(list, Finding{ID: "cue-off", Severity: Warn, Place: andMore, Value: 4900, Text: "4900 more"})
	var b bytes.Buffer
	WriteText(&b, list, 100, false)
	if n := strings.Count(b.String(), "is off"); n != 12 {
		t.Errorf("%d findings are told, want a dozen", n)
	}
	for _, want := range []string{"... and 4988 more of this kind; --json lists a hundred of a kind", "\n5000 warnings\n"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, b.String())
		}
	}
}
