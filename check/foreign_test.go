package check

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"go.yaml.in/yaml/v4"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// foreignCase is a change to a show, with what somebody expects of it who has not read the checks.
type foreignCase struct {
	Base   string `yaml:"base"`
	Change []struct {
		File string `yaml:"file"`
		Old  string `yaml:"old"`
		New  string `yaml:"new"`
	} `yaml:"change"`
	Fault    string `yaml:"fault"`
	Kind     string `yaml:"kind"`
	Severity string `yaml:"severity"`
	File     string `yaml:"file"`
	Near     string `yaml:"near"`
	Innocent string `yaml:"innocent"`
}

// Shows with one fault each, and innocent ones, by somebody who has not read the checks: which are
// found, at what severity and where, and which innocent ones are stopped. A fault counts as found when
// the change brings a finding that the base has not; as told rightly when one of these is as grave as was
// expected, and lies in that file within two lines of the place, or names what stands there.
func TestForeignFaults(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("some minutes of solving rooms: LAMPBLACK_LONG=1")
	}
	files, _ := filepath.Glob("testdata/foreign/[0-9]*.yaml")
	bases := map[string][]finding.Finding{}
	var faults, found, graded, placed, innocents, stopped int
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var c foreignCase
		if err := yaml.Unmarshal(data, &c); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		base := os.DirFS("testdata/foreign/base-" + c.Base)
		if _, known := bases[c.Base]; !known {
			bases[c.Base] = findingsHeard(t, base, nil)
			for _, f := range finding.Stops(bases[c.Base]) {
				t.Logf("base %s: %s %s: %s", c.Base, f.ID, f.Place, f.Text)
			}
		}
		var changes []checktest.Change
		for _, ch := range c.Change {
			changes = append(changes, checktest.Change{File: ch.File, From: regexp.QuoteMeta(ch.Old), To: strings.ReplaceAll(ch.New, "$", "$$")})
		}
		dir := checktest.Changed(t, base, changes...)
		fresh := fresh(findingsHeard(t, dir, nil), bases[c.Base])
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		if c.Innocent != "" {
			innocents++
			if stops := finding.Stops(fresh); len(stops) > 0 {
				stopped++
				t.Logf("%s: STOPPED though %s: %s: %s", name, c.Innocent, listOf(stops), stops[0].Text)
			}
			continue
		}
		faults++
		grade, place := false, false
		for _, f := range fresh {
			if string(f.Severity) == c.Severity {
				grade = true
				place = place || nearTo(dir, &c, &f)
			}
		}
		switch {
		case len(fresh) == 0:
			t.Logf("%s: MISSED %s (%s)", name, c.Fault, c.Severity)
		case !grade:
			t.Logf("%s: GRADE %s wanted of %s; told: %s", name, c.Severity, c.Fault, listOf(fresh))
		case !place:
			t.Logf("%s: PLACE %s near %q of %s; told: %s", name, c.File, c.Near, c.Fault, listOf(fresh))
		}
		for _, n := range []struct {
			is bool
			to *int
		}{{len(fresh) > 0, &found}, {grade, &graded}, {grade && place, &placed}} {
			if n.is {
				*n.to++
			}
		}
	}
	t.Logf("%d faults: %d bring a finding, %d one as grave as expected, %d of these at the place; %d of %d innocent shows stopped", faults, found, graded, placed, stopped, innocents)
}

// nearTo tells whether a finding lies by the place that was expected.
func nearTo(dir fstest.MapFS, c *foreignCase, f *finding.Finding) bool {
	for i, line := range strings.Split(string(dir[c.File].Data), "\n") {
		if !strings.Contains(line, c.Near) {
			continue
		}
		if f.File == c.File && f.Line >= i-1 && f.Line <= i+3 {
			return true
		}
	}
	_, name, _ := strings.Cut(c.Near, ": ")
	name = strings.Trim(name, `"{} `)
	return name != "" && (strings.Contains(f.Place, name) || strings.Contains(f.Text, name))
}

func listOf(list []finding.Finding) string {
	var out []string
	for i := range list {
		f := &list[i]
		out = append(out, string(f.Severity)+" "+f.ID+" "+f.Place)
	}
	return strings.Join(out[:min(len(out), 5)], "; ")
}
