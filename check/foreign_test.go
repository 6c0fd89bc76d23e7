package check

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
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
	checktest.Coarse(t) // which kinds are told, and not how exactly
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
	if found < 184 || graded < 153 || placed < 140 || stopped > 0 {
		t.Errorf("fewer than once")
	}
	t.Logf("%d faults: %d bring a finding, %d one as grave as expected, %d of these at the place; %d of %d innocent shows stopped", faults, found, graded, placed, stopped, innocents)
}

// nearTo tells whether a finding lies by the place that was expected: it points there, or names what is
// written there, or the entry in which that stands.
func nearTo(dir fstest.MapFS, c *foreignCase, f *finding.Finding) bool {
	lines := strings.Split(string(dir[c.File].Data), "\n")
	at := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, c.Near) })
	if at < 0 {
		return false
	}
	if f.File == c.File && f.Line >= at-1 && f.Line <= at+3 {
		return true
	}
	if f.File == c.File && strings.HasPrefix(c.File, "fixtures/") {
		return true // a file of one type
	}
	if f.Place == c.File {
		return true
	}
	told := append(append([]string{f.Place, f.Text}, f.Units...), f.Cues...)
	for _, name := range namesBy(lines, at) {
		if slices.ContainsFunc(told, func(s string) bool {
			return s == name || len(name) > 2 && regexp.MustCompile(`\b`+regexp.QuoteMeta(name)+`\b`).MatchString(s)
		}) {
			return true
		}
	}
	return false
}

var nameOf = regexp.MustCompile(`\b(?:unit|cue|name|type): *"?([^,"{}]+?)"? *(?:[,}]|$)`)

// namesBy lists the names on a line, and those of the entries in which it stands.
func namesBy(lines []string, at int) (out []string) {
	indent := func(l string) int { return len(l) - len(strings.TrimLeft(l, " -")) }
	within := indent(lines[at]) + 1
	for i := at; i >= 0 && within > 0; i-- {
		if in := indent(lines[i]); in < within && strings.TrimSpace(lines[i]) != "" {
			within = in
			for _, m := range nameOf.FindAllStringSubmatch(lines[i], -1) {
				out = append(out, m[1])
			}
			if key, _, ok := strings.Cut(strings.TrimLeft(lines[i], " -{"), ":"); ok && in > 0 {
				out = append(out, strings.Trim(key, `"`))
			}
		}
	}
	return out
}

func listOf(list []finding.Finding) string {
	var out []string
	for i := range list {
		f := &list[i]
		out = append(out, string(f.Severity)+" "+f.ID+" "+f.Place)
	}
	return strings.Join(out[:min(len(out), 5)], "; ")
}
